"""What wind does to a trellis full of leaves: its screws pulled out, its uprights bent.

The ladder stands up from its packers as one stiff piece. Wind from the front presses it on the
packers' upper end and pulls its lower screws; wind from behind the other way round. Screws are
pulled in proportion to their distance from the edge about which the ladder turns (judgement).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from palewright.construction.boards import Board
from palewright.construction.box_layout import Box
from palewright.construction.joints import Screw
from palewright.loads.beams import section_modulus, tributaries
from palewright.loads.overturning import DRAG, velocity_pressure
from palewright.loads.screw_design_values import DURATION
from palewright.loads.screw_forces import LoadedScrews, loaded_group
from palewright.loads.standing import crown_of

_WIND = DURATION["wind"]


@dataclass(frozen=True, slots=True)
class TrellisWind:
    """A trellis in the wind of ``site.wind``.

    Attributes:
        force: of the wind on the crown, N.
        height: of its middle above the ground, mm.
        screws: those of the bars, of the uprights and of each layer of packers, all pulled.
        stress: in the uprights where they leave the packers, MPa.
        allowed: what ungraded wet strips are assumed to carry in a gust, MPa; None: not known.
        uprights: names of the uprights.
    """

    force: float
    height: float
    screws: tuple[LoadedScrews, ...]
    stress: float
    allowed: float | None
    uprights: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Gust:
    """Wind on a trellis: force (N) on a crown so high, height of its middle (mm), what it bends."""

    force: float
    crown: float
    middle: float
    uprights: list[Board]
    packers: list[Board]


def trellis_wind(box: Box) -> TrellisWind | None:
    """Return what the wind does to a box's trellis; None without one, or where nothing grows."""
    gust = _gust(box)
    if gust is None:
        return None
    top = box.sizes.height
    low = min(p[2] for board in gust.uprights for p in board.corners)
    held = [s for s in box.screws if s.use == "trellis"]
    ladder = [s for s in held if ".upright-" in s.stack[0] and not s.stack[0].startswith("packers")]
    numbers = _layers(gust.packers)
    layers = [[s for s in held if s.stack[0].endswith(f"-layer-{n}")] for n in numbers]
    high = _upper_end(gust.packers, ladder)
    groups = [("trellis upright", ladder), *(("packer", layer) for layer in layers)]
    found = [
        _turned(use, group, gust.force, gust.middle, (low, high), box) for use, group in groups
    ]
    bars = [s for s in held if ".bar-" in s.stack[0]]
    if bars:
        found.append(_bars(bars, gust.force, (top, top + gust.crown), len(gust.uprights), box))
    stress, allowed = _bent(gust, high, box)
    return TrellisWind(
        force=gust.force,
        height=gust.middle,
        screws=tuple(found),
        stress=stress,
        allowed=allowed,
        uprights=tuple(board.name for board in gust.uprights),
    )


def bends_in_wind(box: Box) -> bool:
    """Return whether wind bends a trellis on packers too hard, its screws placed or not."""
    gust = _gust(box)
    if gust is None or not gust.packers:
        return False
    stress, allowed = _bent(gust, _upper_end(gust.packers, ()), box)
    return allowed is not None and stress > allowed


def _gust(box: Box) -> _Gust | None:
    """Return the wind on a box's trellis; None without one, or where nothing grows."""
    crown, site = crown_of(box), box.parameters.site
    uprights = [b for b in box.boards.values() if b.panel == "trellis" and b.role == "upright"]
    packers = [b for b in box.boards.values() if b.role == "packer"]
    if not uprights or crown.height <= 0 or site.wind <= 0:
        return None
    force = velocity_pressure(site.wind) * DRAG * crown.width * crown.height * 1e-6
    middle = box.sizes.height + crown.height / 2
    return _Gust(force, crown.height, middle, uprights, packers)


def _bent(gust: _Gust, high: float, box: Box) -> tuple[float, float | None]:
    """Return the stress (MPa) in the uprights held up to a height (mm), and what is assumed."""
    strip = box.parameters.materials.stock["strip"]
    section = section_modulus(box.parameters.trellis.strip_width, strip.thinnest)
    stress = gust.force * (gust.middle - high) * _share(len(gust.uprights)) / section
    bending = box.parameters.materials.species[strip].bending
    return stress, None if bending is None else _WIND * bending


def pulled_about(distances: Sequence[float], moment: float) -> float:
    """Return the pull (N) on the furthest of some screws that hold a moment (N·mm).

    Args:
        distances: of each screw from the edge about which the piece turns, mm.
        moment: about that edge.

    Source: statics of a stiff piece: pulls in proportion to distance, so M d / Σ d².
    """
    return moment * max(distances) / sum(d * d for d in distances)


def _share(uprights: int) -> float:
    """Return what the middle upright takes of an even load: half the way to its neighbours."""
    return 1 / max(uprights - 1, 2)


def _layers(packers: Sequence[Board]) -> list[str]:
    """Return the numbers of the layers of packers, from the wall outwards."""
    return list(dict.fromkeys(board.name.rpartition("-")[2] for board in packers))


def _upper_end(packers: Sequence[Board], ladder: Sequence[Screw]) -> float:
    """Return the height (mm) up to which the ladder bears on its packers, or on the wall."""
    ends = [p[2] for board in packers for p in board.corners]
    return max(ends or [screw.head[2] for screw in ladder])


def _turned(
    use: str,
    screws: Sequence[Screw],
    force: float,
    middle: float,
    ends: tuple[float, float],
    box: Box,
) -> LoadedScrews:
    """Return screws that are pulled when wind turns the ladder about an end of its seat."""
    low, high = ends
    behind = pulled_about([s.head[2] - low for s in screws], force * (middle - low))
    front = 0.0
    if min(s.head[2] for s in screws) < high:
        front = pulled_about([high - s.head[2] for s in screws], force * (middle - high))
    return loaded_group(use, "trellis", screws, max(behind, front), 0.0, box, _WIND)


def _bars(
    screws: Sequence[Screw], force: float, crown: tuple[float, float], uprights: int, box: Box
) -> LoadedScrews:
    """Return the bars' screws, which wind from behind pulls: leaves hang on the bars."""
    low, high = crown
    heights = sorted({round(screw.head[2], 6) for screw in screws})
    cells = tributaries(heights, low, max(high, heights[-1]))
    most = max(min(b, high) - min(a, high) for a, b in cells)
    pulled = force * most / (high - low) * _share(uprights)
    return loaded_group("trellis bar", "trellis", screws, pulled, 0.0, box, _WIND)
