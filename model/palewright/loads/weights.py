"""What a box weighs empty, moist and full of water, where its middle is, and how deep its soil."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.catalogue.fillings import FRICTION_ANGLE, MIXES, WATER, Mix, at_rest, side_pressure
from palewright.catalogue.lumber import Species
from palewright.catalogue.screws import ScrewKind
from palewright.catalogue.wood_moisture import density_at
from palewright.construction.boards import Vector, plus
from palewright.construction.box_layout import Box
from palewright.construction.liners import filling_top, inside_size, soil_bottom
from palewright.solids.drilled_boards import Drilled, drilled

STEEL = 7850e-9
"""Density of steel, kg/mm³; common engineering value."""


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
    bottom = soil_bottom(parameters, sizes)
    top = filling_top(parameters, sizes)
    if parameters.box.kind == "tree" or top <= bottom:
        return SoilBody(0.0, 0.0, bottom, bottom)
    wide, deep = inside_size(sizes)
    return SoilBody(max(wide, 0.0), max(deep, 0.0), bottom, top)


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
    """Masses (kg) and their middles: the box empty, and with its filling in three states.

    Attributes:
        mix: what fills it.
        soil: the space that takes.
        wood: boards with their holes taken out, at 12 % moisture.
        steel: screws.
        empty: both together; liner and glue are left out.
        fresh: mass of the empty box with its boards as wet as they are cut, kg.
        dry, moist, saturated: with the filling.
    """

    mix: Mix
    soil: SoilBody
    wood: float
    steel: float
    empty: Heap
    fresh: float
    dry: Heap
    moist: Heap
    saturated: Heap

    @property
    def filled(self) -> bool:
        """Whether anything fills the box."""
        return self.soil.volume > 0.0

    @property
    def loose(self) -> bool:
        """Whether it is loose soil: it presses on the walls and falls through gaps."""
        return self.filled and self.mix.loose


def weights_of(box: Box) -> Weights:
    """Return the weights of a box.

    Raises:
        InputError: if a stock names a species that nobody keeps.
    """
    soil, mix = soil_body(box), MIXES[box.parameters.site.soil]
    boards = _boards(box)
    wood = math.fsum(mass for mass, _, _ in boards)
    empty = _built(box, boards)
    middle = (0.0, 0.0, (soil.bottom + soil.top) / 2)
    filled = [
        empty.with_(soil.volume * weight * 1e-3, middle)
        for weight in (mix.dry, mix.moist, mix.saturated)
    ]
    fresh = _fresh(box, empty.mass, boards)
    return Weights(mix, soil, wood, empty.mass - wood, empty, fresh, *filled)


def wood_mass(amount: Drilled, species: Species) -> float:
    """Return the mass (kg) of a drilled board at 12 % moisture."""
    return amount.volume * species.density * 1e-9


def screw_mass(kind: ScrewKind) -> float:
    """Return the mass (kg) of a screw: a cylinder of its nominal diameter.

    Its thinner core and its head about make up for each other (judgement).
    """
    return math.pi / 4 * kind.diameter**2 * kind.length * STEEL


def _boards(box: Box) -> list[tuple[float, Vector, Species]]:
    """Return the mass (kg), the centre of mass (mm) and the species of every drilled board."""
    found = []
    for board in box.boards.values():
        amount, species = drilled(board), box.parameters.materials.species[board.stock]
        middle = board.placement.out(*amount.centre)
        found.append((wood_mass(amount, species), middle, species))
    return found


def _built(box: Box, boards: Sequence[tuple[float, Vector, Species]]) -> Heap:
    """Return boards and screws together."""
    masses, middles = [mass for mass, _, _ in boards], [middle for _, middle, _ in boards]
    for screw in box.screws:
        masses.append(screw_mass(screw.kind))
        middles.append(plus(screw.head, screw.axis, screw.kind.length / 2))
    whole = math.fsum(masses)
    x, y, z = (
        math.fsum(m * p[k] for m, p in zip(masses, middles, strict=True)) / whole for k in range(3)
    )
    return Heap(whole, (x, y, z))


def _fresh(box: Box, empty: float, boards: Sequence[tuple[float, Vector, Species]]) -> float:
    """Return the mass (kg) of an empty box whose boards are as wet as when they are cut."""
    wet = float(box.parameters.site.bought_at)
    found = empty
    for mass, _, species in boards:
        share = density_at(species.density, wet) / species.density - 1
        found += share * mass
    return found


def foot_pressures(weights: Weights) -> tuple[float, float]:
    """Return how hard the filling presses on the walls at its bottom, kPa: watered, flooded.

    Watered: at rest, as the staves are judged. Flooded: standing water alone, as deep as the soil.
    """
    high = weights.soil.height
    watered = side_pressure(weights.mix.moist, high, at_rest(FRICTION_ANGLE))
    return watered, side_pressure(WATER, high, 1.0)
