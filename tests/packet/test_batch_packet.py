"""The packet of a batch: whole, the same again, and its papers count what its saw plan makes."""

from __future__ import annotations

import base64
import csv
import io
import json
import re
from collections import Counter, defaultdict
from fnmatch import fnmatch
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from command_runs import run_here
from known_plans import weigh_few_as_many
from packet_files import contents, differing
from palewright.assembly.placed_screws import numbered_steps
from palewright.construction.boards import Board
from palewright.sawing.stock_demands import saw_of
from palewright_drawings.documents.plan.steps import step_title
from palewright_drawings.output.atomic_folders import MANIFEST
from palewright_drawings.packet import pictures
from palewright_drawings.packet.batch_writers import BATCH_WRITERS
from pdf_pages import outside, overlapping, page_sizes, page_texts, page_words, syntax_problems
from saw_replay import Sold, miscut
from shipped_designs import shipped

ASKED = {"sill-box": 2, "winter-tub-small": 1}
"""Two boxes alike and one of another kind, with a stock of its own: more take the planner longer
and have no other papers."""

SPARE = ("--set", "saw.spare_parts=5")
Rows = list[dict[str, str]]


def built(folder: Path, *args: str) -> Path:
    done = run_here("build", *args, cwd=folder)
    assert done.returncode == 0, done.stderr
    place = folder / done.stdout.strip()
    assert place.is_dir()
    return place


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    asked = [f"{name}:{count}" for name, count in ASKED.items()]
    with pytest.MonkeyPatch.context() as patch:
        weigh_few_as_many(patch)
        return built(tmp_path_factory.mktemp("batch"), *asked, *SPARE)


def rows(packet: Path, name: str) -> Rows:
    content = (packet / name).read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n")
    return list(csv.DictReader(io.StringIO(content.decode(), newline=""), strict=True))


def plan_of(packet: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((packet / "saw-plan.json").read_bytes())
    return found


def tagged(part: str) -> str:
    """A part of the plan, such as ``sill-box A``, as the papers call it."""
    name, mark = part.split(" ")
    return f"{list(ASKED).index(name) + 1}.{mark}"


def by_stock(plan: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The plan of each stock alone, its settings counted from 0."""
    found, before = {}, 0
    for name in dict.fromkeys(one["stock"] for one in plan["setups"]["settings"]):
        settings = [one for one in plan["setups"]["settings"] if one["stock"] == name]
        layouts = [
            layout | {"cuts": [cut | {"line": cut["line"] - before} for cut in layout["cuts"]]}
            for layout in plan["layouts"]
            if layout["stock"]["name"] == name
        ]
        found[name] = plan | {"layouts": layouts, "setups": {"settings": settings}}
        before += len(settings)
    return found


def sawn(packet: Path) -> Counter[tuple[str, str, int]]:
    """Mark, kit and board of every piece that comes off the saw, counted on the layouts."""
    found: Counter[tuple[str, str, int]] = Counter()
    board = 0
    for layout in plan_of(packet)["layouts"]:
        for _ in range(layout["count"]):
            board += 1
            for piece in layout["pieces"]:
                kit = piece["kit"].rpartition(" ")[2]
                found[tagged(piece["part"]), kit, board] += 1
    return found


def test_it_is_one_whole_folder_with_every_kind_and_a_manifest(packet: Path) -> None:
    assert packet.name == "2-sill-box+1-winter-tub-small"
    assert [one.name for one in packet.parent.iterdir()] == [packet.name]
    files = set(contents(packet)) - {MANIFEST}
    for writer in BATCH_WRITERS.values():
        assert any(fnmatch(path, writer.where) for path in files), writer.kind
    assert all(any(fnmatch(f, w.where) for w in BATCH_WRITERS.values()) for f in files)
    told = json.loads((packet / MANIFEST).read_bytes())
    assert {one["variant"]: one["count"] for one in told["batch"]} == ASKED
    assert set(told["files"]) == files


@pytest.mark.thorough
@pytest.mark.usefixtures("plans_anew", "solids_anew", "few_boards_as_many")
def test_the_same_batch_makes_the_same_bytes_and_keeps_what_was_changed(
    packet: Path, tmp_path: Path
) -> None:
    before = contents(packet)
    asked = [f"{name}:{count}" for name, count in ASKED.items()]
    again = built(tmp_path, *asked, *SPARE)
    assert differing(contents(again), before) == []
    (again / "kits.csv").write_text("mine")
    run_here("build", *asked, *SPARE, "--only", "kits", cwd=tmp_path)
    assert set(contents(again)) == {"kits.csv", "kits.pdf", MANIFEST}
    kept = again.with_name(f"{again.name}-kept")
    assert contents(kept) == {"kits.csv": b"mine"}


def test_the_saw_plan_followed_to_the_letter_makes_every_piece(packet: Path) -> None:
    saw = saw_of(shipped("sill-box").parameters)
    stocks = {
        box.parameters.materials.name_of(part.stock): part.stock
        for box in map(shipped, ASKED)
        for part in box.parts
    }
    plans = by_stock(plan_of(packet))
    assert plans.keys() == stocks.keys() and len(plans) == 2
    for name, plan in plans.items():
        stock = stocks[name]
        clip = (stock.clipped_end, stock.clipped_end)
        sold = Sold(name, stock.length, stock.width, clip, min(2.0, saw.end_trim))
        assert miscut(plan, [sold], saw.end_trim) == []
    wanted: Counter[tuple[str, str]] = Counter()
    for name, count in ASKED.items():
        for part in shipped(name).parts:
            for board in part.boards:
                wanted[tagged(f"{name} {part.mark}"), board.partition(".")[0]] += count
    made: Counter[tuple[str, str]] = Counter()
    for (mark, kit, _), count in sawn(packet).items():
        made[mark, kit] += count
    spare = {mark: n for (mark, kit), n in made.items() if kit == "spare"}
    assert {key: n for key, n in made.items() if key[1] != "spare"} == wanted
    assert set(spare) == {mark for mark, _ in wanted}


def test_each_piece_has_one_label_that_names_its_box_its_tray_and_its_board(packet: Path) -> None:
    labels = rows(packet, "labels.csv")
    assert len({row["label"] for row in labels}) == len(labels)
    boxes: dict[int, list[str]] = defaultdict(list)
    found: Counter[tuple[str, str, int]] = Counter()
    for row in labels:
        mark, number = re.fullmatch(r"(\d\.[A-Z]+)(\d+)", row["label"]).groups()  # type: ignore[union-attr]
        assert int(number) >= 1
        found[mark, row["tray"], int(row["board"])] += 1
        if row["box"]:
            boxes[int(row["box"])].append(row["part"])
            assert row["part"].partition(".")[0] == row["tray"]
    assert found == sawn(packet)
    names = [name for name, count in ASKED.items() for _ in range(count)]
    assert sorted(boxes) == list(range(1, len(names) + 1))
    for number, name in enumerate(names, 1):
        assert sorted(boxes[number]) == sorted(shipped(name).box.boards)


def test_sizes_in_the_lists_are_on_the_tape_and_millimetres_beside_them_agree(
    packet: Path,
) -> None:
    told = [(row["length"], row["length_mm"]) for row in rows(packet, "cutlist.csv")]
    told += [(row["size"], row["size_mm"]) for row in rows(packet, "saw-list.csv") if row["size"]]
    for row in rows(packet, "labels.csv"):
        told += [(row[key], "") for key in ("length", "width") if row[key]]
    hairs = 0
    for text, mm in told:
        size, unit, hair = re.fullmatch(r"([\d/-]+) (in|mm)( full| bare)?", text).groups()  # type: ignore[union-attr]
        whole, _, part = size.rpartition("-") if "-" in size else ("0", "", size)
        line = Fraction(whole) + Fraction(part)
        assert unit == "mm" or (16 * line).denominator == 1
        hairs += bool(hair)
        if mm:
            off = float(mm) - float(line) * (25.4 if unit == "in" else 1.0)
            step = 25.4 / 16 if unit == "in" else 1.0
            low = {" full": 0.25, " bare": -0.5}.get(hair or "", -0.25)  # of the way to a line
            high = {" full": 0.5, " bare": -0.25}.get(hair or "", 0.25)
            assert low * step - 0.006 <= off <= high * step + 0.006, (text, mm)
    assert hairs > 5


def test_the_kits_the_cut_list_and_the_router_files_count_the_same_pieces(packet: Path) -> None:
    labels = rows(packet, "labels.csv")
    kits = rows(packet, "kits.csv")
    in_kits = {
        (row["box"], row["tray"], f"{row['mark']}{piece}")
        for row in kits
        for piece in row["pieces"].split()
    }
    assert in_kits == {(r["box"], r["tray"], r["label"]) for r in labels if r["box"]}
    assert all(int(row["count"]) == len(row["pieces"].split()) for row in kits)
    in_boxes = Counter(row["variant"] for row in labels if row["box"])
    for file, count in (("cutlist.csv", "count"), ("flat/index.csv", "in_the_batch")):
        counted: Counter[str] = Counter()
        for row in rows(packet, file):
            counted[row["variant"]] += int(row[count])
        assert counted == in_boxes, file


def drilled(board: Board) -> tuple[object, ...]:
    """A board's outline and the places and sizes of its holes, to a hundredth of a mm."""
    holes = [
        tuple(
            round(x, 2) + 0.0
            for x in (*hole.start, *hole.axis, hole.diameter, hole.depth, hole.sink)
        )
        for hole in board.holes
    ]
    outline = tuple((round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y in board.outline)
    return outline, tuple(sorted(holes))


def test_boards_drilled_alike_are_one_file_by_their_letter(packet: Path) -> None:
    index = rows(packet, "flat/index.csv")
    listed = {f"flat/{row['file']}" for row in index} | {"flat/index.csv"}
    assert listed == {path for path in contents(packet) if path.startswith("flat/")}
    for name, count in ASKED.items():
        box = shipped(name)
        mine = [row for row in index if row["variant"] == name]
        assert sorted(b for row in mine for b in row["boards"].split()) == sorted(box.box.boards)
        mark_of = {board: part.mark for part in box.parts for board in part.boards}
        kinds = set()
        for row in mine:
            boards = row["boards"].split()
            assert row["file"].startswith(f"{name}/{row['mark']}-{row['role']}")
            assert {mark_of[board] for board in boards} == {row["mark"]}
            assert int(row["in_the_batch"]) == count * int(row["in_a_box"]) == count * len(boards)
            (kind,) = {drilled(box.box.boards[board]) for board in boards}
            kinds.add((row["mark"], kind))
        assert len(kinds) == len(mine)


def test_what_is_bought_is_enough_and_no_package_too_many(packet: Path) -> None:
    bought = rows(packet, "buying-list.csv")
    costs = json.loads((packet / "maker" / "costs.json").read_bytes())
    plan = plan_of(packet)
    boards = [row for row in bought if row["kind"] == "boards"]
    assert [int(row["needed"]) for row in boards] == [one["boards"] for one in plan["stocks"]]
    assert [int(row["buy"]) for row in boards] == [
        one["needed"] for one in costs["materials"] if one["unit"] == "boards"
    ]
    screws: Counter[str] = Counter()
    for name, count in ASKED.items():
        for screw in shipped(name).box.screws:
            screws[screw.kind.label] += count
    held: Counter[str] = Counter()
    for row in bought:
        if row["kind"] == "screws":
            assert int(row["needed"]) == screws[row["what"]]
            held[row["what"]] += int(row["buy"]) * int(row["of"].removeprefix("box of "))
    assert screws.keys() == held.keys()
    assert all(held[label] >= count for label, count in screws.items())
    (soil,) = [row for row in bought if row["kind"] == "soil"]  # a tree box takes none
    inside = shipped("sill-box").loads.weights.soil
    cubic_feet = ASKED["sill-box"] * inside.width * inside.depth * inside.height / 304.8**3
    assert (int(soil["buy"]) - 1) * 2 < cubic_feet <= int(soil["buy"]) * 2
    pages = " ".join(page_texts((packet / "buying-list.pdf").read_bytes()))
    assert costs["currency"] not in pages and costs["cost"] not in pages


@pytest.mark.usefixtures("few_boards_as_many")
def test_boards_settings_and_money_are_those_of_cut_and_price(packet: Path, tmp_path: Path) -> None:
    asked = [f"{name}:{count}" for name, count in ASKED.items()]
    cut = json.loads(run_here("cut", *asked, *SPARE, "--json", cwd=tmp_path).stdout)
    price = json.loads(run_here("price", *asked, *SPARE, "--json", cwd=tmp_path).stdout)
    assert plan_of(packet) == cut
    costs = json.loads((packet / "maker" / "costs.json").read_bytes())
    assert {key: costs[key] for key in price} == price
    listed = [int(row["setting"]) for row in rows(packet, "saw-list.csv") if row["setting"]]
    assert listed == list(range(1, cut["setups"]["count"] + 1))
    pages = " ".join(page_texts((packet / "maker" / "costs.pdf").read_bytes()))
    for box in price["boxes"]:
        assert box["unit_cost"] in pages and box["offers"][0]["price"] in pages


def test_each_kind_of_box_has_the_plan_of_its_bench(packet: Path) -> None:
    """Its parts, maps and steps; what is bought and sawn is told by the batch's own papers."""
    for folder in ("plans", "templates"):
        assert {one.stem for one in (packet / folder).iterdir()} == set(ASKED)
    for name in ASKED:
        box = shipped(name)
        pages = page_texts((packet / "plans" / f"{name}.pdf").read_bytes())
        words = " ".join(" ".join(pages).split())
        for part in box.parts:
            assert f"{part.mark} {part.count} {part.role}" in words, part.mark
        steps = words[words.index("Putting it together", words.index("Panels")) :]
        for number, step in enumerate(numbered_steps(box.box), 1):
            assert re.search(rf"\b{number} +{re.escape(step_title(step.step))}", steps), number
        for title in ("Board layouts", "Saw list", "At the saw"):
            assert title not in words
        boards = sum(one.plan.boards for one in box.saw_plans)
        assert f"{boards} fence boards" not in words and "saw plan" in words


@pytest.mark.parametrize(
    "name", ["saw-plan.pdf", "labels.pdf", "kits.pdf", "buying-list.pdf", "maker/costs.pdf"]
)
def test_the_pages_are_sound(name: str, packet: Path) -> None:
    pdf = (packet / name).read_bytes()
    assert syntax_problems(pdf) == []
    for words, size in zip(page_words(pdf), page_sizes(pdf), strict=True):
        assert outside(words, size, 5.0) == []
        if name != "saw-plan.pdf":  # numbers stand upon the pieces of a layout
            assert overlapping(words) == []


def test_the_kit_cards_name_every_box_and_piece(packet: Path) -> None:
    pages = " ".join(page_texts((packet / "kits.pdf").read_bytes()))
    for row in rows(packet, "kits.csv"):
        numbers = row["pieces"]
        told = f"{row['mark']} {numbers}" if " " in numbers else f"{row['mark']}{numbers}"
        assert told in pages, told


def test_the_page_for_the_phone_ticks_every_tray_and_every_place_of_the_saw(packet: Path) -> None:
    page = (packet / "workshop.html").read_text(encoding="utf-8")
    ticks = re.findall(r'data-tick="([^"]+)"', page)
    trays = {(row["box"], row["tray"]) for row in rows(packet, "kits.csv")}
    places = Counter(row["setting"] for row in rows(packet, "saw-list.csv"))
    assert {name for name in ticks if name.startswith("box-")} == {
        f"box-{box}-{tray}" for box, tray in trays
    }
    cut = {name.partition("-")[0] for name in ticks if name[0].isdigit()}
    assert cut == {number for number in places if number}


class _Page(HTMLParser):
    """What a page holds: its tags with their attributes, and its words."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data


def read_first(packet: Path) -> _Page:
    return _Page((packet / "READ-FIRST.html").read_text(encoding="utf-8"))


def check_read_first(packet: Path) -> None:
    page = read_first(packet)
    kinds = [tag for tag, _ in page.tags]
    assert "script" not in kinds and "link" not in kinds
    for _, attributes in page.tags:
        for key in ("src", "href"):
            assert (attributes.get(key) or "data:").startswith("data:")
        assert not any(key.startswith("on") for key in attributes)
    (policy,) = [a["content"] for tag, a in page.tags if "http-equiv" in a and tag == "meta"]
    assert policy == "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    pictures = [a for tag, a in page.tags if tag == "img"]
    assert len(pictures) == 3
    for picture in pictures:
        svg = base64.b64decode(str(picture["src"]).partition("base64,")[2])
        assert len(list(ElementTree.fromstring(svg).iter())) > 5
        assert picture["alt"]
    listed = re.findall(r"<code>([^<]+)</code>", (packet / "READ-FIRST.html").read_text())
    files = set(contents(packet)) - {MANIFEST}
    assert all(any(fnmatch(file, where) for where in listed) for file in files)
    assert all(any(fnmatch(file, where) for file in files) for where in listed)
    named = set(re.findall(r"\b[\w-]+\.(?:pdf|dxf|csv)\b", page.words))
    assert named <= {file.rpartition("/")[2] for file in files}


def test_read_first_lists_what_is_there_and_asks_the_network_for_nothing(packet: Path) -> None:
    check_read_first(packet)
    steps = read_first(packet).words
    order = ["buying-list.pdf", "saw-plan.pdf", "kits.pdf"]
    assert [steps.index(name) for name in order] == sorted(steps.index(name) for name in order)


@pytest.mark.usefixtures("few_boards_as_many")
def test_one_box_opens_with_read_first_too_and_says_no_more_than_it_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pictures, "cover_photo", lambda *_: None)  # its own tests take one
    only = [f"--only={kind}" for kind in ("read-first", "cutlist", "costs")]
    packet = built(tmp_path, "sill-box", *only)
    check_read_first(packet)
    words = read_first(packet).words
    assert "maker/" in words and "labels.pdf" not in words
    packet = built(tmp_path, "sill-box", *only, "--to-sell")
    check_read_first(packet)
    assert "maker/" not in read_first(packet).words


def test_a_batch_of_one_box_is_cut_as_its_own_plan_says(tmp_path: Path) -> None:
    packet = built(tmp_path, "sill-box:1", "--only", "saw", "--only", "labels")
    plan = plan_of(packet)
    assert plan["boards"] == sum(one.plan.boards for one in shipped("sill-box").saw_plans)
    labels = rows(packet, "labels.csv")
    assert sorted(row["part"] for row in labels) == sorted(shipped("sill-box").box.boards)
    assert all(re.fullmatch(r"[A-Z]+\d+", row["label"]) for row in labels)


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (["sill-box:2", "sill-box:3"], "sill-box:5"),
        (["sill-box:2", "--to-sell"], "--to-sell"),
        (["sill-box:2", "--with", "pictures"], "--with"),
        (["sill-box:0"], "1 to"),
        (["sill-box:2", "--only", "plan"], "allowed: read-first, buying, saw"),
        (["sill-box", "--fewest-boards"], "--fewest-boards"),
        (["sill-box:2", "--set", "box.width=4 in"], "box.width"),
    ],
)
def test_what_is_no_batch_is_one_line_and_writes_nothing(
    args: list[str], word: str, tmp_path: Path
) -> None:
    done = run_here("build", *args, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert word in done.stderr.splitlines()[-1]
    assert list(tmp_path.iterdir()) == []
