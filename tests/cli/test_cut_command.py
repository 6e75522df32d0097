"""`palewright cut`: every plan against the boxes it is for, and nonsense."""

from __future__ import annotations

import itertools
import json
import math
import operator
import re
import subprocess
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
import shapely

import cut_verifier
from case_lists import mostly_thorough
from command_runs import run_here
from palewright.catalogue.lumber import Stock
from palewright.cutting_stock import plan_as_json
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.sawing.stock_demands import demands_of, saw_of, signed_end_angles
from palewright.sawing.stock_plans import plan_demands
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.cut_texts import plans_text

ROOT = Path(__file__).resolve().parents[2]
Json = dict[str, Any]
INCH = 25.4

KEYS = {"boards", "lower_bound", "proven", "yield", "kerf_mm", "stock", "layouts", "setups"}
PIECE_KEYS = {"part", "x_mm", "y_mm", "length_mm", "width_mm"}

# A box 16 x 16 x 14 in without braces or cap, by hand: it fills three boards of 72 x 5-1/2 in.
SMALL_BOX = """part,length,width,count
stile,15 in,2-1/2 in,8
rail,11 in,2.5 in,8
stave,14 in,5-1/2 in,4
slat,10 in,3 in,3
"""
FENCE = ("--stock", "72inx5.5in", "--kerf", "1/8in", "--trim", "0in")


def cut(*args: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return run_here("cut", *args, cwd=cwd)


def planned(*args: str, cwd: Path) -> Json:
    done = cut(*args, "--json", cwd=cwd)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    found: Json = json.loads(done.stdout)
    return found


def parts_list(text: str, folder: Path) -> str:
    file = folder / "parts.csv"
    file.write_text(text, encoding="utf-8")
    return str(file)


def shipped(name: str) -> Design:
    return design(load_variant(name).parameters, name)


# --- what is asked, worked out here from the boards' outlines ---


def slopes_of(outline: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Degrees off square of both ends, positive where the lower edge is the longer one."""
    wide = max(y for _, y in outline)
    low = [x for x, y in outline if y < 1e-6]
    high = [x for x, y in outline if y > wide - 1e-6]
    left, right = min(high) - min(low), max(low) - max(high)
    return math.degrees(math.atan(left / wide)), math.degrees(math.atan(right / wide))


def asked(box: Design, count: int, prefix: str) -> tuple[list[cut_verifier.Wanted], dict[str, str]]:
    """The parts of so many boxes, and the stock that each has to come from."""
    wanted, stocks = [], {}
    for part in box.parts:
        first = box.box.boards[part.boards[0]]
        xs, ys = zip(*first.outline, strict=True)
        wanted.append(
            cut_verifier.Wanted(
                prefix + part.mark,
                max(xs) - min(xs),
                max(ys) - min(ys),
                len(part.boards) * count,
                slopes_of(first.outline),
            )
        )
        stocks[prefix + part.mark] = box.parameters.materials.name_of(part.stock)
    assert sum(want.number for want in wanted) == len(box.box.boards) * count
    return wanted, stocks


def boards_of(boxes: Sequence[Design]) -> list[cut_verifier.Board]:
    """Every stock at the size that all of its boards have, less what squaring both ends takes;
    that leaves less of a dog-eared end's corners too."""
    found: dict[str, Stock] = {}
    for box in boxes:
        for part in box.parts:
            found[box.parameters.materials.name_of(part.stock)] = part.stock
    trim = boxes[0].parameters.saw.trim
    return [
        cut_verifier.Board(
            name,
            stock.length - stock.length_spread - 2 * trim,
            stock.width - stock.width_spread,
            None,
            max(0.0, stock.clipped_end - trim),
            max(0.0, stock.clipped_end - trim),
            true_end=not trim and not stock.length_spread,
        )
        for name, stock in found.items()
    ]


def check_batch(plan: Json, batch: Sequence[tuple[Design, int]], order: str = "best") -> None:
    """Everything that has to be true of the plan of a batch."""
    assert set(plan) >= KEYS
    wanted, stocks = [], {}
    for box, count in batch:
        prefix = f"{box.name} " if len(batch) > 1 else ""
        more, where = asked(box, count, prefix)
        wanted += more
        stocks |= where
    boards = boards_of([box for box, _ in batch])
    kerf = batch[0][0].parameters.saw.kerf
    assert plan["kerf_mm"] == pytest.approx(kerf, abs=1e-3)
    assert cut_verifier.complaints(plan, wanted, boards, kerf, order=order) == []
    for layout in plan["layouts"]:
        name = layout["stock"]["name"]
        for piece in layout["pieces"]:
            assert set(piece) >= PIECE_KEYS
            assert stocks[piece["part"]] == name, "cut from a stock that it is not made of"
    check_panels(plan, batch)
    check_polygons(plan, kerf)
    area = sum(want.length * want.width * want.number for want in wanted)
    used = sum(
        lay["count"] * lay["stock"]["length_mm"] * lay["stock"]["width_mm"]
        for lay in plan["layouts"]
    )
    # slanted ends take less than their bounding rectangles
    assert 0 < plan["yield"] <= area / used + 1e-3
    assert plan["boards"] >= plan["lower_bound"] >= 1


def check_panels(plan: Json, batch: Sequence[tuple[Design, int]]) -> None:
    """Each panel gets its own pieces: a kit is complete."""
    made: Counter[tuple[str, str]] = Counter()
    for layout in plan["layouts"]:
        for piece in layout["pieces"]:
            made[piece["part"], piece["kit"]] += layout["count"]
    needed: Counter[tuple[str, str]] = Counter()
    for box, count in batch:
        prefix = f"{box.name} " if len(batch) > 1 else ""
        for part in box.parts:
            for name in part.boards:
                needed[prefix + part.mark, prefix + box.box.boards[name].panel] += count
    assert made == needed


def polygon(piece: Json) -> shapely.Polygon:
    """A piece as it lies, its ends as the plan lays them."""
    x, y = piece["x_mm"], piece["y_mm"]
    long, wide = piece["length_mm"], piece["width_mm"]
    left, right = (wide * math.tan(math.radians(a)) for a in piece["end_angles_deg"])
    corners = [
        (x + max(0.0, -left), y),
        (x + long - max(0.0, -right), y),
        (x + long - max(0.0, right), y + wide),
        (x + max(0.0, left), y + wide),
    ]
    return shapely.Polygon(corners)


def check_polygons(plan: Json, kerf: float) -> None:
    """No two pieces are nearer than a kerf, and none leaves its board; by shapely."""
    for layout in plan["layouts"]:
        stock = layout["stock"]
        board = shapely.box(0, 0, stock["length_mm"], stock["width_mm"]).buffer(0.01)
        shapes = [polygon(piece) for piece in layout["pieces"]]
        for i, shape in enumerate(shapes):
            assert shape.is_valid
            assert board.covers(shape)
            for other in shapes[i + 1 :]:
                assert shape.distance(other) >= kerf - 0.02


def shared_cuts(plan: Json) -> Iterator[float]:
    """Distances of neighbours whose bounding rectangles overlap: they share a slanted cut."""
    for layout in plan["layouts"]:
        pieces = layout["pieces"]
        for i, one in enumerate(pieces):
            for other in pieces[i + 1 :]:
                along = min(p["x_mm"] + p["length_mm"] for p in (one, other)) - max(
                    p["x_mm"] for p in (one, other)
                )
                if abs(one["y_mm"] - other["y_mm"]) < 1e-6 and along > 0:
                    yield polygon(one).distance(polygon(other))


# --- single boxes, batches, parts lists ---


@pytest.mark.usefixtures("settings_as_they_come")
@pytest.mark.parametrize(
    "variants",
    mostly_thorough(
        [["stoop-tub"], ["gate-pair:2"], ["stoop-tub:3", "herb-trough:2"]],
        ["stoop-tub:3", "herb-trough:2"],
    ),
    ids=lambda names: " ".join(names),
)
def test_a_plan_makes_exactly_its_boxes(variants: list[str], tmp_path: Path) -> None:
    plan = planned(*variants, "--fewest-boards", cwd=tmp_path)
    batch = []
    for text in variants:
        name, _, count = text.partition(":")
        batch.append((shipped(name), int(count or 1)))
    check_batch(plan, batch)
    assert plan["proven"] is True
    assert plan["boards"] == plan["lower_bound"]
    assert plan["boards"] == sum(stock["boards"] for stock in plan["stocks"])
    assert plan["setups"]["count"] == len(plan["setups"]["settings"])
    stock = batch[0][0].parts[0].stock
    assert plan["stock"]["length_mm"] == pytest.approx(stock.length - stock.length_spread, abs=1e-3)
    assert plan["stock"]["width_mm"] == pytest.approx(stock.width - stock.width_spread, abs=1e-3)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_every_shipped_variant_is_proven_for_one_box_and_ten(name: str) -> None:
    box = shipped(name)
    saw = saw_of(box.parameters)
    boards = []
    for count in (1, 10):
        plans = plan_demands(demands_of([(box, count)]), saw, seconds=120, setup_seconds=0.1)
        each = [plan_as_json(one.plan) for one in plans]
        for one in each:
            assert one["proven"] is True, (name, count, one["boards"], one["lower_bound"])
            assert one["boards"] == one["lower_bound"]
            assert one["lower_bound"] >= one["linear_bound"] - 1e-6
        whole = {**each[0], "layouts": [lay for one in each for lay in one["layouts"]]}
        whole["boards"] = sum(one["boards"] for one in each)
        whole["lower_bound"] = sum(one["lower_bound"] for one in each)
        whole["yield"] = min(one["yield"] for one in each)
        check_batch(whole, [(box, count)])
        boards.append([one["boards"] for one in each])
    assert all(ten <= 10 * one for one, ten in zip(*boards, strict=True))


@pytest.mark.usefixtures("settings_as_they_come")
def test_neighbouring_mitres_share_one_cut_of_exactly_a_kerf(tmp_path: Path) -> None:
    plan = planned("stoop-tub:4", "--fewest-boards", cwd=tmp_path)
    gaps = list(shared_cuts(plan))
    assert len(gaps) >= 4
    kerf = shipped("stoop-tub").parameters.saw.kerf
    # slants count to a hundredth of a degree, towards square: the neighbour is never too near
    assert all(kerf - 1e-3 <= gap <= kerf + 0.02 for gap in gaps), gaps


def test_a_batch_needs_no_more_boards_than_its_boxes_one_by_one() -> None:
    tub, trough = shipped("stoop-tub"), shipped("winter-tub-small")
    saw = saw_of(tub.parameters)

    def boards(*batch: tuple[Design, int]) -> int:
        plans = plan_demands(demands_of(batch), saw, setup_seconds=0.0)
        assert all(one.plan.proven for one in plans)
        return sum(one.plan.boards for one in plans)

    together = boards((tub, 3), (trough, 2))
    assert together <= boards((tub, 3)) + boards((trough, 2))
    assert together < 3 * boards((tub, 1)) + 2 * boards((trough, 1))


@pytest.mark.usefixtures("settings_as_they_come")
def test_a_small_box_of_three_boards_takes_three(tmp_path: Path) -> None:
    plan = planned("--parts", parts_list(SMALL_BOX, tmp_path), *FENCE, cwd=tmp_path)
    assert (plan["boards"], plan["lower_bound"], plan["proven"]) == (3, 3, True)
    wanted = [
        cut_verifier.Wanted("stile", 15 * INCH, 2.5 * INCH, 8),
        cut_verifier.Wanted("rail", 11 * INCH, 2.5 * INCH, 8),
        cut_verifier.Wanted("stave", 14 * INCH, 5.5 * INCH, 4),
        cut_verifier.Wanted("slat", 10 * INCH, 3 * INCH, 3),
    ]
    board = cut_verifier.Board("board", 72 * INCH, 5.5 * INCH)
    assert cut_verifier.complaints(plan, wanted, [board], INCH / 8) == []
    check_polygons(plan, INCH / 8)
    # by hand: 8 x 15 x 2-1/2 + 8 x 11 x 2-1/2 + 4 x 14 x 5-1/2 + 3 x 10 x 3 = 918 square inches
    assert plan["yield"] == pytest.approx(918 / (3 * 72 * 5.5), abs=1e-4)
    assert 918 > 2 * 72 * 5.5, "two boards are too few by area alone"


def test_metric_parts_lists_are_planned_and_told_in_mm(tmp_path: Path) -> None:
    file = parts_list("part,length,width,count\nslat,400 mm,45 mm,8\n", tmp_path)
    done = cut("--parts", file, "--stock", "1800mm x 95mm", "--kerf", "3 mm", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    # two rows of four: 4 x 400 + 3 x 3 is 1609, 2 x 45 + 3 is 93
    assert "1 board; proven" in done.stdout
    assert "400 mm" in done.stdout
    assert " in" not in done.stdout.replace(" in working", "").partition("\n")[0]


def test_a_million_parts_of_a_kind_are_planned(tmp_path: Path) -> None:
    file = parts_list(f"part,length,width,count\nslat,14 in,2.5 in,{10**6}\n", tmp_path)
    plan = planned("--parts", file, *FENCE, cwd=tmp_path)
    # two rows of five: 5 x 14 + 4/8 in is 70-1/2 in
    assert plan["boards"] == plan["lower_bound"] == 100_000
    assert plan["proven"] is True
    assert sum(lay["count"] * len(lay["pieces"]) for lay in plan["layouts"]) == 10**6


# --- how it is to be sawn ---


def test_offcuts_are_used_before_any_board(tmp_path: Path) -> None:
    file = parts_list("part,length,width,count\nslat,20 in,5 in,5\n", tmp_path)
    on_hand = ("--offcut", "21 in x 5-1/4 in:2")
    plan = planned("--parts", file, *FENCE, *on_hand, cwd=tmp_path)
    assert (plan["boards"], plan["offcuts_used"]) == (1, 2)
    kept = [lay for lay in plan["layouts"] if lay["stock"]["on_hand"]]
    assert sum(lay["count"] * len(lay["pieces"]) for lay in kept) == 2
    without = planned("--parts", file, *FENCE, cwd=tmp_path)
    assert without["boards"] == 2, "three go on a board"
    text = cut("--parts", file, *FENCE, *on_hand, cwd=tmp_path).stdout
    assert "1 board, 2 offcuts on hand" in text
    assert "on hand: 21 in x 5-1/4 in, 2 of 2 used" in text
    assert "(offcut on hand, 21 in x 5-1/4 in)" in text


@pytest.mark.usefixtures("settings_as_they_come")
def test_a_box_uses_its_offcuts_and_fewer_boards(tmp_path: Path) -> None:
    # two sound boards' worth, in pieces as long as a stave
    plan = planned("stoop-tub", "--offcut", "30 in x 5-3/8 in:5", cwd=tmp_path)
    box = shipped("stoop-tub")
    wanted, _ = asked(box, 1, "")
    name = "offcut 30 in x 5-3/8 in"
    boards = [*boards_of([box]), cut_verifier.Board(name, 30 * INCH, 5.375 * INCH, 5)]
    assert cut_verifier.complaints(plan, wanted, boards, box.parameters.saw.kerf) == []
    assert plan["offcuts_used"] == 5
    assert plan["boards"] <= 6, "eight without them"
    check_polygons(plan, box.parameters.saw.kerf)


def key_of(one: Json) -> tuple[int, str, float, float]:
    """What has to be alike for two cuts to be made at one setting."""
    return one["stage"], one["kind"], round(one["setting_mm"], 2), round(abs(one["angle_deg"]), 2)


@pytest.mark.usefixtures("settings_as_they_come")
@pytest.mark.parametrize("order", ["rip-first", "crosscut-first"])
def test_the_order_of_sawing_is_kept(order: str, tmp_path: Path) -> None:
    plan = planned("stoop-tub", "--order", order, cwd=tmp_path)
    check_batch(plan, [(shipped("stoop-tub"), 1)], order)
    stages = {cut["stage"] for layout in plan["layouts"] for cut in layout["cuts"]}
    assert (1 in stages) == (order == "crosscut-first")


@pytest.mark.usefixtures("settings_as_they_come")
def test_no_strip_is_ripped_narrower_than_is_safe(tmp_path: Path) -> None:
    plan = planned("stoop-tub", "--set", "wall.safe_rip=1-1/2 in", cwd=tmp_path)
    for layout in plan["layouts"]:
        assert all(piece["width_mm"] >= 1.5 * INCH - 0.01 for piece in layout["pieces"])


@pytest.mark.usefixtures("settings_as_they_come")
def test_a_wider_kerf_never_takes_fewer_boards(tmp_path: Path) -> None:
    thin, thick = (planned("stoop-tub", "--kerf", k, cwd=tmp_path) for k in ("0 in", "3/8 in"))
    assert thin["kerf_mm"] == 0
    assert thick["kerf_mm"] == pytest.approx(0.375 * INCH)
    assert thin["boards"] < thick["boards"]
    check_polygons(thick, 0.375 * INCH)


def test_the_saw_list_cuts_what_the_layouts_show(tmp_path: Path) -> None:
    plan = planned("stoop-tub", cwd=tmp_path)
    settings = plan["setups"]["settings"]
    passes: Counter[int] = Counter()
    for layout in plan["layouts"]:
        for one in layout["cuts"]:
            assert key_of(one) == key_of(settings[one["line"]])
            passes[one["line"]] += layout["count"]
    told = {line: one["cuts"] for line, one in enumerate(settings) if one["stage"]}
    assert told == passes
    keys = [key_of(one) for one in settings]
    assert not any(itertools.starmap(operator.eq, itertools.pairwise(keys))), "one line a setting"
    # only what has to wait, a fresh end or a stop set before, comes once more
    assert len(keys) - len(set(keys)) <= 2
    first = settings[0]
    assert (first["stage"], first["kind"], first["cuts"]) == (0, "rip", plan["boards"])


def test_the_text_shows_every_piece_block_by_block(tmp_path: Path) -> None:
    text = cut("stoop-tub", cwd=tmp_path).stdout
    layouts = text[text.index("board layouts (") :]
    box = shipped("stoop-tub")
    shown: Counter[str] = Counter()
    for mark, _, boards in shown_pieces(layouts):
        shown[mark] += boards
    assert shown == {part.mark: len(part.boards) for part in box.parts}
    assert "block of" in layouts
    assert "8 boards; proven: no plan uses fewer" in text
    assert "saw settings and offcuts are the best that were found, without proof" in text


def test_strokes_lean_as_the_ends_do() -> None:
    box = shipped("stoop-tub")
    plans = plan_demands(demands_of([(box, 2)]), saw_of(box.parameters), setup_seconds=0.0)
    shown: Counter[tuple[str, str]] = Counter()
    for layout in plan_as_json(plans[0].plan)["layouts"]:
        for piece in layout["pieces"]:
            (low_left, _), (low_right, _), (top_right, _), (top_left, _) = list(
                polygon(piece).exterior.coords
            )[:4]
            left = {1: "/", 0: "", -1: "\\"}[_sign(top_left - low_left)]
            right = {1: "/", 0: "", -1: "\\"}[_sign(top_right - low_right)]
            shown[piece["part"], f"{left} {right}"] += 1
    text = plain(plans_text(plans, "inch"))
    told = Counter(
        (mark, ends) for mark, ends, _ in shown_pieces(text[text.index("board layouts (") :])
    )
    assert told == shown
    assert {"/ \\", "\\ /"} <= {ends for _, ends in told}


def shown_pieces(layouts: str) -> Iterator[tuple[str, str, int]]:
    """Mark and strokes of each piece in the text of layouts, such as ``K \\1/, /2\\ cap 18 in``,
    and on how many boards cut alike it is: ``3-4`` is on two."""
    rows = re.sub(r"\n {20,}", " ", layouts).splitlines()
    for row in rows:
        for group in re.split(r" wide(?:, cuts?(?: \d+)+)? +", f"{row} wide ")[1].split("|"):
            mark, _, rest = group.strip().partition(" ")
            numbered = re.match(r"[\d\-/\\, ]+(?= [a-z])", rest)
            for one in numbered[0].split(", ") if numbered else ():
                parts = re.fullmatch(r"([/\\]?)(\d+)(?:-(\d+))?([/\\]?)", one)
                assert parts, one
                left, first, last, right = parts.groups()
                yield mark, f"{left} {right}", int(last or first) - int(first) + 1


def _sign(number: float) -> int:
    return (number > 1e-6) - (number < -1e-6)


# --- end angles ---


def test_end_angles_of_a_cap_and_a_brace_in_closed_form() -> None:
    box = shipped("stoop-tub")
    cap = next(b for b in box.box.boards.values() if b.role == "cap")
    assert signed_end_angles(cap) == pytest.approx((45.0, 45.0), abs=1e-5)
    slanted = design(
        load_variant("stoop-tub", ["face.front=slant", "face.sides=plain"]).parameters, "slant"
    )
    panel, face = slanted.parameters.panel, slanted.parameters.face
    braces = [b for b in slanted.box.boards.values() if b.panel == "front" and b.role == "brace"]
    assert len(braces) == 1
    left, right = signed_end_angles(braces[0])
    assert left == pytest.approx(-right, abs=1e-5)
    # the brace leaves the rail at the angle that solves W tan(a) + b / cos(a) = H
    frame = [b for b in slanted.box.boards.values() if b.panel == "front"]
    rail = next(b.length for b in frame if b.role == "rail")
    stile = next(b.length for b in frame if b.role == "stile")
    wide, high = rail, stile - slanted.parameters.box.foot - 2 * panel.rail_width
    low, top = 0.0, math.pi / 2 - 1e-3
    for _ in range(80):
        middle = (low + top) / 2
        reach = wide * math.tan(middle) + face.brace_width / math.cos(middle)
        low, top = (middle, top) if reach < high else (low, middle)
    assert abs(left) == pytest.approx(math.degrees(low), abs=1e-4)


@pytest.mark.parametrize("name", ["stoop-tub", "gate-pair", "market-gable"])
def test_end_angles_rebuild_every_outline(name: str) -> None:
    pointed = 0
    for board in shipped(name).box.boards.values():
        piece = {
            "x_mm": 0.0,
            "y_mm": 0.0,
            "length_mm": board.length,
            "width_mm": board.width,
            "end_angles_deg": signed_end_angles(board),
        }
        rebuilt = polygon(piece)
        real = shapely.Polygon(board.outline)
        if len(board.left_angles) == len(board.right_angles) == 1:
            assert rebuilt.symmetric_difference(real).area < 0.05, board.name
        else:
            pointed += 1
            assert rebuilt.buffer(0.01).covers(real), f"{board.name} sticks out of its piece"
    assert pointed < 8


# --- nonsense ---

HEADER = "part,length,width,count\n"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (HEADER + "stave,80 in,3 in,2\n", ["stave", "board"]),
        (HEADER + "stave,14 in,6 in,2\n", ["stave", "board"]),
        (HEADER + "stave,0 in,3 in,2\n", ["line 2, length", "'0 in'", "above 0"]),
        (
            HEADER + "rail,14 in,3 in,2\nstave,-8in,3 in,2\n",
            ["line 3, length: '-8in' is not allowed; allowed: above 0"],
        ),
        (HEADER + "stave,14 in,-2 in,2\n", ["line 2, width: '-2 in'", "above 0"]),
        (HEADER + "stave,99999999 in,2 in,2\n", ["line 2, length", "up to 39370-3/32 in"]),
        (HEADER + "rail,14 in,3 in,2\nrail,15 in,3 in,2\n", ["line 3", "'rail'", "another size"]),
        (HEADER + "stave,14 in,nan,2\n", ["line 2", "width", "nan"]),
        (HEADER + "stave,nan in,3 in,2\n", ["line 2", "length"]),
        (HEADER + "stave,14,3 in,2\n", ["line 2", "length", "unit"]),
        (HEADER + "stave,14 in,3 in,0\n", ["asks for no parts"]),
        (HEADER + "stave,14 in,3 in,-1\n", ["line 2", "count", "-1"]),
        (HEADER + "stave,14 in,3 in,1.5\n", ["line 2", "count", "1.5"]),
        (HEADER + "stave,14 in,3 in,99999999999\n", ["line 2", "count"]),
        (HEADER + "stave,14 in,3 in\n", ["line 2", "3 cells"]),
        ("part;length,width;count\nstave;14 in;3 in;2\n", ["line 1", "header", "any order"]),
        ("part,length,width,count,part\na,14 in,3 in,2,b\n", ["line 1", "each once"]),
        (HEADER, ["asks for no parts"]),
        ("", ["header", "part,length,width,count"]),
        ("stave,14 in,3 in,2\n", ["line 1", "header"]),
        ("\0\1\2", ["not text"]),
    ],
)
def test_a_nonsense_parts_list_is_one_line_and_exit_2(
    rows: str, words: list[str], tmp_path: Path
) -> None:
    done = run_here("cut", "--parts", parts_list(rows, tmp_path), *FENCE, cwd=tmp_path)
    refused(done, words)


@pytest.mark.usefixtures("settings_as_they_come")  # boards are counted for one of these lines
@pytest.mark.parametrize(
    ("args", "words"),
    [
        ([], ["nothing to cut", "--parts"]),
        (["stoop-tub:0"], ["count", "1"]),
        (["stoop-tub:-1"], ["count"]),
        (["stoop-tub:nan"], ["count"]),
        (["stoop-tub:99999999999"], ["count", "1000000"]),
        (["stoop-tubb"], ["stoop-tub"]),
        (["stoop-tub", "--order", "sideways"], ["--order", "sideways", "rip-first"]),
        (["stoop-tub", "--stock", "72inx5in"], ["--stock", "72inx5in", "no price"]),
        (["stoop-tub", "--parts", "parts.csv", *FENCE], ["--parts", "without a variant"]),
        (["--parts", "parts.csv"], ["--parts", "--stock", "72inx5.5in"]),
        (
            ["--parts", "parts.csv", *FENCE[:1], "72inx5.5in:1"],
            # 918 square inches of parts, 396 of a board
            ["--stock: 1 board at hand, 3 needed"],
        ),
        (["--parts", "none.csv", *FENCE], ["none.csv", "cannot be read"]),
        (["--parts", "parts.csv", "--stock", "72x5.5", "--kerf", "1/8in"], ["--stock", "72x5.5"]),
        (["--parts", "parts.csv", "--stock", "nan", "--kerf", "1/8in"], ["--stock", "nan"]),
        (["--parts", "parts.csv", "--stock", "0inx5in", "--kerf", "1/8in"], ["--stock", "above 0"]),
        (["--parts", "parts.csv", "--stock", "-9inx5in", "--kerf", "0in"], ["--stock", "above 0"]),
        (["--parts", "parts.csv", "--stock", "72inx5in", "--kerf", "nan in"], ["--kerf", "nan"]),
        (
            ["--parts", "parts.csv", "--stock", "72inx5in", "--kerf", "-1mm"],
            ["--kerf", "'-1mm'", "allowed: 0 in to 3/8 in"],
        ),
        (["stoop-tub", "--kerf", "80in"], ["--kerf", "'80in'", "allowed: 0 in to 3/8 in"]),
        (["--parts", "parts.csv", *FENCE[:2], "--kerf", "1in"], ["--kerf", "0 in to 3/8 in"]),
        (["stoop-tub", "--trim", "80 in"], ["--trim", "'80 in'", "allowed: 0 in to 3 in"]),
        (
            ["--parts", "parts.csv", "--stock", "5inx5in", "--kerf", "0in", "--trim", "3in"],
            ["a trim of 3 in (76.2 mm)", "5 in (127 mm) x 5 in", "--trim"],
        ),
        (
            ["--parts", "parts.csv", "--stock", "9999999inx5in", "--kerf", "0in"],
            ["9999999 in", "allowed: up to 39370-3/32 in (1000000 mm)"],
        ),
        (["stoop-tub", "--offcut", "20inx3in:99999999999"], ["--offcut", "1 to 1000000"]),
        (["stoop-tub", "--offcut", "20x3"], ["--offcut", "20x3"]),
        (["stoop-tub", "--offcut", "-20inx3in"], ["--offcut", "above 0"]),
        (["stoop-tub", "--offcut", "20inx3in:0"], ["--offcut", "count"]),
        (["stoop-tub", "--seconds", "nan"], ["--seconds", "nan"]),
        (["stoop-tub", "--seconds", "0"], ["--seconds"]),
    ],
    ids=lambda value: " ".join(value)[:60] if isinstance(value, list) else None,
)
def test_nonsense_asked_is_one_line_and_exit_2(
    args: list[str], words: list[str], tmp_path: Path
) -> None:
    parts_list(SMALL_BOX, tmp_path)
    refused(run_here("cut", *args, cwd=tmp_path), words)


def refused(done: subprocess.CompletedProcess[str], words: list[str]) -> None:
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("palewright: ")
    for word in words:
        assert word in done.stderr


def test_a_line_with_count_0_among_others_is_left_out(tmp_path: Path) -> None:
    rows = HEADER + "stave,14 in,3 in,1\nrail,9 in,2 in,0\n"
    plan = planned("--parts", parts_list(rows, tmp_path), *FENCE, cwd=tmp_path)
    assert [p["part"] for lay in plan["layouts"] for p in lay["pieces"]] == ["stave"]


@pytest.mark.parametrize(
    ("text", "aside"),
    [
        ("count;Width;length;PART\n3;3 in;14 in;rail\n", ""),
        ("part\tlength\twidth\tcount\nrail\t14 in\t3 in\t3\n", ""),
        ("note,width,part,,length,count\nthin,3 in,rail,x,14 in,3\n", "note, one without a name"),
    ],
)
def test_columns_come_in_any_order_and_others_are_left_aside(
    text: str, aside: str, tmp_path: Path
) -> None:
    done = cut("--parts", parts_list(text, tmp_path), *FENCE, "--json", cwd=tmp_path)
    assert (aside in done.stderr) if aside else done.stderr == ""
    pieces = [
        (piece["part"], piece["length_mm"], piece["width_mm"])
        for layout in json.loads(done.stdout)["layouts"]
        for piece in layout["pieces"] * layout["count"]
    ]
    assert pieces == [("rail", pytest.approx(355.6), pytest.approx(76.2))] * 3


def test_a_refused_list_is_told_in_one_line_whatever_is_left_aside(tmp_path: Path) -> None:
    file = parts_list("part,length,width,count,note\nrail,long,3 in,4,x\n", tmp_path)
    refused(run_here("cut", "--parts", file, *FENCE, cwd=tmp_path), ["line 2, length"])


def test_kerf_and_trim_of_a_parts_list_are_a_variants_own_by_default(tmp_path: Path) -> None:
    """Four of 17-3/4 in and three cuts fill what squaring leaves of 72 in: 71-1/2 in."""
    most = "17-25/32 in"  # (71-1/2 - 3/8) / 4 = 17.78
    stock = ["--stock", "72inx3in"]
    for size, boards in ((most, 1), ("17-13/16 in", 2)):
        file = parts_list(f"part,length,width,count\nrail,{size},3 in,4\n", tmp_path)
        plan = json.loads(cut("--parts", file, *stock, "--json", cwd=tmp_path).stdout)
        assert plan["boards"] == boards
        assert plan["kerf_mm"] == pytest.approx(3.175)
