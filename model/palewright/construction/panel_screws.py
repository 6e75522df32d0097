"""Where the screws of a panel go: from inside, through the staves, into the frame.

Every place is chosen on the drawing of the panel alone, so that it is the same for thin and thick
lumber and one jig serves every box.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise, product
from math import cos, dist, radians, sin

from palewright.catalogue.lumber import ThicknessOf
from palewright.catalogue.screws import ScrewKind
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Plane
from palewright.construction.derived_sizes import Sizes
from palewright.construction.face_patterns import PatternPiece
from palewright.construction.joints import HELD, Joint, Parts, Screw, held_reach
from palewright.construction.tape_lines import Tape
from palewright.geometry.polygons import Point, Polygon, bounds, clip, inset, points_along, rotated

SHARES = ((1.0, 1.0), (0.6, 0.6), (0.6, 0.3))
"""Shares of the advised distances to edges and ends: all, then less where a piece is too narrow.

Never less than the distances at which wood splits (1.5 and 3 diameters)."""

Share = tuple[float, float]

_TWO_IN_A_STAVE = 50.0
"""A stave that leaves this width (mm) between its edge distances takes two screws in a rail."""

_NOISE = 1e-6
"""mm: a place so far outside its room is within it."""


@dataclass(frozen=True, slots=True)
class Tie:
    """One screw place on a panel's drawing: a frame piece, the stave behind it, (u, v) in mm."""

    piece: PatternPiece
    stave: PatternPiece
    point: Point


def keep_in(piece: PatternPiece, screw: ScrewKind, share: Share) -> Polygon:
    """Return where screw axes may go in a piece, keeping shares of the advised distances."""
    edge = TOLERANCES.edge_advised * screw.diameter * share[0]
    end = TOLERANCES.end_advised * screw.diameter * share[1]
    return inset(piece.polygon, piece.grain, edge, end)


@lru_cache(maxsize=4096)
def _shared_room(
    frame: PatternPiece, stave: PatternPiece, screw: ScrewKind, share: Share
) -> Polygon:
    """Return where a screw may join a frame piece and a stave; empty where it finds no room.

    Kept, since panels that face each other are alike, and so is a panel in all lumber cases.
    """
    room, other = keep_in(frame, screw, share), keep_in(stave, screw, share)
    return clip(room, other) if room and other else ()


@lru_cache(maxsize=2048)
def crossing_points(
    frame: PatternPiece, stave: PatternPiece, screw: ScrewKind, pitch: float, share: Share
) -> tuple[Point, ...]:
    """Return the screw places (u, v) where a frame piece crosses a stave; may be none.

    Args:
        frame: in the panel's own (u, v), mm.
        stave: likewise.
        screw: that goes through both: it keeps its edge distances.
        pitch: the greatest distance between two screws along a frame piece, mm.
        share: how much of the advised edge and end distances is kept, 0 to 1 each.
    """
    region = _shared_room(frame, stave, screw, share)
    if not region:
        return ()
    if frame.role == "stile":
        return _end_to_end(region, screw, pitch)
    if frame.role == "rail" and frame.grain == 0:
        u0, _, u1, _ = bounds(region)
        pitch = max((u1 - u0) / 1.5 if u1 - u0 >= _TWO_IN_A_STAVE else u1 - u0 + 1.0, 1.0)
    return tuple(points_along(region, frame.grain, pitch))


def _end_to_end(region: Polygon, screw: ScrewKind, pitch: float) -> tuple[Point, ...]:
    """Return places up the middle of an upright rectangle, the first and last at its ends.

    A stile stands out below the staves: screws in the middles of their shares would leave its foot
    free.
    """
    u0, v0, u1, v1 = bounds(region)
    middle = (u0 + u1) / 2
    if v1 - v0 < TOLERANCES.apart * screw.diameter:
        return ((middle, (v0 + v1) / 2),)
    count = max(1, -int(-(v1 - v0) / pitch // 1))
    return tuple((middle, v0 + (v1 - v0) * i / count) for i in range(count + 1))


def _usual(
    frame: PatternPiece, staves: Sequence[PatternPiece], screw: ScrewKind, pitch: float
) -> list[Tie]:
    """Return the screws of one frame piece in the staves behind it.

    The advised distances are kept where at least two screws find room with them; a short brace
    half gets less rather than none, and the checks then say so.
    """
    best: list[Tie] = []
    for share in SHARES:
        found = [
            Tie(frame, stave, point)
            for stave in staves
            for point in crossing_points(frame, stave, screw, pitch, share)
        ]
        if len(found) > len(best):
            best = found
        if len(best) >= 2:
            break
    return best


@lru_cache(maxsize=64)
def _crossed(
    frame: tuple[PatternPiece, ...], staves: tuple[PatternPiece, ...]
) -> tuple[tuple[PatternPiece, tuple[PatternPiece, ...]], ...]:
    """Return each frame piece with the staves behind it; kept as `panel_ties` is."""
    return tuple(
        (piece, tuple(stave for stave in staves if clip(piece.polygon, stave.polygon)))
        for piece in frame
    )


@lru_cache(maxsize=64)
def panel_ties(
    frame: tuple[PatternPiece, ...],
    staves: tuple[PatternPiece, ...],
    screw: ScrewKind,
    pitch: float,
    tape: float,
) -> tuple[Tie, ...]:
    """Return every screw place of a panel: the usual ones, then what makes it hold.

    What a stile, a rail or a stave lacks at an end, and what keeps the panel from being one
    piece, is placed with as much of the advised distances as there is room for. Kept, since a
    panel is the same in all lumber cases.

    Args:
        frame: its outer pieces, in the panel's (u, v).
        staves: those behind, likewise.
        screw: what goes through them.
        pitch: greatest distance along a piece, mm.
        tape: from one line of a tape to the next, mm.
    """
    crossed = _crossed(frame, staves)
    ties = [tie for piece, behind in crossed for tie in _usual(piece, behind, screw, pitch)]
    pairs = [(piece, stave) for piece, behind in crossed for stave in behind]
    pieces = dict.fromkeys(piece for pair in pairs for piece in pair)
    for piece in pieces:
        if piece.role in HELD:
            for far in (False, True):
                _hold_end(piece, far, pairs, ties, screw)
    _join(pairs, ties, screw)
    return tuple(_on_tape(ties, (*frame, *staves), screw, tape))


def _on_tape(
    ties: Sequence[Tie], pieces: Sequence[PatternPiece], screw: ScrewKind, step: float
) -> list[Tie]:
    """Return screws moved to the nearest lines of a tape along the panel, both ways if they can.

    To half a step where no line lies in the room that two boards share, clear of the other screws;
    nearer to an edge where no such line does either, though never nearer than wood bears; and where
    one way has no line at all, as in a narrow lap or a slanted board, to a line the other way.
    """
    u0, _, u1, v1 = bounds(tuple(point for piece in pieces for point in piece.polygon))
    # up from the rails, not from the feet: what is alike turned half round stays so
    v0 = min(v for piece in pieces if piece.role != "stile" for _, v in piece.polygon)
    ways = [(Tape(u0, u1, fine), Tape(v0, v1, fine)) for fine in (step, step / 2)]
    found = list(ties)
    far = TOLERANCES.apart * screw.diameter + 2 * step  # no line is further than a step off, twice
    for i, tie in enumerate(ties):
        held, others = _ends_held(tie, screw), found[:i] + found[i + 1 :]
        others = [other for other in others if dist(other.point, tie.point) <= far]
        for room, points in _lines_near(tie.point, _rooms_at(tie, screw), ways):
            nearest = sorted(points, key=lambda point: round(dist(point, tie.point), 6))
            free = (
                moved
                for point in nearest
                if _holds(room, point)
                and _clear_of(point, others, screw)
                and held <= _ends_held(moved := Tie(tie.piece, tie.stave, point), screw)
            )
            if (first := next(free, None)) is not None:
                found[i] = first
                break
    return found


def _rooms_at(tie: Tie, screw: ScrewKind) -> Iterator[Polygon]:
    """Yield where a screw may move that stands there, the narrowest first; most need no other."""
    for share in SHARES:
        room = _shared_room(tie.piece, tie.stave, screw, share)
        if room and _holds(room, tie.point):
            yield room


def _lines_near(
    place: Point, rooms: Iterable[Polygon], ways: Sequence[tuple[Tape, Tape]]
) -> Iterator[tuple[Polygon, list[Point]]]:
    """Yield where a screw may move, the best first: a room, and places at lines of the tapes.

    Both ways in every room, then one way alone in the last and widest.
    """
    room: Polygon = ()
    for room in rooms:
        for across, up in ways:
            yield room, [(u, v) for u in across.lines(place[0]) for v in up.lines(place[1])]
    for across, up in ways:
        alone = [(u, place[1]) for u in across.lines(place[0])]
        yield room, [*alone, *((place[0], v) for v in up.lines(place[1]))]


def _holds(room: Polygon, point: Point) -> bool:
    """Return whether a convex polygon holds a point, edges included."""
    return all(
        (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])
        >= -_NOISE * dist(a, b)
        for a, b in pairwise((*room, room[0]))
    )


def _ends_held(tie: Tie, screw: ScrewKind) -> set[tuple[PatternPiece, bool]]:
    """Return the ends (of which piece, whether its far one) that a screw is near enough to hold."""
    found = set()
    for piece in (tie.piece, tie.stave):
        low, high = _reaches(piece)
        reach, place = held_reach(high - low, screw.diameter), _along(piece, tie.point)
        found |= {(piece, far) for far, away in ((False, place - low), (True, high - place))
                  if away <= reach + _NOISE}  # fmt: skip
    return found


def _along(piece: PatternPiece, point: Point) -> float:
    """Return how far (mm) a point lies along a piece's grain."""
    angle = radians(piece.grain)
    return point[0] * cos(angle) + point[1] * sin(angle)


@lru_cache(maxsize=4096)
def _reaches(piece: PatternPiece) -> tuple[float, float]:
    """Return the least and the greatest place of a piece along its grain, mm.

    Kept, since it is asked for at every line that a screw may move to.
    """
    places = [_along(piece, point) for point in piece.polygon]
    return min(places), max(places)


def _hold_end(
    piece: PatternPiece,
    far: bool,
    pairs: Sequence[tuple[PatternPiece, PatternPiece]],
    ties: list[Tie],
    screw: ScrewKind,
) -> None:
    """Add a screw at one end of a piece, unless it has one within reach there."""
    low, high = _reaches(piece)
    reach = held_reach(high - low, screw.diameter)

    def away(point: Point) -> float:
        place = _along(piece, point)
        return high - place if far else place - low

    mine = [tie for tie in ties if piece in (tie.piece, tie.stave)]
    near = [tie for tie in mine if away(tie.point) <= reach]
    # one screw in the middle of a short piece holds neither end: the piece turns about it
    if near and (len(mine) > 1 or not far):
        return
    options = [pair for pair in pairs if piece in pair]
    for share in SHARES:
        found = [
            Tie(frame, stave, point)
            for frame, stave in options
            for point in _end_points(frame, stave, piece, screw, share)
            if away(point) <= reach and _clear_of(point, ties, screw)
        ]
        if found:
            ties.append(min(found, key=lambda tie: away(tie.point)))
            return


def _end_points(
    frame: PatternPiece, stave: PatternPiece, along: PatternPiece, screw: ScrewKind, share: Share
) -> Iterator[Point]:
    """Yield places at both ends of what two pieces share, along the grain of one of them."""
    region = _shared_room(frame, stave, screw, share)
    if region:
        turned = rotated(region, -along.grain)
        x0, y0, x1, y1 = bounds(turned)
        for corner in (0.25, 0.75):
            yield from rotated([(x0 + (x1 - x0) * corner, (y0 + y1) / 2)], along.grain)
        ends = [min(turned), max(turned)]
        yield from rotated([_inward(end, turned) for end in ends], along.grain)
        yield from region  # its corners: above and below a screw in the middle of a short rail


def _inward(corner: Point, polygon: Polygon) -> Point:
    """Return the middle of the polygon's edge at an end, so that the place is not in a corner."""
    level = [point for point in polygon if abs(point[0] - corner[0]) < 1e-6]
    return corner[0], sum(point[1] for point in level) / len(level)


def _clear_of(point: Point, ties: Sequence[Tie], screw: ScrewKind) -> bool:
    """Return whether a place keeps clear of those that are taken."""
    return all(dist(point, tie.point) >= TOLERANCES.apart * screw.diameter for tie in ties)


def _join(
    pairs: Sequence[tuple[PatternPiece, PatternPiece]], ties: list[Tie], screw: ScrewKind
) -> None:
    """Add screws until the panel is one piece, or no two pieces leave room for one more."""
    group = {piece: i for i, piece in enumerate(dict.fromkeys(p for pair in pairs for p in pair))}

    def unite(tie: Tie) -> None:
        old, new = group[tie.piece], group[tie.stave]
        for piece, number in group.items():
            if number == old:
                group[piece] = new

    for tie in ties:
        unite(tie)
    for share in SHARES:
        for frame, stave in pairs:
            if group[frame] == group[stave]:
                continue
            points = crossing_points(frame, stave, screw, float("inf"), share)
            found = [Tie(frame, stave, p) for p in points if _clear_of(p, ties, screw)]
            if found:
                ties.append(found[0])
                unite(found[0])


def free_place(
    rooms: Sequence[Polygon], taken: Sequence[Point], screw: ScrewKind, ways: tuple[Tape, Tape]
) -> Point:
    """Return the place of a rectangle nearest its middle that keeps clear of screws already there.

    Where there is none, the one that keeps furthest from them. All mm.

    Args:
        rooms: the rectangle, and larger ones that leave less to the edges: the first is taken in
            which lines cross, of the tapes or half as far apart, else the first.
        taken: where screws are.
        screw: what goes there.
        ways: tapes along the panel, across and up: places are at their lines.
    """
    fine = tuple(replace(tape, step=tape.step / 2) for tape in ways)
    crossed = (
        (room, places)
        for room in rooms
        for across, up in (ways, fine)
        if (places := list(product(_within(across, room, 0), _within(up, room, 1))))
    )
    u0, v0, u1, v1 = bounds(rooms[0])
    room, places = next(crossed, (rooms[0], [((u0 + u1) / 2, (v0 + v1) / 2)]))
    u0, v0, u1, v1 = bounds(room)
    middle = ((u0 + u1) / 2, (v0 + v1) / 2)
    least = TOLERANCES.apart * screw.diameter
    near = [p for p in taken if u0 - least < p[0] < u1 + least and v0 - least < p[1] < v1 + least]

    def rank(place: Point) -> tuple[float, float]:
        return -min([least, *(dist(place, other) for other in near)]), dist(place, middle)

    return min(places, key=rank)


def _within(tape: Tape, room: Polygon, axis: int) -> list[float]:
    """Return the lines of a tape that a rectangle reaches over, along u (0) or v (1)."""
    low, high = min(p[axis] for p in room), max(p[axis] for p in room)
    count = int((high - low) / tape.step) + 2
    tried = [line for i in range(count + 1) for line in tape.lines(low + i * tape.step)]
    return sorted({x for x in tried if low - _NOISE <= x <= high + _NOISE})


def panel_parts(
    panel: str,
    plane: Plane,
    frame: list[PatternPiece],
    staves: list[PatternPiece],
    screw: ScrewKind,
    pitch: float,
    sizes: Sizes,
    thickness: ThicknessOf,
) -> Parts:
    """Return the joints and screws between one panel's frame and its staves.

    Each frame piece is one joint onto all the staves it crosses.

    Args:
        panel: its name.
        plane: where it stands in the box.
        frame: its outer pieces in the plane's (u, v), mm.
        staves: likewise, behind them.
        screw: that goes through both.
        pitch: the greatest distance between two screws along a frame piece, mm.
        sizes: of the box, mm.
        thickness: gives each board's own thickness, mm, in the lumber case that is laid out.
    """
    parts = Parts()
    inward = tuple(-x for x in plane.out)
    pieces = tuple(frame), tuple(staves)
    counts: dict[str, int] = {}
    for tie in panel_ties(*pieces, screw, pitch, sizes.tape):
        name, first = f"{panel}.{tie.piece.name}", f"{panel}.{tie.stave.name}"
        number = counts[tie.piece.name] = counts.get(tie.piece.name, 0) + 1
        u, v = tie.point
        head = plane.point(u, v, -thickness(first, sizes.board))
        parts.screws.append(
            Screw(f"{name}/{number}", screw, "wall", head, plane.out, (first, name))
        )
    for piece, behind in _crossed(*pieces):
        held = counts.get(piece.name, 0)
        least = max(held * TOLERANCES.contact_per_screw, TOLERANCES.contact_glued)
        parts.joints.append(
            Joint(
                f"{panel}.{piece.name} on staves",
                "screw",
                (f"{panel}.{piece.name}",),
                tuple(f"{panel}.{stave.name}" for stave in behind),
                (inward[0], inward[1], inward[2]),
                least,
                held,
            )
        )
    return parts
