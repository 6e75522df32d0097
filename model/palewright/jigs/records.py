"""What a jig is, as data: flat parts, guide holes, drill stops, and the ways it is laid.

A jig has a frame of its own: x to the right and y away from the maker as it lies with its engraved
face up, z up from the plate's underside. Millimetres throughout.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from palewright.construction.boards import Board, Placement, Vector, cross, dot, plus
from palewright.geometry.contours import Contour
from palewright.geometry.polygons import Point

Reversal = Literal["", "half turn", "turned over"]
"""How a jig may be laid the other way round: on its plane, or other face up; empty: one way."""


@dataclass(frozen=True, slots=True)
class Drill:
    """A round hole right through a flat part."""

    centre: Point
    diameter: float


@dataclass(frozen=True, slots=True)
class Words:
    """A line of engraved text.

    Attributes:
        text: capitals, digits and the signs that ``stroke_letters`` draws.
        at: lower left corner of the first letter, in the part's own flat frame.
        height: of capitals, mm.
        angle: degrees anticlockwise, 0 or 90.
    """

    text: str
    at: Point
    height: float
    angle: float = 0.0


@dataclass(frozen=True, slots=True)
class JigPart:
    """One flat part of a jig.

    Attributes:
        name: unique in the jig: ``plate``, ``side fence`` …
        contour: outline in the part's own flat frame.
        thickness: mm, above the flat frame's z = 0.
        placement: where the flat frame stands in the jig's frame.
        drills: round holes.
        words: what is engraved on the upper face.
    """

    name: str
    contour: Contour
    thickness: float
    placement: Placement
    drills: tuple[Drill, ...] = ()
    words: tuple[Words, ...] = ()


@dataclass(frozen=True, slots=True)
class DrillStop:
    """One setting of the drill.

    Attributes:
        use: ``clearance`` or ``pilot``.
        diameter: of the bit, mm.
        below: how far the bit reaches below the jig, into the boards, mm.
        stop: how far it stands out of its stop collar: the jig's thickness and ``below``, mm.
        left: least wood (mm) that stays in front of the bit in the thinnest lumber.
        ordinary: how far a bit of ordinary length stands out of its stop collar, mm.
    """

    use: Literal["clearance", "pilot"]
    diameter: float
    below: float
    stop: float
    left: float
    ordinary: float

    @property
    def reaches(self) -> bool:
        """Whether an ordinary bit is long enough through the jig."""
        return self.stop <= self.ordinary + 1e-6

    @property
    def reaches_alone(self) -> bool:
        """Whether an ordinary bit is long enough without the jig."""
        return self.below <= self.ordinary + 1e-6


@dataclass(frozen=True, slots=True)
class Touch:
    """A part of the jig that bears on boards, and on which."""

    part: str
    boards: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pose:
    """One way in which a jig is laid on the boards.

    Attributes:
        on: panel or corner, in words.
        where: which of its corners the fences embrace, as the maker sees it.
        x, y: directions of the jig's axes in the box.
        turned: whether its engraved face lies on the boards.
        rests_on: boards that it lies on: the proudest carries it.
        side, end: boards that its x = 0 and its y = 0 are registered on.
        touches: which part bears on which boards.
        served: (index of the guide, name of the screw) of each hole drilled in this pose.
    """

    on: str
    where: str
    x: Vector
    y: Vector
    turned: bool
    rests_on: tuple[str, ...]
    side: str
    end: str
    touches: tuple[Touch, ...]
    served: tuple[tuple[int, str], ...]

    def placement(self, boards: Mapping[str, Board], thickness: float) -> Placement:
        """Return where the jig's frame stands in the box, for boards of any lumber case.

        Args:
            boards: by name.
            thickness: of the jig's plate, mm.
        """
        up = cross(self.x, self.y)
        side = min(dot(point, self.x) for point in boards[self.side].corners)
        end = min(dot(point, self.y) for point in boards[self.end].corners)
        levels = [dot(point, up) for name in self.rests_on for point in boards[name].corners]
        level = min(levels) - thickness if self.turned else max(levels)
        origin = plus(plus(plus((0.0, 0.0, 0.0), self.x, side), self.y, end), up, level)
        return Placement(origin, self.x, self.y)


@dataclass(frozen=True)
class Jig:
    """One jig.

    Attributes:
        name: unique in the box; names its files.
        kind: which function of the registry made it.
        title: what a maker calls it.
        purpose: what it is for, one sentence.
        parts: its flat parts; the first is the plate.
        guides: middles of the guide holes in the jig's frame.
        guide: diameter of the guide holes, 0 where there are none.
        screw: label of the screws that it places; empty where it places none.
        stops: settings of the drill.
        poses: where it is laid: together they serve each of its screws once.
        also: other ways in which it may be laid instead.
        reversal: how it is laid the other way round.
        count: how many of it make a set.
        material: what it is cut from, in words.
        steps: how it is used, a sentence each.
        fixed: numbers that it sets, by what they are, mm or degrees.
    """

    name: str
    kind: str
    title: str
    purpose: str
    parts: tuple[JigPart, ...]
    material: str
    steps: tuple[str, ...]
    fixed: Mapping[str, float]
    guides: tuple[Point, ...] = ()
    guide: float = 0.0
    screw: str = ""
    stops: tuple[DrillStop, ...] = ()
    poses: tuple[Pose, ...] = ()
    also: tuple[Pose, ...] = ()
    reversal: Reversal = ""
    count: int = 1

    @property
    def plate(self) -> JigPart:
        """The part that the others are fixed to."""
        return self.parts[0]


@dataclass(frozen=True, slots=True)
class JigNote:
    """Why a jig cannot be made, or what to mind with it: ``about`` names the jig or its kind."""

    about: str
    text: str


@dataclass(frozen=True)
class JigSet:
    """All jigs of a box, and what is to be said about those that are missing."""

    jigs: tuple[Jig, ...]
    notes: tuple[JigNote, ...]
