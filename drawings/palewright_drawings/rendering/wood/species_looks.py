"""How a wood looks: its rings' colours, fibre, knots and saw marks, bare or finished."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from palewright_drawings.rendering.scene.scene import Rgb
from palewright_drawings.rendering.wood.logs import Growth

Real = TypeVar("Real", np.float32, np.float64)


@dataclass(frozen=True, slots=True)
class Look:
    """One wood as it lies in the yard. Colours are sRGB from 0 to 1.

    Attributes:
        growth: rings and knots.
        early, late: wood of spring and of summer within a ring.
        heart: what the wood near the pith tends to; ``heart_share`` how far.
        knot, bark: the middle of a knot and the ring round it.
        drift: how much boards and parts of boards differ, as a share.
        fibre: strength of the fine streaks, as a share.
        saw: strength of the saw's marks, as a share.
    """

    growth: Growth
    early: Rgb
    late: Rgb
    heart: Rgb
    heart_share: float
    knot: Rgb
    bark: Rgb
    drift: float
    fibre: float
    saw: float


@dataclass(frozen=True, slots=True)
class SurfaceFinish:
    """What is put on the wood. ``cover`` 0 leaves the wood bare, 1 hides it.

    Attributes:
        colour: sRGB of the paint or stain.
        cover: how much of the wood's colour it hides.
        tint: how much it colours what shows through, 0 to 1.
        grain: how much of the grain's light and dark shows through in the surface.
        wear: width of worn edges, mm; 0 for none.
        gloss: 0 dull to 1 shining.
    """

    colour: Rgb = (1.0, 1.0, 1.0)
    cover: float = 0.0
    tint: float = 0.0
    grain: float = 1.0
    wear: float = 0.0
    gloss: float = 0.15


_FAST_PINE = Growth(ring=4.2, ring_spread=0.38, memory=0.8, late=0.36, knots=3.2, knot_radius=9.0)
"""How the woods grow, mm and shares: judged by eye, as all below."""

_SLOW_CEDAR = Growth(ring=1.9, ring_spread=0.30, memory=0.85, late=0.18, knots=2.2, knot_radius=6.5)
"""Narrow rings, little late wood."""

_FIR = Growth(ring=2.4, ring_spread=0.30, memory=0.85, late=0.34, knots=2.0, knot_radius=7.0)
"""Between the two."""

LOOKS: dict[str, Look] = {
    "treated-pine": Look(
        _FAST_PINE,
        early=(0.79, 0.73, 0.55),
        late=(0.60, 0.47, 0.27),
        heart=(0.72, 0.56, 0.36),
        heart_share=0.35,
        knot=(0.47, 0.33, 0.19),
        bark=(0.30, 0.21, 0.13),
        drift=0.10,
        fibre=0.10,
        saw=0.10,
    ),
    "cedar": Look(
        _SLOW_CEDAR,
        early=(0.70, 0.51, 0.37),
        late=(0.50, 0.32, 0.21),
        heart=(0.58, 0.36, 0.25),
        heart_share=0.5,
        knot=(0.38, 0.20, 0.12),
        bark=(0.22, 0.12, 0.08),
        drift=0.16,
        fibre=0.11,
        saw=0.10,
    ),
    "douglas-fir": Look(
        _FIR,
        early=(0.83, 0.66, 0.46),
        late=(0.62, 0.38, 0.22),
        heart=(0.76, 0.50, 0.34),
        heart_share=0.4,
        knot=(0.45, 0.27, 0.16),
        bark=(0.28, 0.17, 0.11),
        drift=0.09,
        fibre=0.10,
        saw=0.08,
    ),
    "spruce": Look(
        _FIR,
        early=(0.87, 0.77, 0.59),
        late=(0.74, 0.58, 0.38),
        heart=(0.84, 0.71, 0.52),
        heart_share=0.2,
        knot=(0.52, 0.36, 0.22),
        bark=(0.33, 0.23, 0.15),
        drift=0.07,
        fibre=0.09,
        saw=0.09,
    ),
    "weathered": Look(
        _FAST_PINE,
        early=(0.62, 0.60, 0.56),
        late=(0.42, 0.40, 0.37),
        heart=(0.55, 0.52, 0.47),
        heart_share=0.3,
        knot=(0.34, 0.31, 0.28),
        bark=(0.22, 0.20, 0.18),
        drift=0.14,
        fibre=0.20,
        saw=0.12,
    ),
}
"""Looks by species, and ``weathered`` for any wood after a few years outdoors. Judged by eye."""

FINISHES: dict[str, SurfaceFinish] = {
    "bare": SurfaceFinish(),
    "oil": SurfaceFinish((0.62, 0.42, 0.22), cover=0.06, tint=0.35, grain=1.0, gloss=0.35),
    "walnut-stain": SurfaceFinish((0.40, 0.26, 0.16), cover=0.30, tint=0.75, grain=0.9, gloss=0.25),
    "grey-stain": SurfaceFinish((0.50, 0.51, 0.50), cover=0.42, tint=0.6, grain=0.8, wear=0.8),
    "cream-paint": SurfaceFinish(
        (0.91, 0.87, 0.77), cover=0.97, tint=0.0, grain=0.35, wear=1.0, gloss=0.3
    ),
    "sage-paint": SurfaceFinish(
        (0.55, 0.62, 0.51), cover=0.97, tint=0.0, grain=0.35, wear=1.0, gloss=0.3
    ),
    "ink-paint": SurfaceFinish(
        (0.17, 0.20, 0.24), cover=0.97, tint=0.0, grain=0.35, wear=1.0, gloss=0.3
    ),
}
"""Finishes by name, our own."""


def look_of(species: str) -> Look:
    """Return how a species looks; one of the maker's own is drawn as spruce."""
    return LOOKS.get(species, LOOKS["spruce"])


def ramp(low: float, high: float, values: NDArray[Real]) -> NDArray[Real]:
    """Return 0 below ``low``, 1 above ``high`` and a smooth rise between."""
    share = np.clip((values - low) / (high - low), 0.0, 1.0)
    return np.asarray(share * share * (3.0 - 2.0 * share), dtype=values.dtype)
