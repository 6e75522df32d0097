"""What holds boards together, and in which order they come together: joints, screws, steps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from palewright.catalogue.screws import ScrewKind
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Vector, plus

JointKind = Literal["screw", "bed", "glue", "dry", "bearing"]


@dataclass(frozen=True, slots=True)
class Joint:
    """Boards that must touch other boards.

    Attributes:
        name: unique.
        kind: ``screw`` and ``glue`` joints are closed; ``dry`` ones close without either, since
            they open again; ``bed`` is screwed over boards of unequal
            thickness, in adhesive that fills gaps; ``bearing`` rests by weight.
        boards: the boards that are pressed.
        onto: the boards they are pressed against.
        direction: unit vector in which they are pressed.
        screws: how many screws close it.
        least_area: contact (mm²) that must be there, summed over all pairs.
    """

    name: str
    kind: JointKind
    boards: tuple[str, ...]
    onto: tuple[str, ...]
    direction: Vector
    least_area: float
    screws: int = 0


@dataclass(frozen=True, slots=True)
class Screw:
    """One screw in the box.

    Attributes:
        name: unique; begins with the first board's name.
        kind: what is bought.
        use: wall, corner, post, cap, floor, cleat or trellis: which setting chose it.
        head: where the flush head sits, mm.
        axis: unit vector from head to point.
        stack: names of the boards it goes through in order; the thread holds in the last.
    """

    name: str
    kind: ScrewKind
    use: str
    head: Vector
    axis: Vector
    stack: tuple[str, ...]

    @property
    def tip(self) -> Vector:
        """Where the point ends, mm."""
        return plus(self.head, self.axis, self.kind.length)


@dataclass(frozen=True, slots=True)
class BuildStep:
    """One step of putting the box together.

    Attributes:
        text: what the maker does.
        boards: names of the boards that are added, moving as one.
        path: displacements (mm) that bring them home, first to last; empty for the first part.
        obstacles: names of what already stands there: ``stand``, ``trunk``.
    """

    text: str
    boards: tuple[str, ...]
    path: tuple[Vector, ...]
    obstacles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Obstacle:
    """An upright cylinder that is no board: the tree's stand, or its trunk. All mm.

    ``radius`` includes the air that the variant asks for.
    """

    name: str
    radius: float
    bottom: float
    top: float


@dataclass(slots=True)
class Parts:
    """Boards with what holds them, as one construction function returns them."""

    boards: list[Board] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    screws: list[Screw] = field(default_factory=list)
    steps: list[BuildStep] = field(default_factory=list)

    def add(self, other: Parts) -> None:
        """Take over the boards, joints, screws and steps of another group."""
        self.boards += other.boards
        self.joints += other.joints
        self.screws += other.screws
        self.steps += other.steps


def names_of(boards: Iterable[Board]) -> tuple[str, ...]:
    """Return the boards' names."""
    return tuple(board.name for board in boards)


HELD = ("stile", "rail", "stave", "filler")
"""Roles that are held at both ends; what stands between them is held where it can be."""


def held_reach(length: float, diameter: float) -> float:
    """Return how far (mm) from an end a screw still holds it.

    Args:
        length: of the board along its grain, mm.
        diameter: of the screw, mm.

    A third of the length: what stands out freely beyond the screw is then no longer than what is
    held. On a short board twice the advised end distance, since no nearer place is asked of a
    screw. Both a judgement.
    """
    return max(length * TOLERANCES.end_held, diameter * TOLERANCES.end_held_diameters)
