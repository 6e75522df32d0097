"""Sizes that no look makes steady: a pull tips them, or wind bends the trellis.

A box of so few boards is too light for its height; a trellis is as wide as its box.
"""

from __future__ import annotations

from collections.abc import Iterable

from palewright.catalogue.fillings import MIXES
from palewright.catalogue.lumber import Stock
from palewright.construction.box_layout import Box, bare_box
from palewright.construction.derived_sizes import Sizes, sizes_of
from palewright.cutting_stock.problem.work_clock import spend
from palewright.loads.overturning import sliding_pull, tipping_pull
from palewright.loads.trellis_wind import bends_in_wind
from palewright.loads.weights import screw_mass, soil_body
from palewright.parameters.chosen_materials import ScrewUse
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.size_search.looks import LAID_OUT, Look
from palewright.size_search.pareto_sizes import Sides
from palewright.size_search.size_grid import sized

TIPS = "PW906"
"""Code of the warning of a box that a pull tips: a fault of a look that nobody drew."""

BENDS = "PW914"
"""Code of the warning of a trellis that wind bends."""

_SCREWED = 500e-6
"""Screws for each mm² of the boards' faces at most: one in a patch of 45 mm. The densest that was
found has 451 to the m²: a tub half as large as it is drawn, its screws 2 in apart. Judgement."""

_USES: tuple[ScrewUse, ...] = ("wall", "corner", "post", "cap", "floor")
"""Screws that a box without a trellis may have; no box has all of them."""

_RECKONED = 0.0002
"""Counted work, in seconds, of reckoning what a look weighs at most."""


def all_tip(parameters: Parameters, sides: Sides, looks: Iterable[Look], boards: int) -> bool:
    """Return whether a pull surely tips a size in each of some looks.

    Args:
        parameters: of the box as drawn.
        sides: mm.
        looks: with walls divided in any way, which moves no soil.
        boards: of the panels' stock that it is made of, or fewer.
    """
    return all(tips(sized(parameters, sides, look), boards) for look in looks)


def all_bend(parameters: Parameters, sides: Sides, looks: Iterable[Look]) -> bool:
    """Return whether wind bends the trellis of a size in each of some looks.

    Neither depth nor height of a box matters to it, but for one that is too small for its frame.

    Args:
        parameters: of the box as drawn.
        sides: mm.
        looks: with walls divided in any way, which moves no packer.
    """
    return parameters.trellis.fit and all(_bends(sized(parameters, sides, look)) for look in looks)


def _bends(tried: Parameters) -> bool:
    """Return whether wind bends a box's trellis; nothing is said of what cannot be built."""
    spend(LAID_OUT)
    try:
        return bends_in_wind(bare_box(tried))
    except InputError:
        return False


def tips(tried: Parameters, boards: int) -> bool:
    """Return whether a pull surely tips a filled box of so many boards, or of fewer.

    One that is too small for its own frame does not stand either.
    """
    spend(_RECKONED)
    try:
        box = Box(tried, sizes_of(tried), {}, (), (), (), ())
    except InputError:
        return True
    try:
        return falls(box, most_faces(tried, box.sizes, boards))
    except InputError:  # of what nobody keeps
        return False


def falls(box: Box, faces: Iterable[tuple[Stock, float]]) -> bool:
    """Return whether a pull surely tips a filled box: as the fit check says of a lighter one.

    It says nothing of a box with a trellis, nor of one that nothing fills, which the fit check does
    not judge.

    Args:
        box: of which sizes are asked, no boards.
        faces: of its boards at most, mm², by stock.

    Raises:
        InputError: if a wood or a screw is not kept.
    """
    asked, sizes, soil = box.parameters, box.sizes, soil_body(box).volume
    if asked.trellis.fit or soil <= 0.0:
        return False
    materials = asked.materials
    screws = _SCREWED * max(screw_mass(materials.screw[use]) for use in _USES)
    mass = soil * MIXES[asked.site.soil].moist * 1e-3
    for stock, face in faces:
        wood = materials.species[stock].density * 1e-9 * stock.thickness
        mass += face * (wood + screws)
    pull = tipping_pull(mass, min(sizes.width, sizes.depth), sizes.height)
    return pull < sliding_pull(mass) and pull < asked.site.pull - 1e-6


def most_faces(tried: Parameters, sizes: Sizes, boards: int) -> list[tuple[Stock, float]]:
    """Return the faces (mm²) of a box's boards at most, by stock: nothing of so many is left.

    Raises:
        InputError: if a stock is not kept.
    """
    cap, panels, post = tried.cap, sizes.board, tried.materials.stock["post"]
    others = []
    if cap.style != "none":
        wide, deep = (side + 2 * cap.overhang for side in (sizes.width, sizes.depth))
        inside = (wide - 2 * cap.width) * (deep - 2 * cap.width)
        others.append((sizes.cap, wide * deep - inside))
    if tried.corner.style == "post":
        others.append((post, 4 * sizes.top * post.true_width))
    faces = [(panels, boards * panels.true_length * panels.true_width)]
    return faces + [one for one in others if one[0] != panels]  # else cut from the same boards
