"""Random variants for the oracle: a number gives one, and what the model says and writes of it.

This is the only place where model and oracle meet: variants and files are made by the model here,
and judged in `oracle`, which knows only the files.
"""

from __future__ import annotations

import json
import random
import shlex
from collections.abc import Sequence
from dataclasses import dataclass, replace

import manifold3d
import numpy as np

from oracle.judging import CaseBox, Reason, judge
from oracle.reported import differences
from oracle.solids import Bore, Solid, read_step
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of, shipped_stock
from palewright.catalogue.screws import GAUGES
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.construction.screw_holes import holes_of
from palewright.design import Design
from palewright.fit.findings import Finding
from palewright.parameters.schema import settings as every_setting
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.fields import Setting
from palewright.reading.lengths import INCH, read_length
from palewright_drawings.cad_files.step import step_file
from palewright_drawings.json_reports.report import report_file

CONFIRMED_BY = {
    "PW101": {"clash"},
    "PW102": {"clash", "path"},
    "PW201": {"gap", "slat", "mitre", "contact"},
    "PW202": {"contact", "gap", "slat", "mitre"},
    "PW203": {"pieces", "panel", "slat", "gap"},
    "PW205": {"end"},
    "PW301": {"thread", "bite", "hole", "gap"},
    "PW302": {"through"},
    "PW307": {"meet"},
    # a hole ends with its board, so a point that comes through is not seen beyond
    "PW308": {"stray", "through"},
    "PW310": {"bite", "thread"},
    "PW401": {"path"},
}
"""The model's faults that the oracle judges too, and the reasons of which one must be there."""

FALLEN = {"pieces", "panel", "thread", "hole"}
"""Reasons that bear out any fault: a box that comes apart, or whose screws miss, is not sound, and
what else is wrong with it shows in other ways."""

TABLES = ("box", "panel", "face", "wall", "cap", "corner", "floor", "screws", "tree", "trellis")
"""Tables whose settings move boards or screws; the lumber is drawn by itself."""

MOST_BOARDS = 110
"""Boxes of more boards are left out: they take long and show nothing that smaller ones do not."""

SIZES = {"box.width": (12, 40), "box.depth": (11, 26), "box.height": (8, 32)}
"""Sizes (in) that a shop makes."""


@dataclass(frozen=True)
class Drawn:
    """One random variant: a shipped base with settings laid over it."""

    number: int
    base: str
    settings: tuple[str, ...]

    @property
    def command(self) -> str:
        """What to type to see the model's verdict on it."""
        typed = " ".join(f"--set {shlex.quote(one)}" for one in self.settings)
        return f"palewright check {self.base} {typed}".strip()


def drawn(number: int) -> Drawn:
    """Return the variant of a number: always the same for one state of the settings.

    A quarter changes sizes alone, a quarter sizes and the kind of construction, a quarter a few
    settings anywhere in their ranges, a quarter many near the usual, some with lumber of its own.
    A third of all have staves that lap their frame in part.
    """
    pick = random.Random(f"oracle {number}")
    base = pick.choice(sorted(shipped_variants()))
    mood = number % 4
    said: dict[str, str] = {}
    for key, (low, high) in SIZES.items():
        if mood < 2 or pick.random() < 0.6:
            said[key] = _inches(pick.randint(low * 4, high * 4) * 4)
    usable = {k: one for k, one in every_setting().items() if k.partition(".")[0] in TABLES}
    choices = [key for key, one in usable.items() if one.among or one.kind == "yes or no"]
    faces = [key for key in usable if key in ("face.front", "face.sides", "face.back")]
    if mood == 1:
        for key in (*choices, *faces):
            if key != "box.kind" and pick.random() < 0.6:
                said[key] = _anywhere(usable[key], pick)
    elif mood == 2:
        for key in pick.sample(sorted(usable), pick.randint(1, 4)):
            said[key] = _anywhere(usable[key], pick)
    elif mood == 3:
        for key in pick.sample(sorted(usable), pick.randint(3, 9)):
            said[key] = _near(usable[key], pick)
        said |= _lumber(pick)
    if pick.random() < 1 / 3:
        said = {k: v for k, v in said.items() if k not in ("panel.lip", "panel.setback")}
        said |= _laps(pick)
    return Drawn(number, base, tuple(f"{key}={value}" for key, value in said.items()))


def _laps(pick: random.Random) -> dict[str, str]:
    """Return laps as a shop that saves boards sets them, with screws that find room in most."""
    asked = {
        "wall.rail_lap": _inches(pick.randint(8, 32)),
        "wall.stile_lap": _inches(pick.randint(5, 22)),
        "wall.stave_width": _inches(pick.randint(24, 60)),
        "floor.rise": _inches(pick.randint(24, 96)),
        "screws.wall": f"#6 x {_inches(16)}",
    }
    return {key: value for key, value in asked.items() if pick.random() < 0.75}


def _inches(sixteenths: int) -> str:
    """Return a length as the shop writes it."""
    whole, rest = divmod(sixteenths, 16)
    below = 16
    while rest and rest % 2 == 0:
        rest, below = rest // 2, below // 2
    text = f"{rest}/{below}" if rest else ""
    return f"{whole}-{text} in" if whole and rest else f"{text or whole} in"


def _anywhere(one: Setting, pick: random.Random) -> str:
    """Return any value that a setting allows; lengths nearer to the low end, as most are used."""
    if one.may_be_auto and pick.random() < 0.25:
        return "auto"
    if one.kind == "length":
        low, high = read_length(str(one.low)), read_length(str(one.high))
        return _length(low + (high - low) * pick.random() ** 2, low, high, pick)
    if one.kind == "count":
        return str(pick.randint(int(one.low or 0), min(int(one.high or 0), 12)))
    if one.kind == "yes or no":
        return pick.choice(("true", "false"))
    if one.among:
        return pick.choice(one.among)
    if one.key.startswith("face."):
        same = () if one.key == "face.front" else ("same",)
        return pick.choice([*sorted(FACE_PATTERNS), *same])
    return f"#{pick.choice(sorted(GAUGES))} x {_inches(pick.randint(4, 24) * 2)}"


def _near(one: Setting, pick: random.Random) -> str:
    """Return a value near a setting's default; where it has none in mm, any."""
    if one.kind != "length" or one.may_be_auto:
        if one.key.startswith("screws.") and not one.among:
            gauge = pick.choice((6, 8, 8, 8, 9, 10))
            usual = read_length(str(one.default).partition(" x ")[2] or "1 in") / INCH
            return f"#{gauge} x {_inches(round(8 * usual + pick.randint(-3, 3)) * 2)}"
        return _anywhere(one, pick)
    low, high = read_length(str(one.low)), read_length(str(one.high))
    usual = read_length(str(one.default))
    return _length(usual * pick.uniform(0.6, 1.6), low, high, pick)


def _length(size: float, low: float, high: float, pick: random.Random) -> str:
    """Return a size within its range, in sixteenths or in mm."""
    sixteenths = round(size / INCH * 16)
    if pick.random() < 0.8 and low <= sixteenths * INCH / 16 <= high:
        return _inches(sixteenths)
    return f"{min(max(round(size, 1), low), high):g} mm"


def _lumber(pick: random.Random) -> dict[str, str]:
    """Return stock from the shelf, or boards of the maker's own."""
    found = {}
    if pick.random() < 0.4:
        found["lumber.seed"] = str(pick.randint(0, 999))
    if pick.random() < 0.4:
        thick, wide = pick.randint(8, 20), pick.randint(48, 120)
        found |= {
            "stock.mine.thickness": _inches(thick),
            "stock.mine.thickness_spread": f"{pick.randint(0, 30) / 10:g} mm",
            "stock.mine.width": _inches(wide),
            "stock.mine.width_spread": f"{pick.randint(0, 40) / 10:g} mm",
            "stock.mine.length": f"{pick.choice((72, 96))} in",
            "stock.mine.price": '"4.00"',
            "lumber.board": "mine",
        }
    elif pick.random() < 0.7:
        for key in pick.sample(("board", "cap", "post", "strip"), pick.randint(1, 3)):
            found[f"lumber.{key}"] = pick.choice(sorted(shipped_stock()))
    return found


@dataclass(frozen=True)
class Judged:
    """What the model and the oracle say of one variant.

    Attributes:
        state: ``refused`` (it cannot be built at all), ``large`` (too many boards), ``passed``,
            ``unfit`` (with a fault that the oracle judges too), ``other`` (with others alone).
        codes: the model's faults.
        reasons: the oracle's.
        false: faults (code and case) that the oracle finds no reason for; of a box that passed,
            screws that the report lists otherwise than the holes show them.
    """

    variant: Drawn
    state: str
    codes: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    false: tuple[str, ...] = ()

    @property
    def wrong(self) -> bool:
        """Whether model and oracle contradict each other."""
        return bool(self.false) or (self.state == "passed" and bool(self.reasons))

    def as_json(self) -> dict[str, object]:
        """Return it as JSON-ready data."""
        return {
            "number": self.variant.number,
            "state": self.state,
            "wrong": self.wrong,
            "codes": list(self.codes),
            "false": list(self.false),
            "kinds": sorted({one.kind for one in self.reasons}),
            "told": [f"{r.case}: {r.told}" for r in self.reasons[:3]],
            "command": self.variant.command,
        }


def compared(
    variant: Drawn, cases: Sequence[LumberCase] = LUMBER_CASES, light: bool = False
) -> Judged:
    """Return what both say of a variant.

    Args:
        variant: the box.
        cases: lumber cases in which a box that passes is judged; thin, if it is there, tells the
            oracle the thinnest boards. One that does not fit is judged in the cases in which the
            model finds it so.
        light: judge corners and holes as the model lists them, not its STEP files: a tenth of the
            work, for many boxes.
    """
    try:
        design = Design(variant.base, load_variant(variant.base, variant.settings).parameters)
        verdict = design.verdict
    except InputError:
        return Judged(variant, "refused")
    faults = [f for f in verdict.findings if f.severity == "fault"]
    codes = tuple(sorted({f.code for f in faults}))
    if len(design.box.boards) > MOST_BOARDS:
        return Judged(variant, "large", codes)

    steps = [step.boards for step in design.box.steps]

    def read(case: LumberCase, pile: int = 0) -> CaseBox:
        box = box_in(design, case, pile)
        boards = listed_boards(box) if light else read_step(step_of(design, box))
        return CaseBox(case, boards, steps)

    if not faults:
        boxes = [read(case) for case in cases]
        return Judged(variant, "passed", codes, tuple(judge(boxes)), listed(design, boxes))
    seen = sorted({(f.code, f.case) for f in faults if _seen(f)})
    if not seen:
        return Judged(variant, "other", codes)
    # a fault without a case is one of the cut sizes, or of the worst boards that can meet
    named = LUMBER_CASES if any(not case for _, case in seen) else [case for _, case in seen]
    found: list[Reason] = []
    false: tuple[str, ...] = ()
    for pile in piles_of("mixed") if "mixed" in named else range(1):
        # what the first pile of mixed boards does not show, another may
        asked = named if pile == 0 else ("mixed",)
        found += judge([read(case, pile) for case in LUMBER_CASES if case in asked], True)
        false = tuple(
            f"{code} {case}"
            for code, case in seen
            if not any(
                case in ("", r.case) and r.kind in CONFIRMED_BY[code] | FALLEN for r in found
            )
        )
        if not false:
            break
    return Judged(variant, "unfit", codes, tuple(found), false)


def listed(design: Design, boxes: Sequence[CaseBox]) -> tuple[str, ...]:
    """Return where the report's list of screws and the holes of the files disagree."""
    # half of the work of a box: what would mend it, and its saw plan, are nothing to the oracle
    design.__dict__.update(cured=design.verdict, board_plans=[])
    places = json.loads(report_file(design))["screw_places"]
    return tuple(differences(places, {box.case: box.screws for box in boxes}))


def _seen(fault: Finding) -> bool:
    """Whether the oracle can judge a fault: it knows boards and screws, not stand and trunk."""
    return fault.code in CONFIRMED_BY and not {"stand", "trunk"}.intersection(fault.boards)


def box_in(design: Design, case: LumberCase, pile: int = 0) -> Box:
    """Return a box in lumber of one case, of mixed boards in one pile, holes and all."""
    box = design.box if case == "nominal" else lay_out(design.parameters, case, pile)
    if any(board.holes for board in box.boards.values()):
        return box
    holes = holes_of(box.screws, box.boards)
    return replace(
        box, boards={name: b.with_holes(holes.get(name, ())) for name, b in box.boards.items()}
    )


def step_of(design: Design, box: Box) -> bytes:
    """Return the STEP file of a design's box in some lumber."""
    other = Design(design.name, design.parameters)
    other.__dict__["box"] = box  # where the design keeps a stage that is worked out
    return step_file(other)


def listed_boards(box: Box) -> dict[str, Solid]:
    """Return the boards without a file: corners and holes as the model lists them.

    Their bodies are hulls, so a hole takes no wood away, and none is seen to break out of a side.
    """
    found = {}
    for name, board in box.boards.items():
        hull = manifold3d.Manifold.hull_points(np.array(board.corners)).to_mesh64()
        bores = []
        for hole in board.holes:
            if hole.depth < 1e-6:
                continue  # rounding leaves such where a screw only just touches a board
            start = np.array(board.placement.out(*hole.start))
            end = start + np.array(board.placement.direction_out(hole.axis)) * hole.depth
            bores.append(Bore(name, start, end, hole.diameter / 2, hole.sink / 2))
        points = np.array(hull.vert_properties)[:, :3]
        found[name] = Solid(name, points, np.array(hull.tri_verts, dtype=np.int64), tuple(bores))
    return found
