"""What keeps a box from tipping, in words: in the variant's own keys, within what they allow."""

from __future__ import annotations

from palewright.fit_cases import FitCase
from palewright.loads.stability import OVERTURNING
from palewright.loads.stances import Crown, tipping_ways
from palewright.settings import settings
from palewright.units import both_units, down_to_shop, read_length, up_to_shop

_HALVINGS = 24
_TIE = "tie it to something firm, or screw it down"


def steadier_in_wind(fit: FitCase) -> str:
    """Return what helps a box that ``site.wind`` tips."""
    ways = [_TIE, *_less_in_the_wind(fit), *_heavier(fit)]
    stance, wind = fit.loads.stance, fit.box.parameters.site.wind
    short = {
        way.key: way.base * OVERTURNING * (wind / way.wind) ** 2
        for way in stance.ways
        if way.wind < wind * OVERTURNING**0.5
    }
    # a wider box has a wider trellis, which catches more: no size follows from that
    ladder = fit.box.parameters.trellis.fit and "box.width" in short
    ways += [] if ladder else _bases(fit, short)
    return _listed(ways)


def steadier_when_pulled(fit: FitCase) -> str:
    """Return what helps a box that a pull of ``site.pull`` tips."""
    trellis, sizes = fit.box.parameters.trellis.fit, fit.box.sizes
    lower = "trellis.height or box.height" if trellis else "box.height"
    ways = [f"{_TIE}, and keep children from climbing", f"lower {lower}", *_heavier(fit)]
    stance, pull = fit.loads.stance, fit.box.parameters.site.pull
    needed = min(sizes.width, sizes.depth) * pull / stance.pull
    bases = {"box.width": sizes.width, "box.depth": sizes.depth}
    ways += _bases(fit, {key: needed for key, base in bases.items() if base < needed})
    return _listed(ways)


def _listed(ways: list[str]) -> str:
    """Return ways to help as one sentence: any of them, or some together."""
    *first, last = ways[1:]
    others = f"{', '.join(first)} or {last}" if first else last
    return f"{ways[0]}; or {others}"


def _less_in_the_wind(fit: FitCase) -> list[str]:
    """Return what takes area out of the wind: a lower plant with its height, or a lower box."""
    parameters, crown = fit.box.parameters, fit.loads.stance.crown
    if crown.height <= 0:
        return ["lower box.height"]
    if parameters.site.plant_height is None or parameters.box.kind == "tree":
        return ["lower trellis.height"]
    height = _highest_plant(fit)
    if height <= 0.0:
        return ["lower box.height"]
    return [f"let the plant grow {both_units(height)} above it at most (site.plant_height)"]


def _highest_plant(fit: FitCase) -> float:
    """Return the height (mm) of the crown that the box withstands in ``site.wind``; 0 for none."""
    site, mass = fit.box.parameters.site, fit.loads.weights.moist.mass
    crown, asked = fit.loads.stance.crown, site.wind * OVERTURNING**0.5

    def withstands(height: float) -> bool:
        width = height / 2 if site.plant_width is None else crown.width
        return bool(tipping_ways(mass, fit.box, Crown(width, height))[0].wind >= asked)

    low, high = 0.0, crown.height
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if withstands(middle) else (low, middle)
    return down_to_shop(low, fit.box.parameters.product.units)


def _heavier(fit: FitCase) -> list[str]:
    """Return what makes a box heavier, where something still does."""
    if not fit.loads.weights.filled:
        return ["weigh it down with stones"]
    return ["take a heavier site.soil"] if fit.box.parameters.site.soil != "heavy" else []


def _bases(fit: FitCase, needed: dict[str, float]) -> list[str]:
    """Return the longer bases that help; none where a key does not allow one or no board has it."""
    if not needed:
        return []
    system, longest = fit.box.parameters.product.units, fit.box.sizes.board.true_length
    rounded = {key: up_to_shop(value, system) for key, value in needed.items()}
    for key, value in rounded.items():
        if value > min(read_length(str(settings()[key].high)), longest):
            return []
    told = " and ".join(f"{key} to {both_units(value)}" for key, value in rounded.items())
    return [f"raise {told}"]
