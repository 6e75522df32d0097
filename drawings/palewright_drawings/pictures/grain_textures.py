"""The wood of a board as pictures of its faces: grain, knots, saw marks, finish. No two alike.

Every face asks the same function of place in the board, so that rings run over the edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright_drawings.pictures.lattices import Lattice, seeded
from palewright_drawings.pictures.logs import Log
from palewright_drawings.pictures.wood_looks import Finish, Look, blended, ramp

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Grain:
    """The wood of one board.

    Attributes:
        log: where it was sawn.
        look: of its wood.
        finish: what is on it.
        size: length, width and thickness, mm.
    """

    log: Log
    look: Look
    finish: Finish
    size: tuple[float, float, float]

    def face(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return the colours where three axes cross, one of them a single value.

        Returns:
            sRGB from 0 to 1, shape (len(x), len(y), len(z), 3).
        """
        grid = (x[:, None, None], y[None, :, None], z[None, None, :])
        uneven = self.log.unevenness(x, y, z)
        fibre = self._fibre.on(x, y, z) + 0.5 * self._hair.on(x, y, z)
        return self._coloured(grid, uneven, fibre, self._drift.on(x, y, z), self._blot.on(x, y, z))

    def points(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Return the colours at points of one shape: sRGB, shape (*x.shape, 3)."""
        uneven = self.log.unevenness_at(x, y, z)
        fibre = self._fibre.at(x, y, z) + 0.5 * self._hair.at(x, y, z)
        grid = (x, y, z)
        return self._coloured(grid, uneven, fibre, self._drift.at(*grid), self._blot.at(*grid))

    def _lattice(
        self, what: str, pitch: tuple[float, float, float], size: tuple[int, int, int]
    ) -> Lattice:
        return Lattice((*self.log.seed, what), pitch, size)

    @property
    def _fibre(self) -> Lattice:
        return self._lattice("fibre", (26.0, 0.7, 0.7), (64, 128, 64))

    @property
    def _hair(self) -> Lattice:
        return self._lattice("hair", (7.0, 0.35, 0.35), (64, 128, 64))

    @property
    def _drift(self) -> Lattice:
        return self._lattice("drift", (210.0, 38.0, 60.0), (16, 12, 8))

    @property
    def _blot(self) -> Lattice:
        return self._lattice("blot", (9.0, 4.0, 4.0), (64, 64, 32))

    def _coloured(
        self,
        at: tuple[Floats, Floats, Floats],
        uneven: Floats,
        fibre: Floats,
        drift: Floats,
        blot: Floats,
    ) -> Floats:
        x, y, z = at
        swerve, depth, knot_rings = self.log.knot_field(x, y, z)
        rings = self.log.rings(x, y, z, swerve, uneven)
        bare = self._bare(rings, depth, knot_rings, fibre, drift)
        return np.clip(self._finished(bare, at, fibre, blot), 0.0, 1.0)

    def _bare(
        self, rings: Floats, depth: Floats, knot_rings: Floats, fibre: Floats, drift: Floats
    ) -> Floats:
        """The wood itself."""
        look = self.look
        draw = seeded(*self.log.seed, "tone")
        strength = draw.uniform(0.55, 1.0, 512)
        year = np.floor(rings)
        share = rings - year
        late = look.growth.late
        dark = ramp(1.0 - 1.35 * late, 1.0 - 0.35 * late, share) * (1.0 - ramp(0.965, 1.0, share))
        dark *= strength[np.mod(year, 512).astype(np.int64)]
        colour = blended(look.early, look.late, np.clip(dark, 0.0, 1.0))
        heart = look.heart_share * (1.0 - ramp(6.0, 26.0, rings)) * (0.8 + 0.4 * drift)
        colour = colour * (1.0 - heart[..., None]) + np.asarray(look.heart) * heart[..., None] * (
            0.75 + 0.25 * (1.0 - dark[..., None])
        )
        board = float(draw.normal(0.0, look.drift * 0.55))
        warm = float(draw.normal(0.0, look.drift * 0.22))
        light = 1.0 + board + look.drift * drift + look.fibre * fibre * (0.6 + 0.8 * dark)
        colour = colour * light[..., None] * np.array([1.0 + warm, 1.0, 1.0 - 1.4 * warm])
        inside = ramp(0.0, 0.10, depth)
        knot = np.asarray(look.knot) * (
            1.0 + 0.28 * np.sin(2 * np.pi * knot_rings)[..., None] + 0.1 * fibre[..., None]
        )
        bark = np.exp(-((depth / 0.12) ** 2))
        colour = colour * (1.0 - inside[..., None]) + knot * inside[..., None]
        rim = 0.8 * bark[..., None]
        return np.asarray(colour * (1.0 - rim) + np.asarray(look.bark) * rim)

    def _finished(
        self, bare: Floats, at: tuple[Floats, Floats, Floats], fibre: Floats, blot: Floats
    ) -> Floats:
        """The wood under its finish."""
        finish = self.finish
        if finish.cover <= 0 and finish.tint <= 0:
            return bare
        colour = np.asarray(finish.colour)
        light = bare.mean(axis=-1, keepdims=True)
        mean = float(np.mean([np.mean(self.look.early), np.mean(self.look.late)]))
        stained = bare * (1.0 - finish.tint) + finish.tint * colour * (light / mean)
        through = 1.0 + finish.grain * (0.10 * (light / mean - 1.0) + 0.03 * fibre[..., None])
        cover = np.full(bare.shape[:-1], finish.cover)
        if finish.wear > 0:
            # here and there along an edge, never all of it: a dot of the picture is wider than wear
            worn = ramp(0.0, 0.5, blot - 0.4 - 0.6 * self._from_edge(at) / finish.wear)
            cover = cover * (1.0 - 0.55 * worn)
        hidden = cover[..., None]
        return np.asarray(stained * (1.0 - hidden) + colour * through * hidden)

    def _from_edge(self, at: tuple[Floats, Floats, Floats]) -> Floats:
        """Distance (mm) from the nearest long or cross edge of the blank."""
        gaps = [
            np.sort(np.stack(np.broadcast_arrays(value, size - value)), axis=0)[0]
            for value, size in zip(at, self.size, strict=True)
        ]
        three = np.sort(np.stack(np.broadcast_arrays(*gaps)), axis=0)
        # on a face one distance is 0: the second smallest is the way to the nearest edge
        return np.asarray(np.maximum(three[1], 0.0))
