"""Smooth noise on lattices: values at random, blended between the knots. Seeded, so repeatable."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats


def seeded(*words: object) -> np.random.Generator:
    """Return a random generator for some words: the same words draw the same numbers anywhere."""
    return np.random.default_rng([zlib.crc32(str(word).encode()) for word in words])


@cache
def _drawn(size: tuple[int, int, int]) -> Floats:
    """Return values at random, -1 to 1; drawn once, all lattices of a size read them."""
    return seeded("lattice", size).uniform(-1.0, 1.0, size)


@dataclass(frozen=True, eq=False)
class Lattice:
    """Noise in three dimensions, about 0 with a standard deviation near 0.5.

    Attributes:
        seed: says where in the drawn values it begins: another seed, another noise.
        pitch: distances between knots along x, y and z, mm.
        size: knots along x, y and z; beyond the last, the lattice begins again.
    """

    seed: tuple[object, ...]
    pitch: tuple[float, float, float]
    size: tuple[int, int, int]

    @property
    def knots(self) -> Floats:
        """Values at the knots, shape ``size``."""
        return _drawn(self.size)

    @cached_property
    def _begin(self) -> tuple[float, float, float]:
        """Where it begins, mm."""
        share = seeded(*self.seed).uniform(0.0, 1.0, 3)
        x, y, z = (s * n * p for s, n, p in zip(share, self.size, self.pitch, strict=True))
        return float(x), float(y), float(z)

    def on(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return the noise where three axes cross: shape (len(x), len(y), len(z))."""
        found, axes = self.knots, (x, y, z)
        # the shortest axes first: what is left to blend then shrinks soonest
        for axis in sorted(range(3), key=lambda axis: len(axes[axis]) / self.size[axis]):
            values = axes[axis] + self._begin[axis]
            low, high, share = _between(values, self.pitch[axis], self.size[axis])
            shape = [1, 1, 1]
            shape[axis] = len(values)
            blend = share.reshape(shape)
            found = found.take(low, axis) * (1 - blend) + found.take(high, axis) * blend
        return found

    def at(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return the noise at points; x, y and z have one shape, and so has the result."""
        ends = [
            _between(values + begin, pitch, count)
            for values, begin, pitch, count in zip(
                (x, y, z), self._begin, self.pitch, self.size, strict=True
            )
        ]
        total = np.zeros(np.shape(x))
        for corner in range(8):
            which = [(corner >> axis) & 1 for axis in range(3)]
            index = tuple(end[side] for end, side in zip(ends, which, strict=True))
            weight = np.ones(np.shape(x))
            for end, side in zip(ends, which, strict=True):
                weight = weight * (end[2] if side else 1 - end[2])
            total += self.knots[index] * weight
        return total


def _between(
    values: Floats, pitch: float, count: int
) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats]:
    """Return the knots on either side of each value and the smoothed share of the upper one."""
    place = np.asarray(values, dtype=np.float64) / pitch
    low = np.floor(place)
    share = place - low
    first = low.astype(np.int64) % count
    return first, (first + 1) % count, share * share * (3.0 - 2.0 * share)
