"""Check every screw: what it joins, what it misses, how near it comes to faces and to others.

Findings are gathered by use of the screw and role of the board; each tells the worst place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from palewright.construction.joints import Screw
from palewright.fit.cases import FitCase, check
from palewright.fit.findings import Finding
from palewright.fit.remedies import SOLD, Remedy, other_screw, raised, set_to, words
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import both_units

_ROUNDING = 1e-6
"""Of the unit: a limit that is just met is met."""
_SCREW_KEY = {"cleat": "wall"}
_WIDTH_KEYS: dict[str, tuple[str, Callable[[Parameters], float]]] = {
    "brace": ("face.brace_width", lambda p: p.face.brace_width),
    "bar": ("face.bar_width", lambda p: p.face.bar_width),
    "stile": ("panel.stile_width", lambda p: p.panel.stile_width),
    "rail": ("panel.rail_width", lambda p: p.panel.rail_width),
    "cleat": ("floor.cleat_width", lambda p: p.floor.cleat_width),
}
_LAP_KEYS: dict[str, tuple[str, Callable[[Parameters], float | None]]] = {
    "stile": ("wall.stile_lap", lambda p: p.wall.stile_lap),
    "rail": ("wall.rail_lap", lambda p: p.wall.rail_lap),
    "stave": ("wall.rail_lap", lambda p: p.wall.rail_lap),
}
"""What gives a wall screw room where it is set: width alone does not."""


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


@check("PW301")
def missed_boards(fit: FitCase) -> Iterator[Finding]:
    """Find screws that do not reach every board they should join (PW301)."""
    spans, worst = fit.spans, dict[tuple[str, str], Worst]()
    screws, boards = spans.stacked
    begin, finish = spans.held(screws, boards)
    bites = finish - begin
    for place in np.flatnonzero(bites <= 0.0):
        screw, name = spans.screws[screws[place]], spans.names[boards[place]]
        bite = float(bites[place]) if np.isfinite(bites[place]) else -screw.kind.length
        key = (screw.use, _alike(fit.box.boards[name].role))
        worst.setdefault(key, Worst()).take(bite, (name,), screw)
    for (use, role), one in worst.items():
        yield Finding(
            "PW301",
            tuple(one.boards),
            one.measured,
            0.0,
            "mm",
            f"{one.count} {use} screws do not reach the {role} they should hold",
            group=f"{use}/{role}",
        )


_FLUSH = 1e-3
"""A point with less wood (mm) over it than this lies in the face: no board is so exact."""


@check("PW302", "PW303")
def points_through(fit: FitCase) -> Iterator[Finding]:
    """Find screws whose points come through (PW302) or end close under the face (PW303)."""
    spans, limits = fit.spans, fit.tolerances
    through, close = dict[str, Worst](), dict[str, Worst]()
    for s, screw in enumerate(spans.screws):
        b = spans.index[screw.stack[-1]]
        if spans.enter[s, b] >= screw.kind.length or spans.enter[s, b] > spans.leave[s, b]:
            continue  # it misses: reported as PW301
        cover = float(spans.leave[s, b] - screw.kind.length)
        if cover < _FLUSH:
            through.setdefault(screw.use, Worst()).take(cover, screw.stack[-1:], screw)
        elif cover < limits.point_cover:
            close.setdefault(screw.use, Worst()).take(cover, screw.stack[-1:], screw)
    for code, found, limit in (("PW302", through, 0.0), ("PW303", close, limits.point_cover)):
        for use, one in found.items():
            assert one.screw is not None
            longest = one.screw.kind.length + one.measured - limits.point_cover
            system = fit.box.parameters.product.units
            if code == "PW303":
                said = f"end {both_units(one.measured)} under the face"
            elif one.measured > -_FLUSH:
                said = "end in the face itself, where the point pricks"
            else:
                said = f"come {both_units(-one.measured)} through"
            yield Finding(
                code,
                tuple(one.boards),
                one.measured,
                limit,
                "mm",
                f"{one.count} {use} screws ({one.screw.kind.label}) {said}",
                *other_screw(
                    screw_key(use),
                    one.screw.kind.gauge.number,
                    longest // SOLD[system] * SOLD[system],
                    system,
                ),
                group=use,
            )


@check("PW304", "PW305", "PW309")
def side_distances(fit: FitCase) -> Iterator[Finding]:
    """Find screws too near an edge (PW304) or end (PW309), or nearer than advised (PW305)."""
    spans, limits = fit.spans, fit.tolerances
    worst = dict[tuple[str, str, str], Worst]()
    advised = Worst()
    screws, boards = spans.stacked
    begin, finish = spans.held(screws, boards)
    reached = begin < finish
    screws, boards = screws[reached], boards[reached]
    rooms = np.column_stack(spans.side_room(screws, boards)) / spans.diameters[screws, None]
    aims = (limits.edge_advised - _ROUNDING, limits.end_advised - _ROUNDING)
    for place, kind in np.argwhere(rooms < aims):
        screw, name = spans.screws[screws[place]], spans.names[boards[place]]
        room = float(rooms[place, kind])
        code, least = (("PW304", limits.edge_cover), ("PW309", limits.end_cover))[kind]
        if room < least - _ROUNDING:
            key = (code, screw.use, _group(screw.use, fit.box.boards[name].role))
            worst.setdefault(key, Worst()).take(room - least, (name,), screw)
        else:
            advised.take(room - aims[kind], (name,), screw)
    for (code, use, group), one in worst.items():
        yield _too_near(code, use, group, one, fit)
    if advised.count:
        assert advised.screw is not None
        short = -advised.measured * advised.screw.kind.diameter
        yield Finding(
            "PW305",
            tuple(advised.boards),
            advised.measured,
            0.0,
            "D",
            f"{advised.count} screws lie up to {both_units(short)} nearer to an edge or end than "
            "books advise; they are drilled first, as the plan says",
            *words("try the joint in an offcut, and clamp the board across the hole"),
            group="advised",
        )


def _group(use: str, role: str) -> str:
    """Return what screws too near a side are told together by: those of one size and cause."""
    return f"{use}/{_alike(role)}" if use in ("wall", "trellis") else use


def _alike(role: str) -> str:
    """Return what a board is to a screw: a filler is a stave."""
    return "stave" if role == "filler" else role


def _too_near(code: str, use: str, group: str, one: Worst, fit: FitCase) -> Finding:
    """Return the finding of screws too near an edge or an end."""
    assert one.screw is not None
    limits, diameter = fit.tolerances, one.screw.kind.diameter
    least = limits.edge_cover if code == "PW304" else limits.end_cover
    room = one.measured + least
    role = fit.box.boards[next(iter(one.boards))].role
    where = "edge" if code == "PW304" else "end"
    return Finding(
        code,
        tuple(one.boards),
        room,
        least,
        "D",
        f"{one.count} {use} screws ({one.screw.kind.label}) run {both_units(room * diameter)} from "
        f"the {where} of a {role}; {both_units(least * diameter)} hold",
        *_distance_remedy(use, role, -one.measured * diameter, fit),
        group=group,
    )


def _distance_remedy(use: str, role: str, short: float, fit: FitCase) -> Remedy:
    """Return what gives a screw more wood beside it."""
    if use == "floor":
        return set_to("floor.kind", "cleats")
    lap_key, lap = _LAP_KEYS.get(_alike(role), ("", lambda _: None))
    asked = lap(fit.box.parameters)
    if use == "wall" and asked is not None:
        return raised(lap_key, asked, short, fit.box.parameters.product.units)
    if use in ("wall", "cleat") and role in _WIDTH_KEYS:
        key, value = _WIDTH_KEYS[role]
        return raised(key, value(fit.box.parameters), 2 * short, fit.box.parameters.product.units)
    return words("")


@check("PW307")
def meeting_screws(fit: FitCase) -> Iterator[Finding]:
    """Find screws that meet in the wood (PW307)."""
    air = fit.tolerances.screw_air
    for i, j, apart in fit.spans.near_screws(air):
        first, second = fit.spans.screws[i], fit.spans.screws[j]
        limit = (first.kind.diameter + second.kind.diameter) / 2
        limit += air * max(first.kind.diameter, second.kind.diameter)
        yield Finding(
            "PW307",
            (first.name, second.name),
            apart,
            limit,
            "mm",
            f"screws {first.name} and {second.name} come within {both_units(apart)}",
            group=f"{first.use}/{second.use}",
        )


@check("PW308")
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
        key = (screw.use, _alike(fit.box.boards[name].role))
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
            group=f"{use}/{role}",
        )
