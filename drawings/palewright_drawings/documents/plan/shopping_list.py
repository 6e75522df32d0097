"""What one box takes, as data: boards, screws, drills, tools, liner. Lengths in mm."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from palewright.catalogue.lumber import Stock
from palewright.catalogue.screws import ScrewKind
from palewright.design import Design
from palewright.reading.lengths import tape_text
from palewright.sawing.cut_parts import CutPart
from palewright.sawing.numbered_plans import NumberedPlan

SCREW_SPARE = 0.1
"""Share of screws bought on top for those that strip or drop (common practice, no source)."""

BOARD_SPARE = 0.1
"""Share of boards bought on top where the variant asks for none (common practice, no source)."""

USES = {
    "wall": "staves to the frames",
    "corner": "corners",
    "post": "panels to the corner posts",
    "cap": "cap",
    "floor": "hung floor",
    "cleat": "cleats",
    "trellis": "trellis and its packers",
}
"""What the screws of each use hold."""


@dataclass(frozen=True, slots=True)
class BoardsToBuy:
    """Boards of one stock.

    Attributes:
        name, stock: what is bought.
        count: how many the layouts use.
        least: no layout at all could use fewer.
        spare: how many more are advised.
        share: of the wood bought that becomes parts, 0 to 1.
    """

    name: str
    stock: Stock
    count: int
    least: int
    spare: int
    share: float


@dataclass(frozen=True, slots=True)
class ScrewsToBuy:
    """Screws of one kind: how many go in, how many to buy, what each use takes."""

    kind: ScrewKind
    count: int
    buy: int
    uses: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class DrillBit:
    """A drill bit, diameter in mm, and what it is for."""

    diameter: float
    purpose: str


def boards_to_buy(plans: list[NumberedPlan]) -> list[BoardsToBuy]:
    """Return the boards, stock by stock."""
    found = []
    for one in plans:
        stock, plan = one.plan.demand.stock, one.plan.plan
        assert stock is not None  # a design's boards are of kept stock
        area = sum(p.length * p.width * p.count for p in one.plan.demand.parts)
        spare = plan.spare or math.ceil(BOARD_SPARE * plan.boards)
        share = area / (plan.boards * stock.true_length * stock.true_width)
        name = one.plan.demand.name or stock.meaning
        found.append(BoardsToBuy(name, stock, plan.boards, plan.lower_bound, spare, share))
    return found


def screws_to_buy(design: Design) -> list[ScrewsToBuy]:
    """Return the screws by kind, thinnest and shortest first."""
    counted: dict[ScrewKind, Counter[str]] = {}
    for screw in design.box.screws:
        counted.setdefault(screw.kind, Counter())[screw.use] += 1
    found = []
    for kind in sorted(counted, key=lambda k: (k.gauge.number, k.length)):
        total = counted[kind].total()
        buy = 5 * math.ceil(total * (1 + SCREW_SPARE) / 5 - 1e-9)
        uses = tuple((USES[use], count) for use, count in counted[kind].items())
        found.append(ScrewsToBuy(kind, total, buy, uses))
    return found


def drills(design: Design) -> list[DrillBit]:
    """Return the drills that the screws want, thinnest first; one of each size."""
    found: dict[float, list[str]] = {}
    kinds = {(s.kind.gauge.number, s.kind.length, s.kind.dense): s.kind for s in design.box.screws}
    for _, kind in sorted(kinds.items()):
        label = kind.size
        for size, purpose in (
            (kind.pilot, f"pilot holes for {label}{' in dense wood' if kind.dense else ''}"),
            (kind.clearance, f"clearance holes for {label}"),
        ):
            known = found.setdefault(round(size, 3), [])
            if purpose not in known:
                known.append(purpose)
    return [DrillBit(size, ", ".join(found[size])) for size in sorted(found)]


def tools(design: Design, jigs: bool) -> list[str]:
    """Return the tools, in the order in which they are taken up.

    Args:
        design: for whom.
        jigs: whether jigs are made for it.
    """
    parts = design.parts
    found = ["pencil, tape measure, try square", "eye and ear protection, push stick"]
    if any(p.width < p.stock.width - 1e-6 for p in parts):
        found.append("table saw with rip fence, to rip boards to width")
    found.append("saw that crosscuts square, with a stop block")
    tilts = tilted(parts)
    if tilts:
        found.append("mitre saw or mitre gauge, set to the angles of the saw list")
    found.append("drill and driver, countersink bit, a stop collar for each drill")
    if jigs:
        found.append("for several boxes the jigs of this plan, cut from plywood")
    found.append("two clamps or more, straight battens, flat bench or floor")
    found.append("sandpaper, 80 and 120 grit, brush or rag for the finish")
    if design.parameters.liner.fit:
        found.append("scissors and stapler for the liner")
    return found


def supplies(design: Design, jigs: bool) -> list[str]:
    """Return what else is used up: glue, treatment, liner, feet, plywood.

    Args:
        design: for whom.
        jigs: whether jigs are made for it.
    """
    parameters, kinds = design.parameters, {joint.kind for joint in design.box.joints}
    found = []
    if "glue" in kinds:
        found.append("wood glue for outdoors, for the corners of the cap")
    if "bed" in kinds:
        found.append("construction adhesive for outdoors, a cartridge: it fills gaps")
    if any(parameters.materials.species[part.stock].treated for part in design.parts):
        found.append("preservative for cut ends of treated wood, by brush")
    if parameters.liner.fit:
        found.append("pond liner or strong plastic sheet, and staples that do not rust")
    if parameters.box.kind == "planter":
        found.append("two strips of treated wood or four feet, so that the foot dries")
    if jigs:
        thick = tape_text(parameters.jig.thickness, parameters.product.units)
        found.append(f"{thick} plywood for the jigs")
    return found


def tilted(parts: tuple[CutPart, ...]) -> list[float]:
    """Return the angles off square of all end cuts, degrees, to a tenth, least first."""
    angles = {round(a, 1) for p in parts for a in (*p.left_angles, *p.right_angles)}
    return sorted(angle for angle in angles if angle > 0)
