"""Cut list, report and manifest data against the design, and the kernel against the closed form."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections import Counter
from dataclasses import replace

import jsonschema
import pytest

from case_lists import KINDS, mostly_thorough
from kernel_volumes import volumes_of
from palewright.assembly.assembly_steps import assembly_steps
from palewright.construction.boards import Board, Hole
from palewright.costing.box_takeoff import work_of
from palewright.design import Design, design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.reading.lengths import read_length
from palewright.reading.quantities import print_quantity
from palewright.solids.drilled_boards import drilled
from palewright.solids.kernel_solids import board_solid
from palewright_drawings.cad_files.cutlist_csv import COLUMNS, cut_list
from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.json_reports.report import liner_sheet, report, report_file
from palewright_drawings.json_reports.verdicts import verdict_as_json
from palewright_drawings.texts.cautions import cautions_of

INCH = {"face": {"front": "cross"}, "lumber": {"cap": "fence-58-cedar"}}
METRIC = {"product": {"units": "metric"}, "corner": {"style": "post"}}
SIXTY_FOURTH = 25.4 / 64


@pytest.fixture(scope="module", params=[INCH, METRIC], ids=["inch", "metric"])
def tub(request: pytest.FixtureRequest) -> Design:
    return design(parameters_from(request.param, {}), "tub")


@pytest.fixture(scope="module")
def plain() -> Design:
    return design(Parameters(), "plain")


def varied(tables: dict[str, dict[str, object]]) -> Design:
    return design(parameters_from(tables, {}), "varied")


def test_cut_list_reads_back_as_the_parts(tub: Design) -> None:
    content = cut_list(tub)
    text = content.decode("utf-8")
    assert text.count("\r\n") == text.count("\n") == len(tub.parts) + 1
    header, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    assert tuple(header) == COLUMNS
    assert len(rows) == len(tub.parts)
    metric = tub.parameters.product.units == "metric"
    for cells, part in zip(rows, tub.parts, strict=True):
        row = dict(zip(header, cells, strict=True))
        assert (row["mark"], row["role"]) == (part.mark, part.role)
        assert int(row["count"]) == len(part.boards)
        assert tuple(row["boards"].split(" ")) == part.boards
        for column in ("length", "width", "thickness", "long_edge", "short_edge"):
            size = getattr(part, column)
            assert float(row[f"{column}_mm"]) == pytest.approx(size, abs=0.005001)
            near = 0.5 if metric else 2 * SIXTY_FOURTH  # half of the way from line to line
            line = re.sub(" (full|bare)$", "", row[column])
            assert read_length(line) == pytest.approx(size, abs=near + 1e-6)
        for column, angles in (
            ("left_end_deg", part.left_angles),
            ("right_end_deg", part.right_angles),
        ):
            assert [float(a) for a in row[column].split("/")] == pytest.approx(
                list(angles), abs=0.05
            )
    stocks = {row[3] for row in rows}
    lumber = tub.parameters.lumber
    assert stocks == (
        {lumber.board, lumber.cap} if lumber.cap != "same" else {lumber.board, lumber.post}
    )


def test_cut_list_counts_every_board_once(tub: Design) -> None:
    rows = list(csv.DictReader(io.StringIO(cut_list(tub).decode(), newline="")))
    named = [name for row in rows for name in row["boards"].split()]
    assert sorted(named) == sorted(tub.box.boards)
    assert sum(int(row["count"]) for row in rows) == len(tub.box.boards)


def test_report_is_json_and_repeats_itself(tub: Design) -> None:
    content = report_file(tub)
    assert content.endswith(b"}\n")
    assert json.loads(content) == report(tub)
    assert content == report_file(design(tub.parameters, tub.name))


def test_report_weighs_what_the_kernel_built(tub: Design) -> None:
    found = json.loads(report_file(tub))
    volumes = volumes_of(tub.solids)
    assert found["wood_volume_l"] == pytest.approx(sum(volumes.values()) / 1e6, abs=1e-4)
    mass, moment = 0.0, [0.0, 0.0, 0.0]
    rows = {row["name"]: row for row in found["boards"]}
    assert list(rows) == list(tub.box.boards)
    for name, board in tub.box.boards.items():
        density = tub.parameters.materials.species[board.stock].density
        grams = volumes[name] * density * 1e-6
        centre = tub.solids.placed(name).Center().toTuple()
        assert rows[name]["mass_g"] == pytest.approx(grams, abs=0.006)
        assert rows[name]["volume_cm3"] == pytest.approx(volumes[name] / 1e3, abs=6e-4)
        mass += grams
        moment = [m + grams * c for m, c in zip(moment, centre, strict=True)]
    assert found["wood_mass_kg"] == pytest.approx(mass / 1e3, abs=1e-4)
    for screw in tub.box.screws:  # steel, 7.85 g/cm3, as thick as its thread
        grams = 7.85e-3 * math.pi * (screw.kind.diameter / 2) ** 2 * screw.kind.length
        middle = [(a + b) / 2 for a, b in zip(screw.head, screw.tip, strict=True)]
        mass += grams
        moment = [m + grams * c for m, c in zip(moment, middle, strict=True)]
    assert found["empty_mass_kg"] == pytest.approx(mass / 1e3, abs=1e-4)
    assert found["centre_of_mass_mm"] == pytest.approx([m / mass for m in moment], abs=1e-3)
    # the loads, the price and the plan's cover weigh the same box
    assert found["loads"]["weights"]["empty"]["mass_kg"] == round(found["empty_mass_kg"], 3)
    work = work_of(tub, "none")
    assert work.mass_kg + work.screws_kg == tub.loads.weights.empty.mass
    assert round(work.mass_kg, 4) == found["wood_mass_kg"]


def test_report_names_every_board_with_its_part_and_place(tub: Design) -> None:
    rows = report(tub)["boards"]
    assert isinstance(rows, list)
    marks = {name: part.mark for part in tub.parts for name in part.boards}
    for row in rows:
        board = tub.box.boards[row["name"]]
        assert row["part"] == marks[board.name]
        assert (row["role"], row["panel"], row["holes"]) == (
            board.role,
            board.panel,
            len(board.holes),
        )
        assert row["placement"]["origin_mm"] == pytest.approx(board.placement.origin, abs=1e-4)
        assert row["placement"]["grain"] == pytest.approx(board.placement.grain, abs=1e-9)
        assert row["placement"]["across"] == pytest.approx(board.placement.across, abs=1e-9)
        assert row["length"]["mm"] == pytest.approx(board.length, abs=1e-4)


def test_report_counts_screws_with_their_drills(tub: Design) -> None:
    rows = report(tub)["screws"]
    assert isinstance(rows, list)
    wanted = Counter((screw.use, screw.kind.label) for screw in tub.box.screws)
    assert {(row["use"], row["screw"]): row["count"] for row in rows} == dict(wanted)
    kinds = {screw.kind.label: screw.kind for screw in tub.box.screws}
    for row in rows:
        kind = kinds[row["screw"]]
        assert row["pilot"]["mm"] == pytest.approx(kind.pilot, abs=5e-4)
        assert row["clearance"]["mm"] == pytest.approx(kind.clearance, abs=5e-4)
        assert row["pilot"]["mm"] < row["clearance"]["mm"] < row["countersink"]["mm"]
        assert read_length(row["clearance"]["text"]) == pytest.approx(kind.clearance, abs=0.05)


def test_report_holds_the_steps_and_the_verdict(tub: Design) -> None:
    found = report(tub)
    assert found["verdict"] == verdict_as_json(tub)
    steps = found["steps"]
    assert isinstance(steps, list)
    assert [(one["text"], one["panels"]) for one in steps] == [
        (step.text, list(step.panels)) for step in assembly_steps(tub.box)
    ]
    assert {name for one in steps for name in one["boards"]} == set(tub.box.boards)


VERDICT_SCHEMA = {
    "type": "object",
    "required": ["variant", "passed", "boards", "lumber", "findings"],
    "additionalProperties": False,
    "properties": {
        "variant": {"type": "string"},
        "passed": {"type": "boolean"},
        "boards": {"type": "integer"},
        "lumber": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["case", "clashes", "seat_clearance_mm"],
                "properties": {"case": {"enum": ["thin", "nominal", "thick", "mixed"]}},
            },
        },
        "findings": {
            "type": "array",
            "items": {
                "type": "object",
                "required": [
                    "code", "severity", "boards", "measured", "limit", "unit", "message", "remedy",
                ],
            },
        },
    },
}  # fmt: skip


def test_verdict_has_the_form_that_other_tools_rely_on(tub: Design) -> None:
    found = json.loads(json.dumps(verdict_as_json(tub)))
    jsonschema.validate(found, VERDICT_SCHEMA)
    assert [case["case"] for case in found["lumber"]] == ["thin", "nominal", "thick", "mixed"]
    assert found["passed"] == all(f["severity"] != "fault" for f in found["findings"])


def test_a_fault_is_told_in_the_verdict() -> None:
    tight = varied({"panel": {"lip": "5/8 in"}})
    found = verdict_as_json(tight)
    assert found["passed"] is False
    assert isinstance(found["findings"], list)
    assert "PW102" in {finding["code"] for finding in found["findings"]}


def test_parameters_are_told_in_mm_and_as_the_shop_writes_them(plain: Design) -> None:
    found = parameters_as_json(plain.parameters)
    assert found["box"]["width"] == {"mm": 508.0, "text": "20 in"}
    assert found["panel"]["lip"] == "auto"
    assert found["floor"]["kind"] == plain.parameters.floor.kind
    assert "stock" not in found
    json.dumps(found, allow_nan=False)


def test_own_stock_is_told_with_the_parameters() -> None:
    own = {
        "stock": {
            "mine": {"thickness": "5/8 in", "width": "5-1/2 in", "length": "6 ft", "price": "2"}
        },
        "lumber": {"board": "mine"},
    }
    found = varied(own)
    assert parameters_as_json(found.parameters)["stock"]["mine"]["thickness"] == pytest.approx(
        15.875
    )
    assert ",mine," in cut_list(found).decode()


def test_liner_reaches_from_the_floor_to_below_the_top(plain: Design) -> None:
    # 20 in outside, four boards of 5/8 in; 15 in high, cap 5/8 in, foot 1-1/2 in,
    # rise 2-1/2 in, slats 5/8 in, drop 1 in
    sheet = liner_sheet(plain.parameters, plain.box.sizes)
    assert sheet is not None
    inside, height = 17.5 * 25.4, (15 - 5 / 8 - 1 - 1.5 - 2.5 - 5 / 8) * 25.4
    for key, value in {
        "inside_width": inside,
        "inside_depth": inside,
        "wall_height": height,
        "sheet_length": inside + 2 * height,
        "sheet_width": inside + 2 * height,
    }.items():
        length = sheet[key]
        assert isinstance(length, dict)
        assert length["mm"] == pytest.approx(value, abs=1e-4)
    assert sheet["area_m2"] == pytest.approx((inside**2 + 4 * inside * height) / 1e6, abs=1e-4)
    assert sheet["has_bottom"] is True


def test_liner_without_a_floor_is_a_band_and_may_be_left_out() -> None:
    open_box = varied({"floor": {"kind": "none"}})
    sheet = liner_sheet(open_box.parameters, open_box.box.sizes)
    assert sheet is not None
    assert sheet["has_bottom"] is False
    assert isinstance(sheet["sheet_length"], dict)
    assert sheet["sheet_length"]["mm"] == pytest.approx(4 * 17.5 * 25.4)
    none = varied({"liner": {"fit": False}})
    assert liner_sheet(none.parameters, none.box.sizes) is None
    low = varied({"box": {"height": "12 in"}, "liner": {"drop": "12 in"}})
    assert liner_sheet(low.parameters, low.box.sizes) is None


TREE = {"box": {"kind": "tree", "width": "26 in", "depth": "26 in"}, "floor": {"kind": "none"}}
LADDER = {"trellis": {"fit": True}, "box": {"width": "24 in"}}
CEDAR = {"lumber": {"board": "fence-58-cedar", "cap": "same"}}


@pytest.mark.parametrize(
    ("tables", "topic", "applies"),
    [
        ({}, "saws", True),
        ({}, "treated wood", True),
        (CEDAR, "treated wood", False),
        ({}, "filled weight", True),
        (TREE, "filled weight", False),
        (TREE, "cut tree", True),
        ({}, "cut tree", False),
        ({"site": {"wind": "43 mph", "pull": "0 lbf"}, **LADDER}, "tipping over", False),
        ({"site": {"wind": "44 mph", "pull": "0 lbf"}, **LADDER}, "tipping over", True),
        ({"site": {"pull": "45 lbf"}}, "tipping over", False),
        ({"site": {"pull": "27 lbf", "wind": "0 mph"}, **LADDER}, "tipping over", False),
        ({"site": {"pull": "28 lbf", "wind": "0 mph"}, **LADDER}, "tipping over", True),
        ({"floor": {"cleat_width": "1-1/2 in"}}, "narrow rips", True),
        ({"floor": {"kind": "none"}}, "narrow rips", False),
    ],
)
def test_a_caution_is_given_where_it_applies(
    tables: dict[str, dict[str, object]], topic: str, applies: bool
) -> None:
    topics = [caution.topic for caution in cautions_of(varied(tables))]
    assert (topic in topics) is applies
    assert len(topics) == len(set(topics))


@pytest.mark.parametrize(
    "name",
    mostly_thorough(shipped_variants(), *KINDS),
)
def test_a_box_is_said_to_tip_where_its_verdict_says_so(name: str) -> None:
    box = design(load_variant(name).parameters, name)
    tips = [caution for caution in cautions_of(box) if caution.topic == "tipping over"]
    found = [f for f in box.verdict.findings if f.code in ("PW905", "PW906")]
    assert bool(tips) == bool(found)
    stance = box.loads.stance
    for code, speed, unit in (("PW905", stance.wind, "speed"), ("PW906", stance.pull, "force")):
        told = print_quantity(speed, unit)  # type: ignore[arg-type]
        assert (code in {f.code for f in found}) == any(told in c.because for c in tips)


def test_the_kernel_agrees_with_the_closed_form(tub: Design) -> None:
    for name, board in tub.box.boards.items():
        expected, solid = drilled(board), tub.solids.shape(name)
        assert expected.unsure == 0.0
        assert solid.Volume() == pytest.approx(expected.volume, rel=1e-12)
        assert solid.Center().toTuple() == pytest.approx(expected.centre, abs=1e-9)


def test_holes_that_meet_leave_room_for_what_they_share(plain: Design) -> None:
    board = plain.box.boards["floor.slat-1"]
    t = board.thickness
    one = Hole("clearance", (50.0, 50.0, t), (0.0, 0.0, -1.0), 5.0, t, True)
    for apart, meet in ((2.0, True), (5.1, False)):
        pair = board.with_holes([one, replace(one, start=(50.0 + apart, 50.0, t))])
        amount = drilled(pair)
        holes = 2 * math.pi * 2.5**2 * t
        assert amount.volume == pytest.approx(board.volume - holes)
        assert amount.unsure == pytest.approx(holes if meet else 0.0)


def test_a_hole_that_breaks_an_edge_is_unsure(plain: Design) -> None:
    board = plain.box.boards["floor.slat-1"]
    t = board.thickness
    for y, broken in ((2.4, True), (2.6, False)):
        hole = Hole("pilot", (50.0, y, 0.0), (0.0, 0.0, 1.0), 5.0, t / 2, False)
        assert (drilled(board.with_holes([hole])).unsure > 0) is broken
    for z, broken in ((1.0, True), (t / 2, False)):
        edge = Hole("pilot", (50.0, 0.0, z), (0.0, 1.0, 0.0), 5.0, 20.0, False)
        assert (drilled(board.with_holes([edge])).unsure > 0) is broken


def test_closed_form_of_every_kind_of_hole(plain: Design) -> None:
    board = plain.box.boards["floor.slat-1"]
    t = board.thickness
    bored: Board = board.with_holes(
        [
            Hole("clearance", (50.0, 50.0, t), (0.0, 0.0, -1.0), 4.0, t, True, sink=8.0),
            Hole("pilot", (90.0, 50.0, 0.0), (0.0, 0.0, 1.0), 3.0, 9.0, False),
            Hole("clearance", (130.0, 50.0, 0.0), (0.0, 0.0, 1.0), 4.0, t, True, sink=8.0),
            Hole("pilot", (170.0, 0.0, t / 2), (0.0, 1.0, 0.0), 3.0, 25.0, False),
            Hole("pilot", (0.0, 20.0, t / 2), (1.0, 0.0, 0.0), 3.0, 25.0, False),
        ]
    )
    amount, solid = drilled(bored), board_solid(bored)
    assert amount.unsure == 0.0
    assert solid.Volume() == pytest.approx(amount.volume, rel=1e-10)
    assert solid.Center().toTuple() == pytest.approx(amount.centre, abs=1e-8)
