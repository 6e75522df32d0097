"""The sizes that follow from the parameters before any board is laid out. All mm."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.catalogue.lumber import Stock
from palewright.construction.outdoor_wood import swelling_gap
from palewright.parameters.tables import PanelTable, Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units, tape_step

_LEAST_OPENING = 10.0
"""Between stiles, rails and lips, mm: less is a closed frame, not an opening. Judgement."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Derived sizes of one box, mm; the same for every lumber case.

    Attributes:
        board: stock of the panels and the floor.
        cap: stock of the cap.
        width, depth: outside, over the panels.
        height: from the ground to the top of the cap.
        top: height of the panels: the cap lies on it.
        cap_thickness: 0 without a cap.
        foot: clear height below the bottom rail.
        floor_bottom: underside of the slats, where they lie on cleats.
        lip: width of the front stile that runs past the staves.
        setback: how far the side panel's staves stop short of its edges.
        side_length: width of a side panel: from the front stiles' back to the back stiles' back.
        stile, side_stile: widths of the stiles.
        rail, side_rail: widths of the rails.
        rail_lap, side_rail_lap: how far the staves run over these rails, below and above.
        gap: between staves, as asked or as wide as they swell.
        clear_width, clear_depth: inside the staves when every board is at its thickest.
        tape: from one line of the maker's tape to the next.
    """

    board: Stock
    cap: Stock
    width: float
    depth: float
    height: float
    top: float
    cap_thickness: float
    foot: float
    floor_bottom: float
    lip: float
    setback: float
    side_length: float
    stile: float
    side_stile: float
    rail: float
    side_rail: float
    rail_lap: float
    side_rail_lap: float
    gap: float
    clear_width: float
    clear_depth: float
    tape: float

    def stave_ends(self, outer: bool) -> tuple[float, float]:
        """Return the heights (mm) of the lower and upper ends of an outer or inner panel's staves.

        They leave the rails' outer edges free where they lap the rails only in part.
        """
        free = self.rail - self.rail_lap if outer else self.side_rail - self.side_rail_lap
        return self.foot + free, self.top - free


def sizes_of(parameters: Parameters) -> Sizes:
    """Return the derived sizes.

    Raises:
        InputError: if the box is too small for its own stiles, rails or walls.
    """
    box, panel = parameters.box, parameters.panel
    board, cap = parameters.materials.stock["board"], parameters.materials.stock["cap"]
    cap_thickness = 0.0 if parameters.cap.style == "none" else cap.thickness
    side_stile = panel.side_stile_width
    if side_stile is None:
        side_stile = panel.stile_width - board.thickness
    side_rail = panel.rail_width if panel.side_rail_width is None else panel.side_rail_width
    rail_lap = _rail_lap(parameters, min(panel.rail_width, side_rail))
    lip, setback = _insets(parameters, side_stile, board)
    sizes = Sizes(
        board=board,
        cap=cap,
        width=box.width,
        depth=box.depth,
        height=box.height,
        top=box.height - cap_thickness,
        cap_thickness=cap_thickness,
        foot=box.foot,
        floor_bottom=box.foot + parameters.floor.rise,
        lip=lip,
        setback=setback,
        side_length=box.depth - 2 * board.thickness,
        stile=panel.stile_width,
        side_stile=side_stile,
        rail=panel.rail_width,
        side_rail=side_rail,
        rail_lap=panel.rail_width if rail_lap is None else rail_lap,
        side_rail_lap=side_rail if rail_lap is None else rail_lap,
        gap=swelling_gap(parameters) if parameters.wall.gap is None else parameters.wall.gap,
        clear_width=box.width - 4 * board.thickest,
        clear_depth=box.depth - 2 * board.thickness - 2 * board.thickest,
        tape=tape_step(parameters.product.units),
    )
    _refuse_impossible(sizes)
    return sizes


def _rail_lap(parameters: Parameters, narrowest: float) -> float | None:
    """Return how far staves run over the rails, mm; None: over all of each.

    Raises:
        InputError: if that is further than the narrowest rail is wide.
    """
    lap = parameters.wall.rail_lap
    if lap is not None and lap > narrowest + 1e-9:
        raise InputError(
            f"staves that lap rails by {both_units(lap)} stand out beyond a rail of "
            f"{both_units(narrowest)}; allowed: at most that, or auto",
            key="wall.rail_lap",
        )
    return lap


def _insets(parameters: Parameters, side_stile: float, board: Stock) -> tuple[float, float]:
    """Return lip and setback, mm: how far the outer and the inner panels' staves stand in.

    Both follow from ``wall.stile_lap`` where that is set. The lip then takes frame and staves of
    the side panel at their thickest, and the setback keeps the play: no more is asked of either.

    Raises:
        InputError: if the lap leaves less than that, or if lip or setback are set beside it.
    """
    panel, lap = parameters.panel, parameters.wall.stile_lap
    whole = 2 * board.thickest + panel.play
    if lap is None:
        lip = whole if panel.lip is None else panel.lip
        return lip, _setback(panel, lip, board)
    for name in ("lip", "setback"):
        if getattr(panel, name) is not None:
            raise InputError(
                f"panel.{name} says how far the staves lap the stiles, too; allowed: one of both, "
                "the other auto",
                key="wall.stile_lap",
            )
    most = min(panel.stile_width - whole, side_stile - panel.play)
    if lap > most + 1e-9:
        raise InputError(
            f"a lap of {both_units(lap)} leaves no room for the side panels behind the stiles; "
            f"allowed: at most {both_units(max(most, 0.0))}, wider stiles, or auto",
            key="wall.stile_lap",
        )
    return panel.stile_width - lap, side_stile - lap


def _setback(panel: PanelTable, lip: float, board: Stock) -> float:
    """Return how far the side staves stop short of their panel's edges, mm.

    One clearance in each corner is enough. Where the lip takes frame and staves of the side panel,
    its staves run to its edges, but for the play, so that the stile, which is seen, closes first.
    A shallower lip lets the outer staves into the corner: then the side staves clear them.
    """
    if panel.setback is not None:
        return panel.setback
    whole = lip >= 2 * board.thickest - 1e-9
    return panel.play if whole else board.thickest + panel.play


def least_sides(sizes: Sizes) -> dict[str, float]:
    """Return the least width, depth and height, mm, that hold the frame's own boards.

    Patterns, walls and floors may need more.
    """
    least: dict[str, float] = {}
    for key, side, _ in _needs(sizes):
        least[key] = max(side, least.get(key, 0.0))
    return least


def _needs(sizes: Sizes) -> list[tuple[str, float, str]]:
    """Return for each side how long it must be, mm, and for what."""
    taken = sizes.depth - sizes.side_length
    rails = 2 * max(sizes.rail, sizes.side_rail) + sizes.foot + sizes.cap_thickness
    return [
        ("width", 2 * sizes.stile + _LEAST_OPENING, "its two stiles"),
        ("width", 2 * sizes.lip + _LEAST_OPENING, "its two lips"),
        ("depth", 2 * sizes.side_stile + taken + _LEAST_OPENING, "its stiles"),
        ("depth", 2 * sizes.setback + taken + _LEAST_OPENING, "its setbacks"),
        ("height", rails + _LEAST_OPENING, "its rails"),
    ]


def _refuse_impossible(sizes: Sizes) -> None:
    """Complain about a box that cannot hold its own frame."""
    if sizes.side_stile <= 0:
        raise InputError(
            f"a stile of {both_units(sizes.stile)} leaves no side stile beside a board "
            f"{both_units(sizes.board.thickness)} thick; allowed: wider stiles",
            key="panel.stile_width",
        )
    for side, least, holds in _needs(sizes):
        said = getattr(sizes, side)
        if said < least:
            raise InputError(
                f"{both_units(said)} is too small for {holds}; allowed: at least "
                f"{both_units(least)}",
                key=f"box.{side}",
            )
