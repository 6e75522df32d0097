"""What a step of assembly asks for in numbers: boards in hand, joints that close, sizes to set.

All measured on the boards and screws as they are laid out, never copied from the parameters.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from palewright.assembly.assembly_steps import AssemblyStep
from palewright.construction.boards import Board, Vector, cross, dot
from palewright.construction.box_layout import Box
from palewright.construction.joints import Joint, JointKind
from palewright.construction.panels import PANELS

_UP: Vector = (0.0, 0.0, 1.0)
_ORDER = ("stile", "rail", "brace", "bar", "stave", "post", "cleat", "slat", "packer", "cap")

_VISIBLE = 0.5
"""Smaller sizes (mm) are not set by hand."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A size that is set in a step: what, and how much in mm."""

    what: str
    length: float


@dataclass(frozen=True, slots=True)
class Press:
    """Which boards (by role) are pressed against which, and what closes the joint."""

    kind: JointKind
    boards: tuple[str, ...]
    onto: tuple[str, ...]

    @property
    def text(self) -> str:
        """As a maker would say it."""
        first, second = _listed(self.boards), _listed(self.onto)
        if self.kind == "glue":
            return f"glue {first} to {second}"
        if self.kind == "dry":
            return f"{first} against {second}, without glue"
        if self.kind == "bed":
            return f"bed {first} on {second}"
        if self.kind == "bearing":
            return f"{first} rests on {second}"
        return f"{first} tight against {second}"


def _role(board: Board) -> str:
    """Return the word for a board in a text: a filler is a stave."""
    return "stave" if board.role == "filler" else board.role


def boards_in_hand(step: AssemblyStep, box: Box) -> tuple[str, ...]:
    """Return the boards that a step takes up one by one, not in a panel or box that was made."""
    if step.panels:
        return step.added
    if not step.standing:
        return ()  # a box that moves as a whole
    made = {*PANELS, "trellis"}
    return tuple(name for name in step.added if box.boards[name].panel not in made)


def step_joints(step: AssemblyStep, box: Box) -> Iterator[tuple[Joint, tuple[str, ...]]]:
    """Yield the joints that close with what comes on in a step, and what of each is pressed on."""
    if not step.standing:
        return  # boards that are only laid out, or a box that moves as a whole
    there, added = {*step.standing, *step.added}, set(step.added)
    for joint in box.joints:
        both = {*joint.boards, *(name for name in joint.onto if name in there)}
        onto = both - set(joint.boards)
        if onto and set(joint.boards) <= there and both & added and not _closed(joint, step):
            yield joint, tuple(sorted(onto))


def step_presses(step: AssemblyStep, box: Box) -> tuple[Press, ...]:
    """Return what is pressed where in a step: the joints that close with what comes on."""
    found = {
        Press(joint.kind, _roles(joint.boards, box), _roles(onto, box)): None
        for joint, onto in step_joints(step, box)
    }
    return _gathered(list(found))


def _closed(joint: Joint, step: AssemblyStep) -> bool:
    """Return whether a joint was closed in an earlier step: at the bench, for whole panels."""
    if step.panels:
        return False
    panels = {name.partition(".")[0] for name in (*joint.boards, *joint.onto)}
    return len(panels) == 1 and panels <= {"front", "back", "left", "right", "trellis"}


def _gathered(presses: Sequence[Press]) -> tuple[Press, ...]:
    """Return presses onto the same boards as one."""
    groups: dict[tuple[JointKind, tuple[str, ...]], dict[str, None]] = {}
    for one in presses:
        groups.setdefault((one.kind, one.onto), {}).update(dict.fromkeys(one.boards))
    return tuple(Press(kind, tuple(boards), onto) for (kind, onto), boards in groups.items())


def _roles(names: Iterable[str], box: Box) -> tuple[str, ...]:
    """Return the roles of boards, each once, in the order in which a box is built."""
    roles = {_role(box.boards[name]) for name in names}
    return tuple(
        sorted(roles, key=lambda role: (_ORDER.index(role) if role in _ORDER else 99, role))
    )


def _listed(words: Sequence[str]) -> str:
    """Return ``stile, rail and brace``."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def step_measures(step: AssemblyStep, box: Box) -> tuple[Measure, ...]:
    """Return the sizes that are set in a step, mm."""
    by_role: dict[str, list[Board]] = {}
    for name in step.added:
        by_role.setdefault(_role(box.boards[name]), []).append(box.boards[name])
    standing = [box.boards[name] for name in step.standing]
    found: list[Measure] = []
    if step.panels:
        right = _right(step)
        for role, measure in _AT_THE_BENCH.items():
            if role in by_role:
                found += measure(by_role, standing, right)
    elif set(by_role) == {"slat"}:
        found += _slats(by_role["slat"])
    elif set(by_role) == {"cap"}:
        found += _cap(by_role["cap"], standing)
    elif set(by_role) == {"packer"}:
        found += _packers(by_role["packer"], standing)
    return tuple(one for one in found if one.length > _VISIBLE)


def _right(step: AssemblyStep) -> Vector:
    """Return the direction across the panel that lies on the bench."""
    return cross(_UP, step.up)


def _extent(boards: Iterable[Board], axis: Vector) -> tuple[float, float]:
    """Return how far boards reach along an axis: least and greatest, mm."""
    along = [dot(corner, axis) for board in boards for corner in board.corners]
    return min(along), max(along)


def _gaps(boards: Iterable[Board], axis: Vector) -> tuple[float, float]:
    """Return the least and greatest gap (mm) between neighbours along an axis; 0 for one board."""
    spans = sorted(_extent([board], axis) for board in boards)
    found = [b[0] - a[1] for a, b in pairwise(spans)]
    return (min(found), max(found)) if found else (0.0, 0.0)


Roles = Mapping[str, Sequence[Board]]


def _frame(by_role: Roles, _: Sequence[Board], right: Vector) -> Iterator[Measure]:
    """Yield what squares a frame and sets its lower rail."""
    stiles, rails = by_role["stile"], by_role.get("rail", ())
    low, high = _extent(stiles, _UP)
    left, end = _extent(stiles, right)
    if rails:
        yield Measure("from the stiles' lower ends to the lower rail", _extent(rails, _UP)[0] - low)
    yield Measure("from corner to corner, both ways alike", math.hypot(end - left, high - low))


def _staves(by_role: Roles, standing: Sequence[Board], right: Vector) -> Iterator[Measure]:
    """Yield where the staves lie on the frame."""
    staves = by_role["stave"]
    inset = _extent(staves, right)[0] - _extent(standing, right)[0]
    yield Measure("from each edge of the panel to the first stave", inset)
    foot = _extent(staves, _UP)[0] - _extent(standing, _UP)[0]
    yield Measure("from the stiles' lower ends to the staves", foot)
    rails = [board for board in standing if _role(board) == "rail"]
    free = _extent(staves, _UP)[0] - _extent(rails, _UP)[0]
    yield Measure("from the rails' outer edges to the staves' ends, below and above", free)
    yield Measure("between staves", _gaps(staves, right)[0])


def _cleats(by_role: Roles, standing: Sequence[Board], right: Vector) -> Iterator[Measure]:
    """Yield where a cleat lies on the staves."""
    staves = [board for board in standing if _role(board) == "stave"]
    up = _extent(by_role["cleat"], _UP)[1] - _extent(staves, _UP)[0]
    yield Measure("from the staves' lower ends to the cleat's upper edge", up)
    aside = _extent(by_role["cleat"], right)[0] - _extent(staves, right)[0]
    yield Measure("from the staves' edge to each end of the cleat", aside)


def _posts(by_role: Roles, standing: Sequence[Board], _: Vector) -> Iterator[Measure]:
    """Yield where posts stand on the staves."""
    staves = [board for board in standing if _role(board) == "stave"]
    up = _extent(by_role["post"], _UP)[0] - _extent(staves, _UP)[0]
    yield Measure("from the staves' lower ends to the posts", up)


def _uprights(by_role: Roles, _: Sequence[Board], right: Vector) -> Iterator[Measure]:
    """Yield how far apart the uprights of a trellis lie."""
    yield Measure("between uprights", _gaps(by_role["upright"], right)[0])


def _bars(by_role: Roles, standing: Sequence[Board], _: Vector) -> Iterator[Measure]:
    """Yield where the bars of a trellis lie on its uprights; bars of a panel are its frame's."""
    uprights = [board for board in standing if board.role == "upright"]
    if uprights:
        above = _extent(uprights, _UP)[1] - _extent(by_role["bar"], _UP)[1]
        yield Measure("from the uprights' upper ends to the first bar", above)
        yield Measure("between bars", _gaps(by_role["bar"], _UP)[0])


_AT_THE_BENCH = {
    "stile": _frame,
    "stave": _staves,
    "cleat": _cleats,
    "post": _posts,
    "upright": _uprights,
    "bar": _bars,
}
"""What is set when boards of a role are laid on."""


def _slats(slats: Sequence[Board]) -> Iterator[Measure]:
    """Yield the gap between slats."""
    over = slats[0].placement.across
    yield Measure("between slats", _gaps(slats, over)[0])


def _packers(packers: Sequence[Board], standing: Sequence[Board]) -> Iterator[Measure]:
    """Yield where packers stand on the back wall: from the side's wall, apart, from the top."""
    across: Vector = (1.0, 0.0, 0.0)
    walls = [board for board in standing if board.panel == "left"]
    back = [board for board in standing if board.panel == "back" and _role(board) == "stave"]
    inset = _extent(packers, across)[0] - _extent(walls, across)[1]
    yield Measure("from each side's wall to the first packer", inset)
    yield Measure("between packers", _gaps(packers, across)[0])
    down = _extent(back, _UP)[1] - _extent(packers, _UP)[1]
    yield Measure("from the staves' upper ends down to the packers", down)


def _cap(cap: Sequence[Board], standing: Sequence[Board]) -> Iterator[Measure]:
    """Yield how far the cap stands over the panels."""
    toward_front: Vector = (0.0, -1.0, 0.0)
    over = _extent(cap, toward_front)[1] - _extent(standing, toward_front)[1]
    yield Measure("the cap overhangs the panels all round by", over)
