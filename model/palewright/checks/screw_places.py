"""Check every screw: what it joins, what it misses, how near it comes to faces and to others.

Findings are gathered by use of the screw and role of the board; each tells the worst place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from palewright.findings import Finding
from palewright.fit_cases import FitCase, check
from palewright.joints import Screw
from palewright.parameters import Parameters
from palewright.remedies import Remedy, raised, words
from palewright.units import both_units, up_to_shop

_SCREW_KEY = {"cleat": "wall"}
_WIDTH_KEYS: dict[str, tuple[str, Callable[[Parameters], float]]] = {
    "brace": ("face.brace_width", lambda p: p.face.brace_width),
    "bar": ("face.bar_width", lambda p: p.face.bar_width),
    "stile": ("panel.stile_width", lambda p: p.panel.stile_width),
    "rail": ("panel.rail_width", lambda p: p.panel.rail_width),
    "cleat": ("floor.cleat_width", lambda p: p.floor.cleat_width),
    "cap": ("cap.width", lambda p: p.cap.width),
    "upright": ("trellis.strip_width", lambda p: p.trellis.strip_width),
    "packer": ("trellis.strip_width", lambda p: p.trellis.strip_width),
}


def screw_key(use: str) -> str:
    """Return the key that chooses the screw of one use."""
    return f"screws.{_SCREW_KEY.get(use, use)}"


@dataclass(slots=True)
class Worst:
    """The worst of many like places: the number, the boards and screws concerned."""

    measured: float = float("inf")
    boards: dict[str, None] = field(default_factory=dict)
    screws: set[str] = field(default_factory=set)
    screw: Screw | None = None

    @property
    def count(self) -> int:
        """How many screws are concerned."""
        return len(self.screws)

    def take(self, measured: float, boards: tuple[str, ...], screw: Screw) -> None:
        """Count one more place."""
        self.screws.add(screw.name)
        self.boards.update(dict.fromkeys(boards))
        if measured < self.measured:
            self.measured, self.screw = measured, screw


@check
def missed_boards(fit: FitCase) -> Iterator[Finding]:
    """Find screws that do not reach every board they should join (PW301)."""
    spans, worst = fit.spans, dict[tuple[str, str], Worst]()
    screws, boards = spans.stacked
    begin, finish = spans.held(screws, boards)
    bites = finish - begin
    for place in np.flatnonzero(bites <= 0.0):
        screw, name = spans.screws[screws[place]], spans.names[boards[place]]
        bite = float(bites[place]) if np.isfinite(bites[place]) else -screw.kind.length
        key = (screw.use, fit.box.boards[name].role)
        worst.setdefault(key, Worst()).take(bite, (name,), screw)
    for (use, role), one in worst.items():
        yield Finding(
            "PW301",
            tuple(one.boards),
            one.measured,
            0.0,
            "mm",
            f"{one.count} {use} screws do not reach the {role} they should hold",
            f"take a longer screw: {screw_key(use)}",
            group=f"{use}/{role}",
        )


@check
def points_through(fit: FitCase) -> Iterator[Finding]:
    """Find screws whose points come through (PW302) or end close under the face (PW303)."""
    spans, limits = fit.spans, fit.tolerances
    through, close = dict[str, Worst](), dict[str, Worst]()
    for s, screw in enumerate(spans.screws):
        b = spans.index[screw.stack[-1]]
        if spans.enter[s, b] >= screw.kind.length or spans.enter[s, b] > spans.leave[s, b]:
            continue  # it misses: reported as PW301
        cover = float(spans.leave[s, b] - screw.kind.length)
        if cover < -1e-9:
            through.setdefault(screw.use, Worst()).take(cover, screw.stack[-1:], screw)
        elif cover < limits.point_cover:
            close.setdefault(screw.use, Worst()).take(cover, screw.stack[-1:], screw)
    for code, found, limit in (("PW302", through, 0.0), ("PW303", close, limits.point_cover)):
        for use, one in found.items():
            assert one.screw is not None
            longest = one.screw.kind.length + one.measured - limits.point_cover
            said = (
                f"come {both_units(-one.measured)} through"
                if code == "PW302"
                else f"end {both_units(one.measured)} under the face"
            )
            yield Finding(
                code,
                tuple(one.boards),
                one.measured,
                limit,
                "mm",
                f"{one.count} {use} screws ({one.screw.kind.label}) {said}",
                f"set {screw_key(use)} to at most {_whole_eighth(longest)} long",
                group=use,
            )


def _whole_eighth(length: float) -> str:
    """Return a length rounded down to eighths of an inch, as screws are sold, and in mm."""
    eighth = 25.4 / 8
    return both_units(max(length // eighth, 0) * eighth)


@check
def side_distances(fit: FitCase) -> Iterator[Finding]:
    """Find screws too near an edge (PW304) or end (PW309), or nearer than advised (PW305/6)."""
    spans, limits = fit.spans, fit.tolerances
    worst = dict[tuple[str, str, str], Worst]()
    screws, boards = spans.stacked
    begin, finish = spans.held(screws, boards)
    reached = begin < finish
    screws, boards = screws[reached], boards[reached]
    rooms = np.column_stack(spans.side_room(screws, boards)) / spans.diameters[screws, None]
    for place, kind in np.argwhere(rooms < (limits.edge_advised, limits.end_advised)):
        screw, name = spans.screws[screws[place]], spans.names[boards[place]]
        room = float(rooms[place, kind])
        code = _distance_code(("edge", "end")[kind], room, fit)
        if code:
            role = fit.box.boards[name].role
            worst.setdefault((code, screw.use, role), Worst()).take(room, (name,), screw)
    for (code, use, role), one in worst.items():
        assert one.screw is not None
        diameter = one.screw.kind.diameter
        limit = {
            "PW304": limits.edge_cover,
            "PW305": limits.edge_advised,
            "PW306": limits.end_advised,
            "PW309": limits.end_cover,
        }[code]
        where = "edge" if code in ("PW304", "PW305") else "end"
        yield Finding(
            code,
            tuple(one.boards),
            one.measured,
            limit,
            "D",
            f"{one.count} {use} screws ({one.screw.kind.label}) run {one.measured:.2f} D, "
            f"{both_units(one.measured * diameter)}, from the {role}'s {where}; "
            f"{limit:g} D are {both_units(limit * diameter)}",
            *_distance_remedy(code, use, role, (limit - one.measured) * diameter, fit),
            group=f"{use}/{role}",
        )


def _distance_code(kind: str, room: float, fit: FitCase) -> str:
    """Return the code for a distance in diameters; empty when it is as advised."""
    limits, rounding = fit.tolerances, 1e-6
    if kind == "edge":
        if room < limits.edge_cover - rounding:
            return "PW304"
        return "PW305" if room < limits.edge_advised - rounding else ""
    if room < limits.end_cover - rounding:
        return "PW309"
    return "PW306" if room < limits.end_advised - rounding else ""


def _distance_remedy(code: str, use: str, role: str, short: float, fit: FitCase) -> Remedy:
    """Return what gives a screw more wood beside it."""
    if code in ("PW305", "PW306"):
        return words(_advised_remedy(use, code == "PW305", fit))
    if use == "corner":
        return words('take a thinner screw in screws.corner, or set corner.style to "post"')
    if use == "trellis" and role in ("stave", "filler"):
        return words("change trellis.uprights, to move them off the staves' edges")
    if use == "trellis":
        role = "upright"
    if role in _WIDTH_KEYS and use not in ("cap", "floor"):
        key, value = _WIDTH_KEYS[role]
        return raised(key, value(fit.box.parameters), 2 * short, fit.box.parameters.product.units)
    return words(f"take a thinner screw: {screw_key(use)}")


_INTO_EDGES = {
    "corner": 'set corner.style to "post"',
    "cap": 'set cap.style to "none"',
    "floor": 'set floor.kind to "cleats"',
}
"""Screws along the middle of a board's edge, and what does without them."""

_BENCH = (
    "advice that the plan's drilling already follows as far as it can, no limit: try the joint in "
    "an offcut, clamp the board across the hole, drill square and drive slowly"
)


def _advised_remedy(use: str, edge: bool, fit: FitCase) -> str:
    """Return what gives a screw the advised distance for sure, or what to do at the bench.

    Holes are drilled first in any case, and what is advised is for such. Screws into the middle
    of an edge have half the board's thickness; other places follow from many sizes at once.
    """
    kinds = fit.box.parameters
    wide = {"corner": kinds.screw_of("corner"), "cap": kinds.screw_of("cap")}
    if edge and use in wide:
        thick = 2 * fit.tolerances.edge_advised * wide[use].diameter
        system = fit.box.parameters.product.units
        wood = f"boards of at least {both_units(up_to_shop(thick, system))} each (lumber.board)"
        return f"{_INTO_EDGES[use]}, or take {wood}; else it is {_BENCH}"
    moves = f"{screw_key(use)}, wall.layout and the sizes of the face move it, none for sure"
    if use in _INTO_EDGES:
        moves = _INTO_EDGES[use]
    return f"{moves}; else it is {_BENCH}"


@check
def meeting_screws(fit: FitCase) -> Iterator[Finding]:
    """Find screws that meet in the wood (PW307)."""
    air = fit.tolerances.screw_air
    for i, j, apart in fit.spans.near_screws(air):
        first, second = fit.spans.screws[i], fit.spans.screws[j]
        limit = (first.kind.diameter + second.kind.diameter) / 2
        limit += air * max(first.kind.diameter, second.kind.diameter)
        longer = first if first.kind.length >= second.kind.length else second
        key = screw_key(longer.use)
        yield Finding(
            "PW307",
            (first.name, second.name),
            apart,
            limit,
            "mm",
            f"screws {first.name} and {second.name} come within {both_units(apart)}",
            f"take a shorter {key}, or change screws.pitch to move one row",
            group=f"{first.use}/{second.use}",
        )


@check
def stray_screws(fit: FitCase) -> Iterator[Finding]:
    """Find screws that enter boards outside their joint (PW308)."""
    spans = fit.spans
    if not spans.screws:
        return
    begin = np.maximum(spans.enter, 0.0)
    finish = np.minimum(spans.leave, spans.lengths[:, None])
    inside = finish - begin
    inside[spans.stacked] = 0.0
    worst = dict[tuple[str, str], Worst]()
    for s, b in np.argwhere(inside > 0.1):
        screw, name = spans.screws[s], spans.names[b]
        key = (screw.use, fit.box.boards[name].role)
        worst.setdefault(key, Worst()).take(-float(inside[s, b]), (name,), screw)
    for (use, role), one in worst.items():
        yield Finding(
            "PW308",
            tuple(one.boards),
            -one.measured,
            0.0,
            "mm",
            f"{one.count} {use} screws run up to {both_units(-one.measured)} into a "
            f"{role} that they should not touch",
            f"take a shorter {screw_key(use)}, or change screws.pitch",
            group=f"{use}/{role}",
        )
