"""The order of work at the bench: first each panel, then the box, one record a picture.

``Box.steps`` says how finished panels come together. Here each panel is made first (equal panels
once), steps that repeat are one, and every screw is driven in the first step in which all its
boards are there and its head does not lie on the bench.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from palewright.construction.boards import Board, Vector, cross, dot
from palewright.construction.box_layout import Box
from palewright.construction.joints import BuildStep, Screw, names_of
from palewright.construction.panels import PANELS
from palewright.reading.lengths import noiseless

_UP: Vector = (0.0, 0.0, 1.0)
_DOWN: Vector = (0.0, 0.0, -1.0)
_OUT: dict[str, Vector] = {
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "trellis": (0.0, -1.0, 0.0),
}
_PULL = 1000.0
"""Parts that are laid on a panel come from so far (mm) above it: any way up is free."""

_LAYERS: tuple[tuple[str, frozenset[str]], ...] = (
    ("staves", frozenset({"stave", "filler"})),
    ("cleats", frozenset({"cleat"})),
    ("posts", frozenset({"post"})),
)
"""What is laid on a panel's frame, in order."""


@dataclass(frozen=True, slots=True)
class AssemblyStep:
    """One thing that is done at the bench, and shown in one picture.

    Attributes:
        key: unique in a box: ``front-staves``, ``box-2``.
        text: what is done, as a command.
        panels: the panels that are made like this, the first one shown; empty once the box is
            put together.
        up: unit vector of the box that points up from the bench.
        standing: names of the boards that are there already.
        added: names of the boards that come on.
        path: displacements (mm) that bring them home; empty where they are only laid down.
        screws: what is driven, in one panel.
        obstacles: names of what stands there beside boards: ``stand``, ``trunk``.
        repeats: how many times the same is done to one panel or box, such as slat by slat.
    """

    key: str
    text: str
    panels: tuple[str, ...]
    up: Vector
    standing: tuple[str, ...]
    added: tuple[str, ...]
    path: tuple[Vector, ...] = ()
    screws: tuple[Screw, ...] = ()
    obstacles: tuple[str, ...] = ()
    repeats: int = 1

    @property
    def times(self) -> int:
        """How often the whole step is done for one box: once a panel that is made so."""
        return max(1, len(self.panels))


def assembly_steps(box: Box) -> tuple[AssemblyStep, ...]:
    """Return all steps in order: panels, trellis, box.

    Every board is added once and every screw is driven once, counting equal panels by their first.
    """
    left = {screw.name: screw for screw in box.screws}
    found: list[AssemblyStep] = []
    for alike in panel_kinds(box):
        found += panel_steps(box, alike, left)
        for other in alike[1:]:
            _driven(_boards_of(box, other), left)
    found += _trellis_steps(box, left)
    found += _box_steps(box, left)
    return tuple(found)


def panel_kinds(box: Box) -> list[tuple[str, ...]]:
    """Return the panels, equal ones together: those whose boards lie alike seen from outside."""
    kinds: dict[object, list[str]] = {}
    for panel in PANELS:
        boards = [b for b in box.boards.values() if b.panel == panel]
        kinds.setdefault(tuple(sorted(lies_on_panel(b, panel) for b in boards)), []).append(panel)
    return [tuple(kind) for kind in kinds.values()]


def lies_on_panel(board: Board, panel: str) -> tuple[object, ...]:
    """Return a board's role and its corners to a hundredth of a mm, as seen on its panel."""
    out = _OUT[panel]
    right = cross(_UP, out)
    corners = sorted(
        tuple(noiseless(dot(p, axis), 2) for axis in (right, _UP, out)) for p in board.corners
    )
    return board.role, tuple(corners)


def _boards_of(box: Box, panel: str) -> tuple[str, ...]:
    """Return the names of a panel's boards."""
    return names_of(b for b in box.boards.values() if b.panel == panel)


def _driven(there: Iterable[str], left: dict[str, Screw]) -> tuple[Screw, ...]:
    """Take out of ``left`` and return the screws whose boards are all there."""
    known = set(there)
    found = tuple(screw for screw in left.values() if known.issuperset(screw.stack))
    for screw in found:
        del left[screw.name]
    return found


def panel_steps(box: Box, alike: tuple[str, ...], left: dict[str, Screw]) -> Iterator[AssemblyStep]:
    """Yield the making of one panel: its frame face down, what is laid on it, screws.

    Args:
        box: the box.
        alike: the panel's name, then those that are made like it.
        left: the screws that are not driven yet, by name; what is driven is taken out.
    """
    panel = alike[0]
    boards = [b for b in box.boards.values() if b.panel == panel]
    on_top = frozenset().union(*(roles for _, roles in _LAYERS))
    frame = names_of(b for b in boards if b.role not in on_top)
    inward: Vector = tuple(-x + 0.0 for x in _OUT[panel])  # type: ignore[assignment]
    text = "lay the frame out on the bench, its outer face down"
    yield AssemblyStep(f"{panel}-frame", text, alike, inward, (), frame)
    standing = frame
    texts = {
        "staves": "lay the staves on the frame and screw them down",
        "posts": "stand the posts in the corners on the staves",
        "cleats": "screw the cleat to the staves",
    }
    down: Vector = tuple(-_PULL * x + 0.0 for x in inward)  # type: ignore[assignment]
    for name, roles in _LAYERS:
        added = names_of(b for b in boards if b.role in roles)
        if added:
            there = standing + added
            step = AssemblyStep(
                f"{panel}-{name}", texts[name], alike, inward, standing, added, (down,)
            )
            over = "turn the panel over and drive the screws from its face"
            yield from _with_screws(step, _driven(there, left), over, _OUT[panel])
            standing = there


def _with_screws(
    step: AssemblyStep, screws: tuple[Screw, ...], over: str, up: Vector
) -> Iterator[AssemblyStep]:
    """Yield a step with its screws; those whose heads lie on the bench in a step of their own.

    Args:
        step: what is added.
        screws: what can be driven then.
        over: what has to be done to reach the others.
        up: what points up then.
    """
    below = tuple(s for s in screws if dot(s.axis, step.up) > 0.5)
    yield replace(step, screws=tuple(s for s in screws if s not in below))
    if below:
        there = step.standing + step.added
        yield AssemblyStep(
            f"{step.key}-screws", over, step.panels, up, there, (), screws=below,
            obstacles=step.obstacles,
        )  # fmt: skip


def _trellis_steps(box: Box, left: dict[str, Screw]) -> Iterator[AssemblyStep]:
    """Yield the making of the trellis: uprights side by side, bars across them."""
    boards = [b for b in box.boards.values() if b.panel == "trellis"]
    uprights = names_of(b for b in boards if b.role == "upright")
    bars = names_of(b for b in boards if b.role == "bar")
    if not uprights:
        return
    up = _OUT["trellis"]
    alike = ("trellis",)
    text = "lay the uprights side by side"
    yield AssemblyStep("trellis-uprights", text, alike, up, (), uprights)
    down: Vector = tuple(-_PULL * x + 0.0 for x in up)  # type: ignore[assignment]
    yield AssemblyStep(
        "trellis-bars", "screw the bars across the uprights", alike, up, uprights, bars,
        (down,), _driven(uprights + bars, left),
    )  # fmt: skip


def _box_steps(box: Box, left: dict[str, Screw]) -> Iterator[AssemblyStep]:
    """Yield how the panels come together, repeated steps as one."""
    stood = [step for step in box.steps if not step.path]
    first = f"{_one_text([step.text for step in stood])}, then "
    there = tuple(name for step in stood for name in step.boards)
    moved = _repeated(step for step in box.steps if step.path)
    for number, group in enumerate(moved, start=1):
        step = group[0]
        added = tuple(name for one in group for name in one.boards)
        moved_again = set(added) <= set(there)
        text = first + _one_text([one.text for one in group])
        yield AssemblyStep(
            key=f"box-{number}",
            text=text,
            panels=(),
            up=_up_for(step),
            standing=() if moved_again else there,
            added=added,
            path=step.path,
            screws=_driven(there + added, left),
            obstacles=step.obstacles,
            repeats=len(group) if len({one.text for one in group}) == 1 else 1,
        )
        there = there if moved_again else there + added
        first = ""


def _up_for(step: BuildStep) -> Vector:
    """Return what points up while a step is made.

    The panel that is laid on, the bottom for slats that come from below, else the top.
    """
    for panel in ("front", "back"):
        if f"lay the {panel} panel on" in step.text:
            return _OUT[panel]
    return _DOWN if step.path[-1][2] > 0 else _UP


def _repeated(steps: Iterable[BuildStep]) -> list[list[BuildStep]]:
    """Return steps in order, those together that move the same way and are told alike."""
    groups: list[list[BuildStep]] = []
    for step in steps:
        last = groups[-1][-1] if groups else None
        if (
            last is not None
            and last.path == step.path
            and last.obstacles == step.obstacles
            and _differences(last.text, step.text) is not None
        ):
            groups[-1].append(step)
        else:
            groups.append([step])
    return groups


def _differences(first: str, second: str) -> list[int] | None:
    """Return the places of the words that differ; None if more than one does."""
    a, b = first.split(), second.split()
    if len(a) != len(b):
        return None
    found = [i for i, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
    return found if len(found) < 2 else None


def _one_text(texts: list[str]) -> str:
    """Return one text for steps told alike: ``seat the left and the right panel …``."""
    different = _differences(texts[0], texts[-1])
    if not different:
        return texts[0]
    at = different[0]
    words = texts[0].split()
    told = [text.split()[at] for text in texts]
    # "the left panel" and "the right panel": the article goes with each
    with_article = at > 0 and words[at - 1] == "the"
    words[at] = (" and the " if with_article else " and ").join(told)
    return " ".join(words)
