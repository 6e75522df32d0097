"""What a box weighs empty, moist and full of water, where its middle is, and how deep its soil."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from palewright.boards import Board, Vector
from palewright.boxes import Box
from palewright.floors import floor_bottom
from palewright.loads.soils import MIXES, Mix
from palewright.polygons import centroid


@dataclass(frozen=True, slots=True)
class SoilBody:
    """The space that a box's filling takes, mm: inside the staves, from floor to brim.

    ``width`` and ``depth`` are 0 where nothing fills the box.
    """

    width: float
    depth: float
    bottom: float
    top: float

    @property
    def height(self) -> float:
        """How deep it is filled, mm."""
        return max(self.top - self.bottom, 0.0)

    @property
    def volume(self) -> float:
        """Litres."""
        return self.width * self.depth * self.height * 1e-6


def soil_body(box: Box) -> SoilBody:
    """Return the space that soil takes: from the slats' top to the liner's edge below the brim."""
    parameters, sizes = box.parameters, box.sizes
    thick = sizes.board.thickness
    bottom = parameters.box.foot
    if parameters.floor.kind == "cleats":
        bottom = floor_bottom(parameters) + thick
    top = sizes.top - parameters.liner.drop
    if parameters.box.kind == "tree" or top <= bottom:
        return SoilBody(0.0, 0.0, bottom, bottom)
    wide, deep = max(sizes.width - 4 * thick, 0.0), max(sizes.depth - 4 * thick, 0.0)
    return SoilBody(wide, deep, bottom, top)


@dataclass(frozen=True, slots=True)
class Heap:
    """A mass and where its middle is: kg, mm."""

    mass: float
    centre: Vector

    def with_(self, mass: float, centre: Vector) -> Heap:
        """Return this mass and another together."""
        whole = self.mass + mass
        if whole <= 0.0:
            return self
        middle = [
            (self.mass * a + mass * b) / whole for a, b in zip(self.centre, centre, strict=True)
        ]
        return Heap(whole, (middle[0], middle[1], middle[2]))


@dataclass(frozen=True, slots=True)
class Weights:
    """Masses (kg) and their middles: the boards, and the box with its filling in three states."""

    mix: Mix
    soil: SoilBody
    empty: Heap
    dry: Heap
    moist: Heap
    saturated: Heap

    @property
    def filled(self) -> bool:
        """Whether anything fills the box."""
        return self.soil.volume > 0.0


def weights_of(box: Box) -> Weights:
    """Return the weights of a box; holes and screws, which about make up for them, are left out.

    Raises:
        InputError: if a stock names a species that nobody keeps.
    """
    soil, mix = soil_body(box), MIXES[box.parameters.site.soil]
    empty = _boards(box.boards, box)
    middle = (0.0, 0.0, (soil.bottom + soil.top) / 2)
    filled = [
        empty.with_(soil.volume * weight * 1e-3, middle)
        for weight in (mix.dry, mix.moist, mix.saturated)
    ]
    return Weights(mix, soil, empty, *filled)


def _boards(boards: Mapping[str, Board], box: Box) -> Heap:
    """Return the boards together, at 12 % moisture."""
    mass, moment = 0.0, [0.0, 0.0, 0.0]
    for board in boards.values():
        x, y = centroid(board.outline)
        one = board.volume * box.parameters.species_of(board.stock).density * 1e-9
        middle = board.placement.out(x, y, board.thickness / 2)
        mass += one
        moment = [m + one * c for m, c in zip(moment, middle, strict=True)]
    return Heap(mass, (moment[0] / mass, moment[1] / mass, moment[2] / mass))
