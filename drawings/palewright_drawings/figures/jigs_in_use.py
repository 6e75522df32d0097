"""How a jig lies on the boards: on a panel seen from its staves, on a corner, at the saw.

The saw's fence and blade are only hinted at: their mm are judged by eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from palewright.construction.boards import Board, Placement, Vector, dot
from palewright.design import Design
from palewright.geometry.contours import drawn, extent
from palewright.geometry.polygons import Point, Polygon, rectangle
from palewright.jigs.records import Jig, JigPart, Pose
from palewright.reading.lengths import degrees
from palewright_drawings.paper.figure import AngleMark, Figure, Fill, Label, Round, Stroke

LABEL_AIR = 0.02
"""Labels stand so far from a jig, as a share of the drawing's size."""

CHORD = 0.05
"""Arcs of jigs are drawn by chords this near to them, mm: not to be seen on paper."""

_DEEPER = 0.12
"""Boards below the staves are so much darker."""

_BEYOND = 70.0
"""So much (mm) of boards is drawn beside a small gauge."""


def laid_figure(design: Design, jig: Jig) -> Figure:
    """Return a jig on the first panel or corner that it serves, and where else it lies there."""
    first = jig.poses[0]
    view = _JigView(first)
    boards = list(_shown(design, first))
    strokes: list[Stroke] = []
    fills: list[Fill] = []
    wall = min((y for b, near in boards if near for _, y in view.ring(b.corners)), default=0.0)
    for board, near in boards:
        ring = view.ring(board.corners)
        fills.append(Fill("wood", ring, board=board.name, shade=0.0 if near else _DEEPER))
        if near:
            strokes.append(Stroke("thin", ring, True, board.name))
        elif board.role == "stile":
            strokes += _stile_edges(ring, wall, board.name)
        else:
            strokes.append(Stroke("hidden", ring, True, board.name))
    for pose in reversed([pose for pose in jig.poses if pose.on == first.on]):
        place = pose.placement(design.box.boards, jig.plate.thickness)
        plate = tuple(view.point(place.out(x, y)) for x, y in drawn(jig.plate.contour, CHORD))
        strokes.append(Stroke("visible" if pose is first else "path", plate, True))
        if pose is first:
            fills += [Fill("jig", view.ring(_corners(part, place))) for part in _fences(jig, pose)]
    place = first.placement(design.box.boards, jig.plate.thickness)
    rounds = [Round("visible", view.point(place.out(x, y)), jig.guide / 2) for x, y in jig.guides]
    title = f"{jig.title}, on the {first.on}"
    return Figure(
        name=f"jig-{jig.name}-laid",
        title=title,
        alt=f"{title}: its fences embrace the {first.where}",
        strokes=tuple(strokes),
        rounds=tuple(rounds),
        fills=tuple(fills),
        labels=tuple(_side_labels(design, jig, first, view, strokes)),
    )


def _stile_edges(ring: Polygon, wall: float, name: str) -> Iterator[Stroke]:
    """Yield the edges of a stile behind a wall that begins at a height: seen and hidden ones."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    inner, outer = (max(xs), min(xs)) if abs(min(xs)) > abs(max(xs)) else (min(xs), max(xs))
    low, top = min(ys), max(ys)
    seen = ((inner, wall), (inner, low), (outer, low), (outer, top))
    yield Stroke("thin", seen if wall > low else seen[1:], False, name)
    yield Stroke("hidden", ((inner, wall), (inner, top)), False, name)


class _JigView:
    """What the maker sees who stands before a laid jig; what is up in the box stays up."""

    def __init__(self, pose: Pose) -> None:
        """Take the pose that is drawn."""
        sign = -1.0 if pose.y[2] < 0 else 1.0
        mirror = -1.0 if pose.turned else 1.0
        self.right: Vector = tuple(sign * mirror * v for v in pose.x)  # type: ignore[assignment]
        self.up: Vector = tuple(sign * v for v in pose.y)  # type: ignore[assignment]

    def point(self, point: Vector) -> Point:
        """Return where a point of the box is seen."""
        return dot(point, self.right), dot(point, self.up)

    def ring(self, points: Iterable[Vector]) -> Polygon:
        """Return the outline of points of a convex body, as it is seen."""
        return _hull([self.point(point) for point in points])


def _hull(points: list[Point]) -> Polygon:
    """Return the convex hull of points, counter-clockwise."""
    ordered = sorted({(round(x, 6), round(y, 6)) for x, y in points})

    def half(row: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for x, y in row:
            while len(kept) > 1:
                (ax, ay), (bx, by) = kept[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 1e-9:
                    break
                kept.pop()
            kept.append((x, y))
        return kept[:-1]

    return tuple(half(ordered) + half(ordered[::-1]))


def _shown(design: Design, pose: Pose) -> Iterator[tuple[Board, bool]]:
    """Yield (board, whether it is on the maker's side) of what lies below a laid jig."""
    boards = design.box.boards
    panels = {boards[pose.side].panel, boards[pose.end].panel}
    near = set(pose.rests_on)
    whole = len({boards[name].panel for name in near}) == 1 and len(near) > 1
    for board in boards.values():
        if board.panel not in panels or board.role in ("cleat", "post"):
            continue
        if whole:  # a panel with its staves up
            if board.role not in ("stave", "filler"):
                yield board, False
            continue
        in_frame = board.role not in ("stave", "filler")
        if board.name == pose.side or (board.panel == boards[pose.end].panel and in_frame):
            yield board, True
    if whole:
        for name in pose.rests_on:
            yield boards[name], True


def _fences(jig: Jig, pose: Pose) -> Iterator[JigPart]:
    """Yield the strips that hang over the boards' edges in a pose."""
    for part in jig.parts[1:]:
        if "fence" in part.name and part.name.startswith("upper ") == pose.turned:
            yield part


def _corners(part: JigPart, place: Placement) -> list[Vector]:
    """Return the corners of a strip's block in the box."""
    x0, y0, x1, y1 = extent(part.contour)
    return [
        place.out(*part.placement.out(x, y, z))
        for x in (x0, x1)
        for y in (y0, y1)
        for z in (0.0, part.thickness)
    ]


def _side_labels(
    design: Design, jig: Jig, pose: Pose, view: _JigView, strokes: list[Stroke]
) -> Iterator[Label]:
    """Yield which end of the boards is up, and which stile the side fence finds."""
    place = pose.placement(design.box.boards, jig.plate.thickness)
    x0, y0, x1, y1 = extent(jig.plate.contour)
    corners = [view.point(place.out(x, y)) for x in (x0, x1) for y in (y0, y1)]
    xs = [x for x, _ in corners]
    everything = [point for stroke in strokes for point in stroke.points]
    wide, high = (max(p[k] for p in everything) - min(p[k] for p in everything) for k in (0, 1))
    away = LABEL_AIR * max(wide, high)
    top = "top of the panel" if jig.kind == "panel" else "top of the box"
    level = max(y for _, y in everything)
    yield Label(top, ((min(xs) + max(xs)) / 2, level + away), anchor="above")
    side = view.point(place.out(x0, (y0 + y1) / 2))
    left = side[0] < (min(xs) + max(xs)) / 2
    text = pose.where.split(" and ")[0].replace(".", " ")
    at = (min(xs) - away if left else max(xs) + away, side[1])
    yield Label(text, at, anchor="above" if left else "below", angle=90.0)


def use_figure(design: Design, jig: Jig) -> Figure:
    """Return a spacer between its boards, a gauge under the cap, or a stop block at the saw."""
    if "gap" in jig.fixed:
        return _spacer(design, jig)
    if "overhang" in jig.fixed:
        return _cap_gauge(design, jig)
    return _stop_block(jig)


def _spacer(design: Design, jig: Jig) -> Figure:
    """Return a spacer with its tongue between two boards, seen on their ends."""
    thick, gap = design.box.sizes.board.thickness, jig.fixed["gap"]
    boards = (
        rectangle(-_BEYOND, -thick, 0.0, 0.0),
        rectangle(gap, -thick, gap + _BEYOND, 0.0),
    )
    return _in_use(
        jig, [(board, "wood") for board in boards], "between two boards, from their ends"
    )


def _cap_gauge(design: Design, jig: Jig) -> Figure:
    """Return a cap gauge held on a panel, below the cap, in section."""
    sizes, over = design.box.sizes, jig.fixed["overhang"]
    thick = sizes.board.thickness
    panel = rectangle(-thick, -_BEYOND - 20.0, 0.0, 0.0)
    cap = rectangle(over - design.parameters.cap.width, 0.0, over, sizes.cap_thickness)
    return _in_use(jig, [(panel, "wood"), (cap, "wood")], "on the frame, below the cap")


def _stop_block(jig: Jig) -> Figure:
    """Return a stop block at the mitre gauge's fence with a board on it, from above."""
    contour, angle = jig.plate.contour, math.radians(jig.fixed["angle"])
    (tip_x, tip_y, _), (foot_x, foot_y, _) = contour[2], contour[4]
    up = (math.cos(angle), math.sin(angle))
    wide, past = 50.0, 60.0
    long = math.dist((tip_x, tip_y), (foot_x, foot_y)) + past
    board = tuple(
        (foot_x + a * up[0] - b * up[1], foot_y + a * up[1] + b * up[0])
        for a, b in ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    )
    fence = rectangle(-30.0, -18.0, tip_x + 70.0, 0.0)
    blade_x = tip_x + 12.0
    figure = _in_use(jig, [(fence, "steel"), (board, "wood")], "at the mitre gauge, from above")
    blade = Stroke("path", ((blade_x, -30.0), (blade_x, max(y for _, y in board) + 25.0)))
    corner = (foot_x, foot_y)
    mark = AngleMark(
        corner, (foot_x + 100.0, foot_y), (foot_x + 100.0 * up[0], foot_y + 100.0 * up[1]),
        f"{degrees(jig.fixed['angle'])}°", "angle of the slope", 20.0,
    )  # fmt: skip
    return Figure(
        name=figure.name,
        title=figure.title,
        alt=figure.alt,
        strokes=(*figure.strokes, blade),
        fills=figure.fills,
        labels=(
            Label("mitre gauge", ((tip_x - 30.0) / 2, -24.0), anchor="below"),
            Label("blade", (blade_x, max(y for _, y in board) + 30.0), anchor="above"),
        ),
        angles=(mark,),
    )


def _in_use(jig: Jig, things: list[tuple[Polygon, str]], where: str) -> Figure:
    """Return a flat jig with what lies against it."""
    plate = drawn(jig.plate.contour, CHORD)
    title = f"{jig.title}, {where}"
    return Figure(
        name=f"jig-{jig.name}-laid",
        title=title,
        alt=title,
        strokes=(
            *(Stroke("thin", ring, True) for ring, _ in things),
            Stroke("visible", plate, True),
        ),
        fills=(
            *(Fill("steel" if tone == "steel" else "wood", ring) for ring, tone in things),
            Fill("jig", plate),
        ),
    )
