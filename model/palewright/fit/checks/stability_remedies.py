"""What keeps a box from tipping, in the variant's own keys and within what they allow."""

from __future__ import annotations

from palewright.fit.cases import FitCase
from palewright.fit.findings import Change
from palewright.fit.remedies import Remedy
from palewright.loads.overturning import OVERTURNING
from palewright.loads.standing import Crown, tipping_ways
from palewright.parameters.schema import settings
from palewright.reading.lengths import down_to_shop, print_length, read_length, up_to_shop

_HALVINGS = 24
"""A range of metres halved so often is known to a ten-thousandth of a millimetre."""
_TIE = "tie it to something firm"


def steadier_in_wind(fit: FitCase) -> Remedy:
    """Return what helps a box that ``site.wind`` tips: a lower plant, or a longer base."""
    parameters, stance = fit.box.parameters, fit.loads.stance
    if parameters.site.plant_height is not None and parameters.box.kind != "tree":
        height = _highest_plant(fit)
        if 0.0 < height < stance.crown.height:
            text = print_length(height, parameters.product.units)
            return _TIE, (Change("site.plant_height", text),)
    wind = parameters.site.wind
    short = {
        way.key: way.base * OVERTURNING * (wind / way.wind) ** 2
        for way in stance.ways
        if way.wind < wind * OVERTURNING**0.5
    }
    # a wider box has a wider trellis, which catches more: no size follows from that
    ladder = parameters.trellis.fit and "box.width" in short
    return _TIE, () if ladder else _bases(fit, short)


def steadier_when_pulled(fit: FitCase) -> Remedy:
    """Return what helps a box that a pull of ``site.pull`` tips: a longer base."""
    sizes, stance, pull = fit.box.sizes, fit.loads.stance, fit.box.parameters.site.pull
    needed = min(sizes.width, sizes.depth) * pull / stance.pull
    bases = {"box.width": sizes.width, "box.depth": sizes.depth}
    short = {key: needed for key, base in bases.items() if base < needed}
    return f"{_TIE}, and let no child climb it", _bases(fit, short)


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


def _bases(fit: FitCase, needed: dict[str, float]) -> tuple[Change, ...]:
    """Return the longer bases that help; none where a key does not allow one or no board has it."""
    system, longest = fit.box.parameters.product.units, fit.box.sizes.board.true_length
    rounded = {key: up_to_shop(value, system) for key, value in needed.items()}
    for key, value in rounded.items():
        if value > min(read_length(str(settings()[key].high)), longest):
            return ()
    return tuple(Change(key, print_length(value, system)) for key, value in rounded.items())
