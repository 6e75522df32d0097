"""The boards of one lapped panel: a frame outside, staves behind it, a pattern in the opening.

A panel is laid out in its own plane: u from left to right and v upward as seen from outside. The
plane is where frame and staves meet; the frame grows outward from it and the staves inward, so
that joints close whatever the thickness of a board.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from palewright.catalogue.lumber import ThicknessOf
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Plane
from palewright.construction.derived_sizes import Sizes
from palewright.construction.face_patterns import FACE_PATTERNS, Opening, PatternPiece
from palewright.construction.outdoor_wood import widest_stave
from palewright.geometry.polygons import Polygon, rectangle
from palewright.parameters.tables import Parameters, StaveLayout
from palewright.reading.errors import InputError, nearest
from palewright.reading.lengths import both_units

_SLIVER = 0.5
"""A remainder below this (mm) is left as play between the staves: no saw rips it."""


_MORE_STAVES = 3
"""So many more staves at most where seams have to leave the stiles' edges: the seams of n and of
n + 1 equal staves never fall together but at the middle."""


@dataclass(frozen=True, slots=True)
class Stave:
    """One stave of a wall: where it begins and how wide it is, mm; ripped narrower or not."""

    start: float
    width: float
    filler: bool


def divide_wall(
    span: float,
    board: float,
    gap: float,
    safe_rip: float,
    layout: StaveLayout,
    lap: float = 0.0,
    rooms: Sequence[tuple[float, float]] = (),
) -> list[Stave]:
    """Return the staves of a wall from left to right.

    Full boards with a ripped filler in the middle, or all equal. Where the filler would be
    narrower than ``safe_rip``, it and one full board are replaced by two equal fillers, or all
    boards by equal ones, so that no strip is dangerous to rip where that is possible.

    A stile and its rails are tied by the stave that lies behind both. Where a seam falls so near
    the stile's inner edge that no stave has room for a screw on either side of it, the filler
    goes to another place, or the wall is divided into equal staves.

    Args:
        span: width to fill, mm.
        board: width of a full stave, mm: mostly a board's true width.
        gap: movement gap between staves, mm.
        safe_rip: least width of a ripped strip, mm.
        layout: ``filler`` or ``equal``.
        lap: how far the stiles reach over the wall at either end, mm.
        rooms: what a stave should have on the stile and on the rail beside its inner edge, mm, the
            best first; each is tried with all divisions before the next.

    Raises:
        InputError: if the wall is narrower than the safe rip.
    """
    if span < safe_rip:
        raise InputError(
            f"a wall of {both_units(span)} is narrower than the safe rip of "
            f"{both_units(safe_rip)}; allowed: a wider box, or narrower stiles or lip",
            key="wall.safe_rip",
        )
    first = _equal(span, board, gap) if layout == "equal" else _filled(span, board, gap, safe_rip)
    chosen = _spread(first, span, gap)
    if rooms and not _tied(chosen, span, lap, rooms[0]):
        ways = [_spread(widths, span, gap) for widths in _divisions(first, span, gap, safe_rip)]
        for room in rooms:
            tied = next((way for way in (chosen, *ways) if _tied(way, span, lap, room)), None)
            if tied:
                chosen = tied
                break
    return [Stave(start, width, filler=width < board - 1e-6) for start, width in chosen]


def _spread(widths: list[float], span: float, gap: float) -> list[tuple[float, float]]:
    """Return (start, width) of staves from left to right; what is spare goes between them."""
    spare = span - sum(widths) - gap * (len(widths) - 1)
    between = gap + (spare / (len(widths) - 1) if len(widths) > 1 else 0.0)
    found, start = [], 0.0
    for width in widths:
        found.append((start, width))
        start += width + between
    return found


def _tied(
    staves: list[tuple[float, float]], span: float, lap: float, room: tuple[float, float]
) -> bool:
    """Return whether at both ends one stave has room for a screw in the stile and in the rail.

    A stile that laps the wall by less than that is not helped by another division.
    """
    stile, rail = room
    if lap < stile:
        return True
    left = any(at <= lap - stile and lap + rail <= at + width for at, width in staves)
    edge = span - lap
    return left and any(at <= edge - rail and edge + stile <= at + width for at, width in staves)


def _divisions(
    widths: list[float], span: float, gap: float, safe_rip: float
) -> Iterator[list[float]]:
    """Return other divisions of a wall: strips in another order, equal ones, or wide ends."""
    full = max(widths)
    ripped = [width for width in widths if width < full - 1e-6]
    count = len(widths) - len(ripped)
    if ripped and count:
        places = sorted(range(count + 1), key=lambda place: abs(2 * place - count))
        for place in places:
            yield [full] * place + ripped + [full] * (count - place)
        if len(ripped) > 1:
            yield [ripped[0], *[full] * count, *ripped[1:]]
    for count in range(max(len(widths), 2), len(widths) + _MORE_STAVES + 1):
        room = span - gap * (count - 1)
        if safe_rip <= room / count <= full + 1e-6:
            yield [room / count] * count
        end = min((room - (count - 2) * safe_rip) / 2, full)
        if count > 2 and end >= safe_rip:  # the ends as wide as the strips between them leave
            middle = (room - 2 * end) / (count - 2)
            if middle <= full + 1e-6:
                yield [end, *[middle] * (count - 2), end]


def _equal(span: float, board: float, gap: float) -> list[float]:
    """Return the fewest equal widths that fill the span."""
    count = max(1, -int(-((span + gap) / (board + gap) - 1e-9) // 1))
    return [(span - gap * (count - 1)) / count] * count


def _filled(span: float, board: float, gap: float, safe_rip: float) -> list[float]:
    """Return full widths with a filler, or two, in the middle."""
    full = int((span + gap) / (board + gap) + 1e-9)
    left = span + gap - full * (board + gap)  # what a filler and its gap would take
    filler = left - gap
    if full and left <= _SLIVER * full:
        return [board] * full
    if filler >= safe_rip or not full:
        half = -(-full // 2)
        return [board] * half + [filler if full else span] + [board] * (full - half)
    full -= 1
    pair = (span - full * (board + gap) - gap) / 2
    if pair < safe_rip:  # boards so narrow that two fillers are too: equal strips are the widest
        return _equal(span, board, gap)
    half = full // 2
    return [board] * half + [pair, pair] + [board] * (full - half)


_wall_divided = lru_cache(maxsize=256)(divide_wall)
"""Kept as `_pattern_pieces` are; what it returns is only read."""


PANELS = ("front", "back", "left", "right")
OUTER_PANELS = ("front", "back")
INNER_PANELS = ("left", "right")


@dataclass(frozen=True, slots=True)
class PanelPlan:
    """What one panel measures, mm, before its boards have a place in the box.

    ``stave_ends`` are heights above the ground.
    """

    name: str
    width: float
    stile: float
    rail: float
    stave_inset: float
    stave_ends: tuple[float, float]
    pattern: str

    @property
    def outer(self) -> bool:
        """Whether its stiles run past the staves, for an inner panel to seat in."""
        return self.name in OUTER_PANELS


def pattern_of(name: str, parameters: Parameters) -> str:
    """Return the face pattern of one panel.

    Raises:
        InputError: if the variant names one that nobody wrote.
    """
    key = f"face.{name if name in OUTER_PANELS else 'sides'}"
    pattern: str = getattr(parameters.face, key.partition(".")[2])
    if pattern == "same":
        key, pattern = "face.front", parameters.face.front
    if pattern not in FACE_PATTERNS:
        known = ", ".join(FACE_PATTERNS)
        raise InputError(
            f"no face pattern '{pattern}'{nearest(pattern, FACE_PATTERNS)}; allowed: {known}",
            key=key,
        )
    return pattern


def panel_plan(name: str, parameters: Parameters, sizes: Sizes) -> PanelPlan:
    """Return what one panel measures.

    Raises:
        InputError: as `pattern_of` does.
    """
    pattern = pattern_of(name, parameters)
    outer = name in OUTER_PANELS
    ends = sizes.stave_ends(outer)
    if outer:
        return PanelPlan(name, sizes.width, sizes.stile, sizes.rail, sizes.lip, ends, pattern)
    return PanelPlan(
        name, sizes.side_length, sizes.side_stile, sizes.side_rail, sizes.setback, ends, pattern
    )


def opening_of(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> Opening:
    """Return the opening that the panel's pattern fills."""
    return Opening(
        width=plan.width - 2 * plan.stile,
        height=sizes.top - sizes.foot - 2 * plan.rail,
        brace_width=parameters.face.brace_width,
        bar_width=parameters.face.bar_width,
        bar_gap=parameters.face.bar_gap,
    )


def frame_pieces(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> list[PatternPiece]:
    """Return stiles, rails and the pattern's pieces in the panel's (u, v), v from the ground.

    Raises:
        InputError: if the pattern cannot be made in this opening.
    """
    w, top, foot = plan.width, sizes.top, sizes.foot
    inner = (plan.stile, w - plan.stile)
    pieces = [
        PatternPiece("stile-left", "stile", rectangle(0, 0, plan.stile, top), 90),
        PatternPiece("stile-right", "stile", rectangle(inner[1], 0, w, top), 90),
        PatternPiece(
            "rail-bottom", "rail", rectangle(inner[0], foot, inner[1], foot + plan.rail), 0
        ),
        PatternPiece("rail-top", "rail", rectangle(inner[0], top - plan.rail, inner[1], top), 0),
    ]
    opening = opening_of(plan, parameters, sizes)
    return [*pieces, *_pattern_pieces(plan.pattern, opening, plan.stile, foot + plan.rail)]


@lru_cache(maxsize=256)
def _pattern_pieces(
    pattern: str, opening: Opening, right: float, up: float
) -> tuple[PatternPiece, ...]:
    """Return a pattern's pieces in the panel's (u, v), from where its opening lies in it, mm.

    Kept, since panels that face each other are alike, and most looks of a size share an opening.
    """
    return tuple(piece.moved(right, up) for piece in FACE_PATTERNS[pattern](opening))


def stave_pieces(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> list[PatternPiece]:
    """Return the staves in the panel's (u, v).

    Raises:
        InputError: if the wall is narrower than the safe rip.
    """
    wall = parameters.wall
    span = plan.width - 2 * plan.stave_inset
    diameter = parameters.materials.screw["wall"].diameter
    # a screw needs its distance to the stave's edge, and to the stile's edge or the rail's end
    edges = [(edge * diameter, end * diameter) for edge, end in TOLERANCES.tied]
    rooms = tuple((2 * edge, edge + end) for edge, end in edges)
    staves = _wall_divided(
        span,
        widest_stave(parameters),
        sizes.gap,
        wall.safe_rip,
        wall.layout,
        plan.stile - plan.stave_inset,
        rooms,
    )
    pieces = []
    for i, stave in enumerate(staves, start=1):
        u = plan.stave_inset + stave.start
        low, high = plan.stave_ends
        outline: Polygon = rectangle(u, low, u + stave.width, high)
        role = "filler" if stave.filler and wall.layout == "filler" else "stave"
        pieces.append(PatternPiece(f"{role}-{i}", role, outline, 90))
    return pieces


def panel_plane(name: str, u_centre: float, away: float) -> Plane:
    """Return the plane of one panel, its origin on the ground at the panel's left edge.

    In the box x goes to the right of the front, y to the back, z up; the front faces -y.

    Args:
        name: front, back, left or right.
        u_centre: half the panel's width.
        away: distance of the plane from the middle of the box.
    """
    z = (0.0, 0.0, 1.0)
    if name == "front":
        return Plane((-u_centre, -away, 0.0), (1.0, 0.0, 0.0), z)
    if name == "back":
        return Plane((u_centre, away, 0.0), (-1.0, 0.0, 0.0), z)
    if name == "right":
        return Plane((away, -u_centre, 0.0), (0.0, 1.0, 0.0), z)
    return Plane((-away, u_centre, 0.0), (0.0, -1.0, 0.0), z)


def lay_panel(
    plan: PanelPlan,
    frame: list[PatternPiece],
    staves: list[PatternPiece],
    sizes: Sizes,
    thickness: ThicknessOf,
) -> list[Board]:
    """Return the panel's boards in the box, for lumber of the given thickness.

    An outer panel's plane is fixed by the length of the side panels. An inner panel is held so
    that its thickest frame board is flush with the outer panels' stile edges.

    Args:
        plan: which panel, and how wide.
        frame: its outer pieces in the panel's own (u, v), mm.
        staves: likewise, behind them.
        sizes: of the box, mm.
        thickness: gives each board's own thickness, mm, in the lumber case that is laid out.
    """
    stock = sizes.board
    thick = {
        piece.name: thickness(f"{plan.name}.{piece.name}", stock) for piece in (*frame, *staves)
    }
    if plan.outer:
        away = sizes.side_length / 2
    else:
        away = sizes.width / 2 - max(thick[piece.name] for piece in frame)
    plane = panel_plane(plan.name, plan.width / 2, away)
    boards = []
    for layer, outward in ((frame, True), (staves, False)):
        for piece in layer:
            boards.append(
                plane.board(
                    f"{plan.name}.{piece.name}",
                    piece.role,
                    stock,
                    piece.polygon,
                    piece.grain,
                    thick[piece.name],
                    outward,
                )
            )
    return boards
