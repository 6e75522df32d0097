"""Where in a log a board was sawn: growth rings round the pith, knots, fibre.

A board's look is a function of its three coordinates, so that a ring that runs out of one face goes
on over the edge and round the end, as in wood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.noise import Lattice, seeded

_KNOT_REACH = 2.6
"""Rings swerve round a knot within so many of its radii."""


@dataclass(frozen=True, slots=True)
class Growth:
    """How a species grows in a log. Lengths in mm; ring widths are log-normal.

    Attributes:
        ring: median ring width.
        ring_spread: standard deviation of a ring width's logarithm.
        memory: correlation of neighbouring rings, 0 to 1.
        late: share of a ring that is late wood.
        knots: knots a metre of log.
        knot_radius: median radius of a knot at 100 mm from the pith.
    """

    ring: float
    ring_spread: float
    memory: float
    late: float
    knots: float
    knot_radius: float


@dataclass(frozen=True, slots=True)
class Knot:
    """A branch that grew from the pith: place along the log, direction, slope of its cone."""

    x: float
    angle: float
    slope: float
    rise: float


@dataclass(frozen=True, eq=False)
class Log:
    """The log of one board, in the board's own frame: x along the grain, y across, z through.

    Attributes:
        seed: what all of it is drawn from.
        growth: of the species.
        length: of the board, mm: how far knots are laid.
        pith_y, pith_z: where the pith runs, mm in the board's frame.
    """

    seed: tuple[object, ...]
    growth: Growth
    length: float
    pith_y: float
    pith_z: float

    @cached_property
    def ring_radii(self) -> Floats:
        """Radii (mm) at which rings end, from the pith outward; the first is 0."""
        draw = seeded(*self.seed, "rings")
        growth = self.growth
        steps = draw.normal(0.0, 1.0, 400)
        drift = np.zeros(400)
        for i in range(1, 400):
            fresh = math.sqrt(1 - growth.memory**2) * steps[i]
            drift[i] = growth.memory * drift[i - 1] + fresh
        widths = growth.ring * np.exp(growth.ring_spread * drift)
        return np.concatenate([[0.0], np.cumsum(widths)])

    @cached_property
    def knots(self) -> tuple[Knot, ...]:
        """The knots along the board's length."""
        draw = seeded(*self.seed, "knots")
        count = int(draw.poisson(self.growth.knots * (self.length + 200.0) / 1000.0))
        return tuple(
            Knot(
                x=float(draw.uniform(-100.0, self.length + 100.0)),
                angle=float(draw.uniform(0.0, 2 * math.pi)),
                slope=self.growth.knot_radius / 100.0 * float(np.exp(draw.normal(0.0, 0.35))),
                rise=float(draw.normal(0.25, 0.08)),
            )
            for _ in range(count)
        )

    @cached_property
    def _wander(self) -> Lattice:
        """What makes rings less than round."""
        return Lattice((*self.seed, "wander"), (260.0, 45.0, 45.0), (24, 12, 12))

    @cached_property
    def _ripple(self) -> Lattice:
        """What makes rings wave at the scale of a finger."""
        return Lattice((*self.seed, "ripple"), (60.0, 11.0, 11.0), (64, 40, 40))

    def rings(self, x: Floats, y: Floats, z: Floats, swerve: Floats, noise: Floats) -> Floats:
        """Return the ring number with its fraction; arrays that broadcast together, mm.

        ``swerve`` pushes rings outward round knots (mm), ``noise`` is the log's unevenness (mm).

        Args:
            x: along the log, mm.
            y: across it, mm.
            z: across it, mm.
            swerve: how far rings are pushed outward round knots, mm.
            noise: the log's unevenness, mm.
        """
        radius = np.hypot(y - self.pith_y, z - self.pith_z)
        taper = 0.006 * (x - self.length / 2)
        met = np.maximum(radius + noise + taper - swerve, 0.0)
        found: Floats = np.interp(met, self.ring_radii, np.arange(len(self.ring_radii)))
        return found

    def unevenness(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return by how much (mm) the log is out of round, where three axes cross."""
        return 3.2 * self._wander.on(x, y, z) + 0.55 * self._ripple.on(x, y, z)

    def unevenness_at(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return by how much (mm) the log is out of round, at points."""
        return 3.2 * self._wander.at(x, y, z) + 0.55 * self._ripple.at(x, y, z)

    def knot_field(self, x: Floats, y: Floats, z: Floats) -> tuple[Floats, Floats, Floats]:
        """Return what knots do at points; arrays that broadcast together.

        Returns:
            swerve: how far rings are pushed outward, mm.
            depth: 1 in the middle of a knot, 0 at its edge, below 0 outside.
            rings: ring number within the knot.
        """
        shape = np.broadcast_shapes(np.shape(x), np.shape(y), np.shape(z))
        swerve, depth, rings = np.zeros(shape), np.full(shape, -9.0), np.zeros(shape)
        dy, dz = y - self.pith_y, z - self.pith_z
        for knot in self.knots:
            out = (math.cos(knot.angle), math.sin(knot.angle))
            ahead = dy * out[0] + dz * out[1]
            along = np.maximum(ahead, 1.0)
            near = _rows_near(knot, x, float(along.min()), float(along.max()))
            if near.stop <= near.start:
                continue
            aside = dz * out[0] - dy * out[1]
            some_x, along, ahead, aside = (
                a[near] if len(a) == shape[0] else a for a in (x, along, ahead, aside)
            )
            # the branch rises towards the crown as it goes out
            off = np.hypot((some_x - knot.x - knot.rise * along) / 1.25, aside)
            radius = knot.slope * along + 1.0
            far = off / radius
            behind = ahead < 0
            push = 0.9 * radius * np.exp(-((far / _KNOT_REACH * 1.7) ** 2))
            swerve[near] = np.maximum(swerve[near], np.where(behind, 0.0, push))
            inside = np.where(behind, -9.0, 1.0 - far)
            rings[near] = np.where(inside > depth[near], off / 1.1, rings[near])
            depth[near] = np.maximum(depth[near], inside)
        return swerve, depth, rings


_FADED = 5.5
"""Farther along the grain than so many radii a knot moves rings by less than a thousandth of it."""


def _rows_near(knot: Knot, x: Floats, least: float, most: float) -> slice:
    """Return the rows between the first and the last that a knot reaches.

    ``x`` changes along its first axis or not at all there; ``least`` and ``most`` are how far from
    the pith the points lie, mm.
    """
    reach = 1.25 * _FADED * (knot.slope * most + 1.0)
    ends = sorted(knot.x + knot.rise * away for away in (least, most))
    close = (x >= ends[0] - reach) & (x <= ends[1] + reach)
    rows = np.flatnonzero(close.reshape(len(x), -1).any(axis=1))
    return slice(int(rows[0]), int(rows[-1]) + 1) if len(rows) else slice(0, 0)


def log_of(name: str, seed: int, growth: Growth, size: tuple[float, float, float]) -> Log:
    """Return the log of a board.

    Args:
        name: of the box and the board: no two boards come from one place.
        seed: of the variant's pile of lumber.
        growth: of its species.
        size: length, width and thickness, mm.
    """
    words = ("log", seed, name)
    draw = seeded(*words)
    length, width, thickness = size
    # flat-sawn, as fence boards are: the pith lies below or above the face, seldom in the board
    side = -1.0 if draw.random() < 0.5 else 1.0
    away = float(draw.uniform(18.0, 95.0))
    aside = float(draw.normal(0.5, 0.33)) * width
    middle = thickness / 2
    return Log(words, growth, length, aside, middle + side * (away + middle))
