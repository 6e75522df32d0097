"""Checks a cut plan on its own: knows nothing of how plans are made.

Takes the JSON form of a plan (a dict), the demand, the boards and the kerf as plain numbers in
millimetres, and returns a list of complaints: empty where the plan holds. Slanted parts are
checked as the polygons they are.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Any, NamedTuple

SLIP = 2e-3


class Wanted(NamedTuple):
    part: str
    length: float
    width: float
    number: int
    end_angles: tuple[float, float] = (0.0, 0.0)


class Board(NamedTuple):
    name: str
    length: float
    width: float
    available: int | None = None
    clipped_end: float = 0.0
    clipped_depth: float = 0.0
    true_end: bool = True


class Box(NamedTuple):
    part: str
    x0: float
    y0: float
    x1: float
    y1: float
    ends: tuple[float, float]


def complaints(
    plan: dict[str, Any],
    wanted: Sequence[Wanted],
    boards: Sequence[Board],
    kerf: float,
    *,
    order: str = "best",
) -> list[str]:
    """Everything that is wrong with the plan."""
    found = _miscounted(plan, wanted)
    kinds = {board.name: board for board in boards}
    used: Counter[str] = Counter()
    for number, layout in enumerate(plan["layouts"]):
        where = f"layout {number}"
        name = layout["stock"]["name"]
        if name not in kinds:
            found.append(f"{where}: unknown board {name}")
            continue
        if layout["count"] < 1:
            found.append(f"{where}: count {layout['count']}")
        used[name] += layout["count"]
        boxes = [_box(piece) for piece in layout["pieces"]]
        found += [f"{where}: {text}" for text in _misplaced(boxes, kinds[name], kerf)]
        found += [f"{where}: {text}" for text in _missized(boxes, wanted)]
        if not _separable(boxes, kerf, order):
            found.append(f"{where}: not separable by crosscuts, rips, crosscuts")
        found += [f"{where}: {text}" for text in _bad_offcuts(layout, boxes, kinds[name])]
        found += [f"{where}: {text}" for text in _bad_cuts(layout, boxes, kinds[name], kerf)]
    for name, number in used.items():
        limit = kinds[name].available
        if limit is not None and number > limit:
            found.append(f"{number} of {name} used, {limit} at hand")
    return found + _misreported(plan)


def _box(piece: dict[str, Any]) -> Box:
    x, y = piece["x_mm"], piece["y_mm"]
    ends = tuple(piece.get("end_angles_deg", (0.0, 0.0)))
    return Box(
        piece["part"], x, y, x + piece["length_mm"], y + piece["width_mm"], (ends[0], ends[1])
    )


def _miscounted(plan: dict[str, Any], wanted: Sequence[Wanted]) -> list[str]:
    made: Counter[str] = Counter()
    for layout in plan["layouts"]:
        for piece in layout["pieces"]:
            made[piece["part"]] += layout["count"]
    asked: Counter[str] = Counter()
    for want in wanted:
        asked[want.part] += want.number
    return [
        f"{part}: {made[part]} made, {asked[part]} wanted"
        for part in sorted(set(made) | set(asked))
        if made[part] != asked[part]
    ]


def _missized(boxes: Sequence[Box], wanted: Sequence[Wanted]) -> list[str]:
    """Pieces that are not of a wanted size and shape (a half turn in the plane is the same)."""
    found = []
    for box in boxes:
        good = any(
            want.part == box.part
            and abs(want.length - (box.x1 - box.x0)) < SLIP
            and abs(want.width - (box.y1 - box.y0)) < SLIP
            and any(
                math.dist(shape, box.ends) < 0.02
                for shape in (want.end_angles, (-want.end_angles[1], -want.end_angles[0]))
            )
            for want in wanted
        )
        if not good:
            found.append(f"{box.part} at {box.x0:.2f} has the wrong size or ends")
    return found


def _outline(box: Box) -> list[tuple[float, float]]:
    """Corners, counterclockwise from the lower left."""
    wide = box.y1 - box.y0
    left, right = (wide * math.tan(math.radians(angle)) for angle in box.ends)
    return [
        (box.x0 + max(0.0, -left), box.y0),
        (box.x1 - max(0.0, -right), box.y0),
        (box.x1 - max(0.0, right), box.y1),
        (box.x0 + max(0.0, left), box.y1),
    ]


def _misplaced(boxes: Sequence[Box], board: Board, kerf: float) -> list[str]:
    found = []
    for box in boxes:
        inside = box.x0 > -SLIP and box.y0 > -SLIP
        inside = inside and box.x1 < board.length + SLIP and box.y1 < board.width + SLIP
        if not inside or not _clear_of_corners(box, board):
            found.append(f"{box.part} at {box.x0:.2f}, {box.y0:.2f} is off the board")
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            if not _apart(one, other, kerf):
                found.append(f"{one.part} and {other.part} are less than a kerf apart")
    return found


def _clear_of_corners(box: Box, board: Board) -> bool:
    """Whether the bounding rectangle stays inside the dog-eared end."""
    if not board.clipped_end:
        return True
    for y in (box.y0, board.width - box.y1):
        along = board.clipped_end * (1 - max(0.0, y) / board.clipped_depth)
        if along > 0 and box.x1 > board.length - along + SLIP:
            return False
    return True


def _apart(one: Box, other: Box, kerf: float) -> bool:
    """Whether a saw cut of this kerf, square, level or along a slanted end, goes between."""
    gaps = (other.x0 - one.x1, one.x0 - other.x1, other.y0 - one.y1, one.y0 - other.y1)
    if max(gaps) >= kerf - SLIP:
        return True
    first, second = _outline(one), _outline(other)
    for shape, rival in ((first, second), (second, first)):
        for (ax, ay), (bx, by) in zip(shape, [*shape[1:], shape[0]], strict=True):
            size = math.hypot(bx - ax, by - ay)
            normal = ((by - ay) / size, -(bx - ax) / size)
            reach = min((x - ax) * normal[0] + (y - ay) * normal[1] for x, y in rival)
            if reach >= kerf - SLIP:
                return True
    return False


def _groups(spans: Sequence[tuple[float, float]], kerf: float) -> list[list[int]]:
    """Numbers of spans split wherever a kerf goes between all of them."""
    order = sorted(range(len(spans)), key=lambda i: spans[i][0])
    groups: list[list[int]] = []
    reach = -math.inf
    for i in order:
        if not groups or spans[i][0] - reach >= kerf - SLIP:
            groups.append([])
        groups[-1].append(i)
        reach = max(reach, spans[i][1])
    return groups


def _separable(boxes: Sequence[Box], kerf: float, order: str) -> bool:
    """Crosscut wherever a whole kerf goes through, rip what is left, crosscut the strips.

    Splitting as far as possible first never hurts: a block that can be split holds pieces
    whose strips can be cut apart at the same place.
    """
    blocks = [list(range(len(boxes)))]
    if order != "rip-first":
        blocks = _groups([(box.x0, box.x1) for box in boxes], kerf)
    return all(_strips_hold([boxes[i] for i in block], kerf) for block in blocks)


def _strips_hold(boxes: Sequence[Box], kerf: float) -> bool:
    for strip in _groups([(box.y0, box.y1) for box in boxes], kerf):
        row = [boxes[i] for i in strip]
        widths = {round(box.y1 - box.y0, 2) for box in row}
        if len(widths) > 1 or len({round(box.y0, 2) for box in row}) > 1:
            return False
    return True


def _bad_offcuts(layout: dict[str, Any], boxes: Sequence[Box], board: Board) -> list[str]:
    """Offcuts off the board or over pieces (over their bounding boxes where ends are square)."""
    found = []
    for offcut in layout["offcuts"]:
        x, y = offcut["x_mm"], offcut["y_mm"]
        box = Box("offcut", x, y, x + offcut["length_mm"], y + offcut["width_mm"], (0.0, 0.0))
        if box.x1 > board.length + SLIP or box.y1 > board.width + SLIP or min(x, y) < -SLIP:
            found.append(f"offcut at {x:.2f}, {y:.2f} is off the board")
        for piece in boxes:
            over = min(box.x1, piece.x1) - max(box.x0, piece.x0)
            across = min(box.y1, piece.y1) - max(box.y0, piece.y0)
            if over > SLIP and across > SLIP:
                found.append(f"offcut at {x:.2f}, {y:.2f} lies over {piece.part}")
    return found


def _bad_cuts(layout: dict[str, Any], boxes: Sequence[Box], board: Board, kerf: float) -> list[str]:
    """Pieces whose edges are no board edge and no cut, and cuts out of order."""
    found = []
    cuts = layout["cuts"]
    if [cut["stage"] for cut in cuts] != sorted(cut["stage"] for cut in cuts):
        found.append("cuts are not in the order of their stages")
    across = [cut["position_mm"] for cut in cuts if cut["kind"] == "crosscut"]
    along = [cut["position_mm"] for cut in cuts if cut["kind"] == "rip"]
    for box in boxes:
        end = board.true_end and board.length - SLIP <= box.x1
        far = (
            end or any(abs(box.x1 - x) < SLIP for x in across) or _at_far_block(layout, box, board)
        )
        top = board.width - SLIP <= box.y1 or any(abs(box.y1 - y) < SLIP for y in along)
        low = box.y0 <= SLIP or any(abs(box.y0 - kerf - y) < SLIP for y in along)
        if not far and not any(box.ends):
            found.append(f"{box.part} at {box.x0:.2f}: nothing cuts its far end")
        if not top or not low:
            found.append(f"{box.part} at {box.y0:.2f}: nothing rips its edges")
    return found


def _at_far_block(layout: dict[str, Any], box: Box, board: Board) -> bool:
    """Whether a piece ends at the squared far end of a block that is measured from there."""
    measured = any(cut["stage"] == 1 and cut.get("block") == -1 for cut in layout["cuts"])
    return measured and board.length - SLIP <= box.x1


def _misreported(plan: dict[str, Any]) -> list[str]:
    found = []
    fresh = sum(lay["count"] for lay in plan["layouts"] if not lay["stock"]["on_hand"])
    if plan["boards"] != fresh:
        found.append(f"{plan['boards']} boards stated, {fresh} cut")
    if plan["lower_bound"] > plan["boards"]:
        found.append("the lower bound is above the plan")
    return found
