"""Sentences of the plan that depend on the design: sizes, ends, what it holds, how it is made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from palewright.catalogue.lumber import Stock
from palewright.catalogue.screws import ScrewKind
from palewright.construction.liners import Liner, inside_size, soil_bottom
from palewright.design import Design
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import INCH, degrees, print_length, tape_reading, tape_text
from palewright.sawing.cut_parts import CutPart
from palewright_drawings.paper.text_metrics import cap_share, shortened

WORDS = {
    "stile": "the upright board at each edge of a panel",
    "rail": "the level board between two stiles",
    "stave": "an upright board of the wall, behind the frame",
    "filler": "the stave that is ripped to fill the wall",
    "brace": "a slanted board in the opening of a frame",
    "bar": "a narrow board in the opening of a frame, or across a trellis",
    "post": "the square upright inside a corner",
    "cap": "the flat trim on top",
    "cleat": "a strip on the wall that the floor lies on",
    "slat": "a board of the floor",
    "packer": "a strip that keeps the trellis clear of the cap",
    "upright": "a long strip of the trellis",
}
"""The trade's words, for who builds from the plan."""

HAIR = ("full, bare", "cut a hair over, or under, that line of the tape")
"""How sizes between two lines of a tape are told."""

LIP = ("lip", "what a front or back stile reaches past its staves: the side panels seat in it")

_LITRE, _CUBIC_FOOT = 1e6, (12 * INCH) ** 3
"""mm³ in a litre and in a cubic foot."""


def size_line(lengths: Sequence[float], system: str) -> str:
    """Return sizes in a line as a tape has them, such as ``16-1/2 bare × 3 × 5/8 in``."""
    unit = "in" if system == "inch" else "mm"
    return f"{' × '.join(tape_reading(length, system) for length in lengths)} {unit}"


def screw_text(kind: ScrewKind) -> str:
    """Return a screw as it is bought: ``#8 × 1-1/4 in``, or ``4.2 × 30 mm``."""
    return kind.label.replace(" x ", " × ")


def boards_told(counted: Iterable[tuple[Stock | None, int]]) -> str:
    """Return how many boards of which kind: ``9 fence boards, 1 batten, 1 piece of 2x2``."""
    found: dict[str, int] = {}
    for stock, count in counted:
        name = stock.meaning.partition(",")[0].strip() if stock is not None else ""
        found[name or "board"] = found.get(name or "board", 0) + count
    return ", ".join(_counted(name, count) for name, count in found.items())


def _counted(name: str, count: int) -> str:
    """Return how many of something; what is called by its size, such as 2x2, comes in pieces."""
    many = "" if count == 1 else "s"
    return f"{count} piece{many} of {name}" if name[0].isdigit() else f"{count} {name}{many}"


def stock_told(stock: Stock | None) -> str:
    """Return a stock as the yard calls it: ``fence board, 5/8 x 5-1/2 in``."""
    return ", ".join(stock.meaning.split(", ")[:2]) if stock is not None else ""


def ends_text(part: CutPart, system: str) -> str:
    """Return how a part's ends are cut, and its edges where they differ."""
    left, right = (tuple(degrees(a) for a in side if a >= 0.05) for side in _angles(part))
    if not left and not right:
        return "square ends"
    if left == right:
        told = f"both ends {_tilt(left)}"
    else:
        told = f"one end {_tilt(left)}, the other {_tilt(right)}"
    if part.long_edge - part.short_edge > 0.5:
        edges = " and ".join(tape_text(e, system) for e in (part.long_edge, part.short_edge))
        told += f"; edges {edges}"
    return told


def _angles(part: CutPart) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the angles of both ends, the slanted one first."""
    first, second = part.left_angles, part.right_angles
    return (first, second) if max(first) >= max(second) else (second, first)


def _tilt(angles: tuple[str, ...]) -> str:
    """Return one end in words."""
    if not angles:
        return "square"
    if len(angles) == 1:
        return f"{angles[0]}° off square"
    return f"cut to a point, {' and '.join(f'{a}°' for a in angles)} off square"


def title_of(design: Design) -> str:
    """Return what the product is called; the variant's name where it has no title."""
    return design.parameters.product.title.strip() or design.name


SMALL = 8 * INCH / 72
"""Small letters, mm: 8 pt, as the templates' ``small``."""


def foot_text(design: Design, room: float) -> str:
    """Return title and maker in one line of small letters (8 pt) that finds room (mm)."""
    maker = design.parameters.plan.maker.strip()
    told = f"{title_of(design)}  ·  {maker}" if maker else title_of(design)
    return shortened(told, SMALL * cap_share(), "regular", room)


def kind_text(parameters: Parameters) -> str:
    """Return what is built, in a few words."""
    if parameters.box.kind == "tree":
        return "Box that hides the stand of a cut tree"
    return "Planter with a trellis" if parameters.trellis.fit else "Planter box"


def outside(parameters: Parameters) -> tuple[float, float, float]:
    """Return the greatest width, depth and height, cap and trellis included, mm."""
    box, cap, trellis = parameters.box, parameters.cap, parameters.trellis
    over = 0.0 if cap.style == "none" else 2 * cap.overhang
    high = box.height + (trellis.height if trellis.fit else 0.0)
    return box.width + over, box.depth + over, high


def holds_text(design: Design) -> str:
    """Return what the box takes up: soil to the brim, or a tree's stand."""
    parameters, sizes = design.parameters, design.box.sizes
    system = parameters.product.units
    if parameters.box.kind == "tree":
        stand = print_length(parameters.tree.stand_diameter, system)
        high = print_length(parameters.tree.stand_height, system)
        return f"a stand {stand} across, {high} high"
    wide, deep = inside_size(sizes)
    volume = wide * deep * max(0.0, sizes.top - soil_bottom(parameters, sizes))
    litres = f"{volume / _LITRE:.0f} litres"
    if system == "metric":
        return f"{litres} to the brim"
    return f"{volume / _CUBIC_FOOT:.1f} cubic feet ({litres}) to the brim"


def liner_text(liner: Liner | None, drop: float, system: str) -> str:
    """Return how the liner is cut and fixed; empty where there is none.

    Args:
        liner: what is cut.
        drop: how far its edge stays below the top of the panels, mm.
        system: ``inch`` or ``metric``.
    """
    if liner is None:
        return ""
    told = f"One sheet of {size_line(sorted(liner.sheet, reverse=True), system)}. "
    if liner.has_bottom:
        bottom = size_line((liner.width, liner.depth), system)
        told += f"The bottom is {bottom}; fold the corners in, slit it over the drain gaps. "
    return told + f"Staple its edge {tape_text(drop, system)} below the top of the panels."
