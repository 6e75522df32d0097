"""The sizes that follow from the parameters before any board is laid out. All mm."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.catalogue.lumber import Stock
from palewright.construction.outdoor_wood import swelling_gap
from palewright.parameters.tables import PanelTable, Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units

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
        gap: between staves, as asked or as wide as they swell.
        clear_width, clear_depth: inside the staves when every board is at its thickest.
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
    gap: float
    clear_width: float
    clear_depth: float


def sizes_of(parameters: Parameters) -> Sizes:
    """Return the derived sizes.

    Raises:
        InputError: if the box is too small for its own stiles, rails or walls.
    """
    box, panel = parameters.box, parameters.panel
    board, cap = parameters.materials.stock["board"], parameters.materials.stock["cap"]
    cap_thickness = 0.0 if parameters.cap.style == "none" else cap.thickness
    lip = 2 * board.thickest + panel.play if panel.lip is None else panel.lip
    side_stile = panel.side_stile_width
    if side_stile is None:
        side_stile = panel.stile_width - board.thickness
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
        setback=_setback(panel, lip, board),
        side_length=box.depth - 2 * board.thickness,
        stile=panel.stile_width,
        side_stile=side_stile,
        rail=panel.rail_width,
        side_rail=panel.rail_width if panel.side_rail_width is None else panel.side_rail_width,
        gap=swelling_gap(parameters) if parameters.wall.gap is None else parameters.wall.gap,
        clear_width=box.width - 4 * board.thickest,
        clear_depth=box.depth - 2 * board.thickness - 2 * board.thickest,
    )
    _refuse_impossible(sizes)
    return sizes


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
