"""The wood of a board as pictures of its faces: grain, knots, saw marks, finish. No two alike.

Every face asks the same function of place in the board, so that rings run over the edges.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from palewright.geometry.arrays import Floats, Singles
from palewright_drawings.rendering.scene.noise import Lattice, seeded
from palewright_drawings.rendering.wood.logs import Log
from palewright_drawings.rendering.wood.species_looks import Look, SurfaceFinish, ramp

_KNOT_SEEN = -0.35
"""Farther outside a knot (in shares of its radius) its rim has faded away."""


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
    finish: SurfaceFinish
    size: tuple[float, float, float]

    def face(self, x: Floats, y: Floats, z: Floats) -> Singles:
        """Return the colours where three axes cross, one of them a single value.

        Returns:
            sRGB from 0 to 1, shape (len(x), len(y), len(z), 3).
        """
        grid = (x[:, None, None], y[None, :, None], z[None, None, :])
        uneven = self.log.unevenness(x, y, z)
        fibre = self._fibre.on(x, y, z) + 0.5 * self._hair.on(x, y, z)
        return self._coloured(grid, uneven, fibre, self._drift.on(x, y, z), self._blot.on(x, y, z))

    def points(self, x: Floats, y: Floats, z: Floats) -> Singles:
        """Return the colours at points of one shape: sRGB, shape (*x.shape, 3)."""
        uneven = self.log.unevenness_at(x, y, z)
        fibre = self._fibre.at(x, y, z) + 0.5 * self._hair.at(x, y, z)
        grid = (x, y, z)
        return self._coloured(grid, uneven, fibre, self._drift.at(*grid), self._blot.at(*grid))

    def _lattice(
        self, what: str, pitch: tuple[float, float, float], size: tuple[int, int, int]
    ) -> Lattice:
        return Lattice((*self.log.seed, what), pitch, size)

    @cached_property
    def _fibre(self) -> Lattice:
        return self._lattice("fibre", (26.0, 0.7, 0.7), (64, 128, 64))

    @cached_property
    def _hair(self) -> Lattice:
        return self._lattice("hair", (7.0, 0.35, 0.35), (64, 128, 64))

    @cached_property
    def _drift(self) -> Lattice:
        return self._lattice("drift", (210.0, 38.0, 60.0), (16, 12, 8))

    @cached_property
    def _blot(self) -> Lattice:
        return self._lattice("blot", (9.0, 4.0, 4.0), (64, 64, 32))

    def _coloured(
        self,
        at: tuple[Floats, Floats, Floats],
        uneven: Floats,
        fibre: Floats,
        drift: Floats,
        blot: Floats,
    ) -> Singles:
        x, y, z = at
        swerve, depth, knot_rings = self.log.knot_field(x, y, z)
        rings = self.log.rings(x, y, z, swerve, uneven)
        # colours need no more digits than this, and are worked out in half the time
        short = [a.astype(np.float32) for a in (rings, depth, knot_rings, fibre, drift)]
        bare = self._bare(*short)
        found = self._finished(bare, at, short[3], blot.astype(np.float32))
        return np.clip(found, 0.0, 1.0)

    @cached_property
    def _tone(self) -> tuple[Singles, float, float]:
        """How dark each ring's late wood is, and how much lighter and warmer the whole board."""
        draw, drift = seeded(*self.log.seed, "tone"), self.look.drift
        strength = draw.uniform(0.55, 1.0, 512).astype(np.float32)
        return strength, float(draw.normal(0.0, drift * 0.55)), float(draw.normal(0, drift * 0.22))

    def _bare(
        self, rings: Singles, depth: Singles, knot_rings: Singles, fibre: Singles, drift: Singles
    ) -> Singles:
        """The wood itself."""
        look = self.look
        strength, board, warm = self._tone
        year = np.floor(rings)
        share = rings - year
        late = look.growth.late
        dark = ramp(1.0 - 1.35 * late, 1.0 - 0.35 * late, share) * (1.0 - ramp(0.965, 1.0, share))
        dark *= strength[np.mod(year.astype(np.int32), 512)]
        heart = look.heart_share * (1.0 - ramp(6.0, 26.0, rings)) * (0.8 + 0.4 * drift)
        light = 1.0 + board + look.drift * drift + look.fibre * fibre * (0.6 + 0.8 * dark)
        colour = np.empty((*rings.shape, 3), dtype=np.float32)
        pale, core = 1.0 - heart, heart * (1.0 - 0.25 * dark)
        for i, turn in enumerate((1.0 + warm, 1.0, 1.0 - 1.4 * warm)):
            grown = look.early[i] + (look.late[i] - look.early[i]) * dark
            colour[..., i] = (grown * pale + look.heart[i] * core) * (light * turn)
        knotted = depth > _KNOT_SEEN
        if knotted.any():
            colour[knotted] = self._knotted(
                colour[knotted], depth[knotted], knot_rings[knotted], fibre[knotted]
            )
        return colour

    def _knotted(self, colour: Singles, depth: Singles, rings: Singles, fibre: Singles) -> Singles:
        """The wood in knots and at their rims; arrays of points (n, ...)."""
        look = self.look
        inside = ramp(0.0, 0.10, depth)[:, None]
        light = 1.0 + 0.28 * np.sin(2 * np.pi * rings) + 0.1 * fibre
        knot = np.asarray(look.knot, dtype=np.float32) * light[:, None]
        colour = colour * (1.0 - inside) + knot * inside
        rim = 0.8 * np.exp(-((depth / 0.12) ** 2))[:, None]
        bark = np.asarray(look.bark, dtype=np.float32)
        return np.asarray(colour * (1.0 - rim) + bark * rim, dtype=np.float32)

    def _finished(
        self, bare: Singles, at: tuple[Floats, Floats, Floats], fibre: Singles, blot: Singles
    ) -> Singles:
        """The wood under its finish."""
        finish = self.finish
        if finish.cover <= 0 and finish.tint <= 0:
            return bare
        colour = np.asarray(finish.colour, dtype=np.float32)
        light = bare.mean(axis=-1, keepdims=True)
        mean = float(np.mean([np.mean(self.look.early), np.mean(self.look.late)]))
        stained = bare * (1.0 - finish.tint) + finish.tint * colour * (light / mean)
        through = 1.0 + finish.grain * (0.10 * (light / mean - 1.0) + 0.03 * fibre[..., None])
        cover: Floats = np.full(bare.shape[:-1], finish.cover)
        if finish.wear > 0:
            # here and there along an edge, never all of it: a dot of the picture is wider than wear
            worn = ramp(0.0, 0.5, blot - 0.4 - 0.6 * self._from_edge(at) / finish.wear)
            cover = cover * (1.0 - 0.55 * worn)
        hidden = cover[..., None]
        return np.asarray(stained * (1.0 - hidden) + colour * through * hidden, dtype=np.float32)

    def _from_edge(self, at: tuple[Floats, Floats, Floats]) -> Floats:
        """Distance (mm) from the nearest long or cross edge of the blank."""
        gaps = [
            np.sort(np.stack(np.broadcast_arrays(value, size - value)), axis=0)[0]
            for value, size in zip(at, self.size, strict=True)
        ]
        three = np.sort(np.stack(np.broadcast_arrays(*gaps)), axis=0)
        # on a face one distance is 0: the second smallest is the way to the nearest edge
        return np.asarray(np.maximum(three[1], 0.0))
