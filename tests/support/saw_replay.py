"""Saws a plan as a person would who has only the saw list: own code, no planner imports.

Starts from boards as the yard sells them (ends out of square, corners clipped, maybe longer and
wider than planned), does every listed cut in the order of the list with the fence, stop and
angle that its line states, and says which pieces are not their part's exact outline. Where a
cut belongs is read off the drawn layout; where the blade goes, off the list alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

NEAR = 0.06
"""Pieces may differ by this, mm: sizes in the list are rounded, angles to hundredths."""

Json = dict[str, Any]
Point = tuple[float, float]
Shape = list[Point]


class Sold(NamedTuple):
    """A board as it comes to the saw, mm: `clip` along and across a dog-eared far end; `skew`:
    how far its ends are out of square."""

    name: str
    length: float
    width: float
    clip: tuple[float, float] = (0.0, 0.0)
    skew: float = 0.0


def miscut(plan: Json, boards: Sequence[Sold], trim: float = 0.0) -> list[str]:
    """What is wrong with the pieces that come off the saw."""
    kinds = {board.name: board for board in boards}
    found = []
    for number, layout in enumerate(plan["layouts"]):
        stock = layout["stock"]
        board = kinds.get(stock["name"])
        if board is None or stock["on_hand"]:
            board = Sold(stock["name"], stock["length_mm"], stock["width_mm"])
        bench = _Bench(plan, number, board, 0.0 if stock["on_hand"] else trim)
        found += [f"layout {number}: {text}" for text in bench.faults()]
    return found


class _Bench:
    """One board on its way over the saw."""

    def __init__(self, plan: Json, number: int, board: Sold, trim: float) -> None:
        self.settings = plan["setups"]["settings"]
        self.layout = plan["layouts"][number]
        self.number, self.kerf, self.pieces = number, plan["kerf_mm"], self.layout["pieces"]
        self.rest = _squared(board, trim, self.layout.get("squared_ends", 0))
        self.blocks: dict[int, Shape] = {}
        self.strips: dict[tuple[int, int], list[tuple[Shape, list[int]]]] = {}

    def faults(self) -> list[str]:
        """Saw everything, then measure; where nothing is left under the blade, say so."""
        try:
            return self._sawn()
        except (IndexError, StopIteration, ValueError) as error:
            return [f"the list cannot be followed: {error!r}"]

    def _sawn(self) -> list[str]:
        todo = [(self._line(cut), cut) for cut in self.layout["cuts"]]
        for line, setting in enumerate(self.settings):
            if setting["stage"] == 0 and self._is_here(setting):
                self.rest = _clipped(self.rest, (0.0, -1.0), -setting["setting_mm"])
            for cut in [cut for where, cut in todo if where == line]:
                (self._crosscut, self._rip, self._part)[cut["stage"] - 1](cut, setting)
        self._leave_blocks()
        self._leave_strips()
        found = []
        for held in self.strips.values():
            for shape, inside in held:
                if len(inside) > 1:
                    found.append(f"pieces {inside} are never cut apart")
                elif inside:
                    found += _misshapen(shape, self.pieces[inside[0]])
        return found

    def _is_here(self, setting: Json) -> bool:
        return any(place["layout"] == self.number for place in setting["places"])

    def _line(self, cut: Json) -> int:
        """The line of the saw list that makes a cut."""
        if "line" in cut:
            return int(cut["line"])
        return next(
            i
            for i, one in enumerate(self.settings)
            if (one["stage"], one["kind"]) == (cut["stage"], cut["kind"])
            and abs(one["setting_mm"] - cut["setting_mm"]) < 1e-3
            and abs(one["angle_deg"] - abs(cut["angle_deg"])) < 0.011
        )

    def _crosscut(self, cut: Json, setting: Json) -> None:
        """A block off the board: the stop at its fresh end, or at the far end for number -1."""
        size = setting["setting_mm"]
        if cut["block"] < 0:
            stop = max(x for x, _ in self.rest) - size
            last = max(piece["block"] for piece in self.pieces)
            self.blocks[last] = _clipped(self.rest, (1.0, 0.0), stop)
            self.rest = _clipped(self.rest, (-1.0, 0.0), -(stop - self.kerf))
            return
        stop = min(x for x, _ in self.rest) + size
        self.blocks[cut["block"]] = _clipped(self.rest, (-1.0, 0.0), -stop)
        self.rest = _clipped(self.rest, (1.0, 0.0), stop + self.kerf)

    def _leave_blocks(self) -> None:
        """What no crosscut took off is the last block."""
        for piece in self.pieces:
            self.blocks.setdefault(piece["block"], self.rest)

    def _rip(self, cut: Json, setting: Json) -> None:
        """A strip off a block: its fresh edge on the fence; or waste off it, the far edge there."""
        self._leave_blocks()
        block, size = self.blocks[cut["block"]], setting["setting_mm"]
        if cut.get("waste"):
            edge = max(y for _, y in block) - size
            self.blocks[cut["block"]] = _clipped(block, (0.0, 1.0), edge)
            return
        edge = min(y for _, y in block) + size
        key = (cut["block"], cut["strip"])
        self.strips[key] = [(_clipped(block, (0.0, -1.0), -edge), self._held(*key))]
        self.blocks[cut["block"]] = _clipped(block, (0.0, 1.0), edge + self.kerf)

    def _held(self, block: int, strip: int) -> list[int]:
        every = enumerate(self.pieces)
        inside = [i for i, p in every if (p["block"], p["strip"]) == (block, strip)]
        return sorted(inside, key=lambda i: self.pieces[i]["x_mm"])

    def _leave_strips(self) -> None:
        """What no rip took off is the last strip of its block."""
        self._leave_blocks()
        for piece in self.pieces:
            key = (piece["block"], piece["strip"])
            if key not in self.strips:
                self.strips[key] = [(self.blocks[key[0]], self._held(*key))]

    def _part(self, cut: Json, setting: Json) -> None:
        """A crosscut of a strip, or of what was cut off it: longer point to the stop."""
        self._leave_strips()
        held = self.strips[cut["block"], cut["strip"]]
        size, lean = setting["setting_mm"], math.copysign(setting["angle_deg"], cut["angle_deg"])
        ends = [i for _, inside in held for i in inside if self._ends_at(i, cut)]
        begins = [i for _, inside in held for i in inside if self._begins_at(i, cut)]
        fresh = size == 0
        here = begins[0] if fresh or not ends else ends[0]
        place = next(k for k, (_, inside) in enumerate(held) if here in inside)
        shape, inside = held.pop(place)
        tilt = math.tan(math.radians(lean))
        low, up, base, top = _end_of(shape)
        if fresh:
            start = max(low, up - (top - base) * tilt)
            held.insert(place, (_right_of(shape, start, base, tilt), inside))
            return
        edge = _fence_edge(low, up, tilt)
        start = low + size if edge == "low" else up + size - (top - base) * tilt
        split = inside.index(here) + bool(ends)
        left = _left_of(shape, start, base, tilt)
        right = _right_of(shape, start + self.kerf / math.cos(math.radians(lean)), base, tilt)
        held[place:place] = [(left, inside[:split]), (right, inside[split:])]

    def _ends_at(self, i: int, cut: Json) -> bool:
        piece = self.pieces[i]
        here = abs(piece["x_mm"] + piece["length_mm"] - cut["position_mm"]) < 2e-3
        return here and abs(-piece["end_angles_deg"][1] - cut["angle_deg"]) < 0.02

    def _begins_at(self, i: int, cut: Json) -> bool:
        x = self.pieces[i]["x_mm"]
        return min(abs(x - cut["position_mm"]), abs(x - self.kerf - cut["position_mm"])) < 2e-3


def _squared(board: Sold, trim: float, ends: int) -> Shape:
    """The board with so many ends squared, the one that is not clipped first."""
    along, across = board.clip
    length, width, skew = board.length, board.width, board.skew
    shape: Shape = [(0.0, 0.0), (length - skew, 0.0), (length, width), (skew, width)]
    if along:
        tilt = across / along
        size = math.hypot(tilt, 1.0)
        for y, way in ((0.0, 1.0), (width, -1.0)):
            normal = (-tilt / size, way / size)
            at = normal[0] * (length - along) + normal[1] * y
            shape = _clipped(shape, normal, at)
    if ends >= 1:
        shape = _clipped(shape, (1.0, 0.0), trim)
    if ends >= 2:
        shape = _clipped(shape, (-1.0, 0.0), -(length - trim))
    return shape


def _clipped(shape: Shape, normal: Point, least: float) -> Shape:
    """What of a convex shape lies where the product with the normal is at least so much."""
    found: Shape = []
    for (ax, ay), (bx, by) in zip(shape, [*shape[1:], shape[0]], strict=True) if shape else ():
        a = ax * normal[0] + ay * normal[1] - least
        b = bx * normal[0] + by * normal[1] - least
        if a >= 0:
            found.append((ax, ay))
        if (a > 0 > b) or (a < 0 < b):
            found.append((ax + (bx - ax) * a / (a - b), ay + (by - ay) * a / (a - b)))
    return found


def _left_of(shape: Shape, start: float, base: float, tilt: float) -> Shape:
    """What lies left of the line that meets y = base at `start` and leans by `tilt`."""
    return _clipped(shape, (-1.0, tilt), -start + base * tilt)


def _right_of(shape: Shape, start: float, base: float, tilt: float) -> Shape:
    return _clipped(shape, (1.0, -tilt), start - base * tilt)


def _end_of(shape: Shape) -> tuple[float, float, float, float]:
    """Where the left end meets the lower and the upper edge (x, x), and those edges (y, y)."""
    base, top = min(y for _, y in shape), max(y for _, y in shape)
    low = min(x for x, y in shape if y < base + 1e-6)
    up = min(x for x, y in shape if y > top - 1e-6)
    return low, up, base, top


def _fence_edge(low: float, up: float, tilt: float) -> str:
    """The edge with the fresh end's longer point; of a square end, the longer edge."""
    if abs(low - up) > 1e-3:
        return "low" if low < up else "up"
    return "up" if tilt > 0 else "low"


def _misshapen(shape: Shape, piece: Json) -> list[str]:
    """What is wrong with one piece: every corner of its part has to be there, and no other."""
    x0, y0, wide = piece["x_mm"], piece["y_mm"], piece["width_mm"]
    x1 = x0 + piece["length_mm"]
    left, right = (wide * math.tan(math.radians(a)) for a in piece["end_angles_deg"])
    wanted = [
        (x0 + max(0.0, -left), y0),
        (x1 - max(0.0, -right), y0),
        (x1 - max(0.0, right), y0 + wide),
        (x0 + max(0.0, left), y0 + wide),
    ]
    name = f"{piece['part']} at {x0:.1f}, {y0:.1f}"
    if not shape:
        return [f"{name}: nothing is left of it"]
    gx, gy = (min(p[k] for p in shape) - min(p[k] for p in wanted) for k in (0, 1))
    got = [(x - gx, y - gy) for x, y in shape]

    def near(p: Point, some: Shape) -> bool:
        return any(math.dist(p, q) < NEAR for q in some)

    if all(near(p, wanted) for p in got) and all(near(p, got) for p in wanted):
        return []
    size = max(x for x, _ in got) - min(x for x, _ in got)
    tall = max(y for _, y in got) - min(y for _, y in got)
    return [
        f"{name}: {size:.2f} x {tall:.2f} with {len(got)} corners instead of "
        f"{x1 - x0:.2f} x {wide:.2f}"
    ]
