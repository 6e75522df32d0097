"""Screws, found in the holes of the boards: a head's cone, shank holes, and the pilot hole.

A screw begins where a hole is countersunk, slides through holes as wide as that one, and holds in
the first narrower one on its line. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from oracle.solids import SAME_AXIS, Bore, Floats, Solid, beside

INCH = 25.4

NOMINAL = {6: 0.138, 7: 0.151, 8: 0.164, 9: 0.177, 10: 0.190, 12: 0.216, 14: 0.242}
"""Diameter D (in) of a wood screw by gauge: NDS, Appendix L, Table L3."""

HEADS = {6: 0.262, 7: 0.287, 8: 0.312, 9: 0.337, 10: 0.363, 12: 0.414, 14: 0.480}
"""Head diameter D_H (in) by gauge: the same table."""

ASIDE = 0.2
"""How far apart the feet of one line may lie (mm): 1e-4 of the 2 m from which they are dropped."""


@dataclass(frozen=True)
class Found:
    """One screw.

    Attributes:
        head: where its head's rim lies, mm.
        axis: unit vector from head to point.
        bores: the holes that it goes through in order; the thread holds in the last.
        diameter: D, mm.
        threaded: whether there is a pilot hole at all.
    """

    head: Floats
    axis: Floats
    bores: tuple[Bore, ...]
    diameter: float
    threaded: bool

    @cached_property
    def boards(self) -> tuple[str, ...]:
        """Names of the boards it goes through, in order."""
        return tuple(bore.board for bore in self.bores)

    @cached_property
    def spans(self) -> list[tuple[float, float]]:
        """Where each of its holes begins and ends, mm from the head."""
        ends = [((b.start - self.head) @ self.axis, (b.end - self.head) @ self.axis)
                for b in self.bores]  # fmt: skip
        return [(float(min(pair)), float(max(pair))) for pair in ends]

    @property
    def length(self) -> float:
        """From the head to the end of the last hole, mm: the screw, where that hole is blind."""
        return self.spans[-1][1]

    @property
    def point(self) -> Floats:
        """Where the last hole ends, mm."""
        return self.head + self.axis * self.length

    @property
    def bite(self) -> float:
        """Length of the hole that the thread holds in, mm; 0 where there is none."""
        begin, end = self.spans[-1]
        return end - begin if self.threaded else 0.0


def find_screws(boards: Mapping[str, Solid]) -> tuple[list[Found], list[Bore]]:
    """Return the screws, and the holes that belong to none."""
    screws: list[Found] = []
    lonely: list[Bore] = []
    for line in _lines(bore for board in boards.values() for bore in board.bores):
        found, rest = _along(line)
        screws += found
        lonely += rest
    return screws, lonely


def _lines(bores: Iterable[Bore]) -> list[list[Bore]]:
    """Return the holes grouped by the straight line on which they lie."""
    buckets: dict[tuple[float, ...], list[list[Bore]]] = {}
    lines: list[list[Bore]] = []
    for bore in bores:
        axis = bore.axis * (1 if tuple(np.round(bore.axis, 6)) > (0, 0, 0) else -1)
        foot = bore.start - axis * (bore.start @ axis)
        turned = tuple((np.round(axis, 3) + 0.0).tolist())
        # both places near a rounded one are looked at, so that rounding parts no line
        ends = zip(np.floor(foot - ASIDE).tolist(), np.floor(foot + ASIDE).tolist(), strict=True)
        for near in product(*({*pair} for pair in ends)):
            for line in buckets.get((*turned, *near), ()):
                first = line[0]
                off = beside(bore.start - first.start, first.axis)
                if off < 10 * SAME_AXIS and beside(axis, first.axis) < 1e-4:
                    line.append(bore)
                    break
            else:
                continue
            break
        else:
            made = [bore]
            lines.append(made)
            buckets.setdefault((*turned, *np.floor(foot).tolist()), []).append(made)
    return lines


def _along(line: list[Bore]) -> tuple[list[Found], list[Bore]]:
    """Return the screws on one line, and its holes that belong to none."""
    left = {id(bore): bore for bore in line}
    screws = []
    for first in [bore for bore in line if bore.sink > bore.radius + 1e-6]:
        if id(first) not in left:
            continue
        head = first.start if first.mouth < 0.5 else first.end
        axis = first.axis if first.mouth < 0.5 else -first.axis
        beyond = sorted(
            (bore for bore in left.values() if bore is not first),
            key=lambda b: float(((b.start + b.end) / 2 - head) @ axis),
        )
        taken, threaded = [first], False
        for bore in beyond:
            if ((bore.start + bore.end) / 2 - head) @ axis < first.depth:
                continue
            if bore.sink > bore.radius + 1e-6 or bore.radius > first.radius + 1e-6:
                break
            taken.append(bore)
            if bore.radius < first.radius - 1e-6:
                threaded = True
                break
        for bore in taken:
            left.pop(id(bore))
        screws.append(Found(head, axis, tuple(taken), _diameter(first), threaded))
    return screws, list(left.values())


def _diameter(first: Bore) -> float:
    """Return D (mm) of the screw whose head fits a countersink.

    Raises:
        ValueError: if no gauge has such a head, or its shank does not pass the hole.
    """
    for gauge, head in HEADS.items():
        size = NOMINAL[gauge] * INCH
        if abs(2 * first.sink - head * INCH) < 0.02 and size <= 2 * first.radius + 1e-6:
            return size
    raise ValueError(f"{first.board}: no screw has a head of {2 * first.sink:.2f} mm")
