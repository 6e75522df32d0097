"""The printed plan as other libraries read it: sound, on its paper, nothing lost or cut off."""

from __future__ import annotations

import io
import re
from collections import Counter
from functools import cache, partial
from typing import Any

import numpy as np
import pikepdf
import pytest

from case_lists import mostly_thorough, thorough
from palewright.design import Design, design
from palewright.parameters.variant_files import (
    Relatives,
    find_variant,
    load_variant,
    parameters_from,
    relatives_of,
    shipped_variants,
)
from palewright.sawing.numbered_plans import numbered_plans
from palewright_drawings.dimensioning.sheets import view_sheets
from palewright_drawings.documents.labels import labels_pdf
from palewright_drawings.documents.plan.content import MARGIN, plan_content, plan_pdf
from palewright_drawings.documents.plan.numbered_cuts import origins
from palewright_drawings.documents.plan.texts import size_line
from palewright_drawings.documents.template_sheets import templates_pdf
from palewright_drawings.documents.typst_pdf import LayoutError, pdf_of
from palewright_drawings.output.progress import Silent
from palewright_drawings.paper.pages import MARGIN as SHEET_MARGIN
from palewright_drawings.paper.text_metrics import text_width
from pdf_pages import (
    fonts,
    outside,
    overlapping,
    page_image,
    page_sizes,
    page_texts,
    page_words,
    syntax_problems,
)
from shipped_designs import shipped

PAPER = {"letter": (215.9, 279.4), "tabloid": (279.4, 431.8), "a4": (210, 297), "a3": (297, 420)}
CASES = mostly_thorough(
    [(name, "auto") for name in shipped_variants()]
    + [
        ("bean-tower", "tabloid"),
        ("terrace-crate", "a3"),
        ("winter-tub", "a4"),
        ("terrace-crate", "letter"),
    ],
    ("winter-tub-small", "auto"),
    ("terrace-crate", "a3"),
)
SOME = mostly_thorough(shipped_variants(), "winter-tub-small")
TABS = {"Buy", "Cut", "Panels", "Box", "Jigs", "Finish"}
"""Words at the edge of the paper."""

DESCENDER = 0.7
"""Letters of a last line reach so far (mm) below their base line, into the margin."""


@cache
def made(name: str, paper: str) -> Design:
    settings = [
        f"plan.paper={paper}",
        "plan.maker=Gable & Daughters",
        "plan.contact=shop@gable.test",
    ]
    return design(load_variant(name, settings).parameters, name)


def family_of(name: str) -> Relatives:
    return partial(relatives_of, find_variant(name))


@cache
def content(name: str, paper: str) -> dict[str, Any]:
    return plan_content(made(name, paper), Silent(), family_of(name))


@cache
def printed(name: str, paper: str) -> bytes:
    return plan_pdf(made(name, paper), None, family_of(name))


def paper_name(name: str, paper: str) -> str:
    if paper != "auto":
        return paper
    return "letter" if made(name, paper).parameters.product.units == "inch" else "a4"


@pytest.mark.parametrize(("name", "paper"), CASES)
def test_it_is_a_sound_file_on_the_paper_that_was_asked_for(name: str, paper: str) -> None:
    pdf = printed(name, paper)
    assert syntax_problems(pdf) == []
    wide, high = PAPER[paper_name(name, paper)]
    upright = {(round(wide, 1), round(high, 1)), (round(high, 1), round(wide, 1))}
    sizes = {(round(w, 1), round(h, 1)) for w, h in page_sizes(pdf)}
    assert sizes == upright, "upright pages, and board layouts on their side"
    used = list(fonts(pdf))
    assert used
    for font, embedded in used:
        assert embedded, font
        assert re.fullmatch(r"/[A-Z]{6}\+(DejaVuSans|SourceSansPro)(-\w+)?", font), font


def misplaced(pdf: bytes) -> tuple[list[str], int]:
    """Return what lies outside its margins or on other text, and how many sheets of views."""
    texts = page_texts(pdf)
    found, drawings = [], 0
    for page, (words, size) in enumerate(zip(page_words(pdf), page_sizes(pdf), strict=True), 1):
        words = [w for w in words if not (w.text in TABS and w.box[0] > size[0] - MARGIN)]
        body = [w for w in words if w.box[1] < size[1] - MARGIN]  # below it: the foot line
        sheet = page > 1 and f"{page} of {len(texts)}" not in texts[page - 1]
        drawings += sheet
        margin = SHEET_MARGIN if sheet else MARGIN - DESCENDER
        lost = outside(words if sheet else body, size, margin) + outside(words, size, 8.0)
        found += [f"page {page}: {word}" for word in lost]
        found += [f"page {page}: {pair}" for pair in overlapping(words)]
    return found, drawings


@pytest.mark.parametrize(("name", "paper"), CASES)
def test_every_page_keeps_its_margins_and_no_text_lies_on_text(name: str, paper: str) -> None:
    found, drawings = misplaced(printed(name, paper))
    assert found == []
    assert drawings == len(view_sheets(made(name, paper))) > 0


CAPITALS = 0.729
"""Height of a capital as a share of the size, of the family's fonts."""


def wide(one: dict[str, Any]) -> float:
    """How far letters of a picture reach, mm."""
    return text_width(one["text"], CAPITALS * one["size"], "bold" if one["bold"] else "regular")


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub-small"))
def test_no_mark_lies_under_a_cut_number(name: str) -> None:
    """No letters of a layout but its own reach into the frame of a cut's number."""
    for row in content(name, "auto")["layouts"]:
        drawing = row["drawing"]
        frames = [
            [float(x) for x in re.findall(r"-?[\d.]+", path)]
            for path in re.findall(r'stroke="#2d5d7b"[^>]* d="([^"]+)"', drawing["svg"])
        ]
        numbers = [one for one in drawing["texts"] if one["text"].isdigit()]
        assert len(frames) == len(numbers) > 0
        for ring in frames:
            low, high, top, foot = min(ring[::2]), max(ring[::2]), min(ring[1::2]), max(ring[1::2])
            within = [
                one["text"]
                for one in drawing["texts"]
                if low < one["x"] + wide(one)
                and one["x"] < high
                and top < one["y"]
                and one["y"] - CAPITALS * one["size"] < foot
            ]
            assert len(within) == 1, within


FULL = 0.6
"""Ink reaches so far down every page but the last, as a share of the room between its margins."""


def reached(pdf: bytes) -> list[float]:
    """How far down each page's ink reaches, its foot line and tab aside."""
    found = []
    for page in range(len(page_sizes(pdf))):
        grey = page_image(pdf, page, 60)
        edge = round(MARGIN / 25.4 * 60)
        body = grey[edge:-edge, edge:-edge]
        rows = np.flatnonzero((body < 200).any(axis=1))
        found.append(float(rows.max() + 1) / len(body) if len(rows) else 0.0)
    return found


@pytest.mark.parametrize("edition", ["bench", "sold", "batch"])
@pytest.mark.parametrize("name", SOME)
def test_no_page_but_the_last_is_less_than_three_fifths_full(name: str, edition: str) -> None:
    pdf = (
        printed(name, "auto")
        if edition == "bench"
        else plan_pdf(
            made(name, "auto"), None, family_of(name), edition == "sold", edition == "batch"
        )
    )
    least = reached(pdf)[:-1]
    assert [(n, round(full, 2)) for n, full in enumerate(least, 1) if full < FULL] == []


def test_an_empty_page_would_be_seen() -> None:
    data = content("terrace-crate", "a3")
    short = pdf_of("plan", {**data, "parts": data["parts"][:1], "pieces": data["pieces"][:1]})
    assert min(reached(short)[:-1]) < FULL


def test_a_text_out_of_place_would_be_seen() -> None:
    data = content("winter-tub-small", "auto")
    narrow = {**data, "paper": {**data["paper"], "margin": 9.0}}
    pdf = pdf_of("plan", narrow)
    found = [outside(w, s, MARGIN) for w, s in zip(page_words(pdf), page_sizes(pdf), strict=True)]
    assert any(found)
    twice = overlapping([w for words in page_words(pdf)[:1] for w in words * 2])
    assert twice


@pytest.mark.parametrize(("name", "paper"), CASES)
def test_text_can_be_taken_out_and_tells_every_part(name: str, paper: str) -> None:
    box, pdf = made(name, paper), printed(name, paper)
    pages = page_texts(pdf)
    whole = " ".join(pages)
    system = box.parameters.product.units
    for part in box.parts:
        size = size_line((part.length, part.width, part.thickness), system)
        assert size in whole, part.mark
        assert f"{part.count} {part.role}" in whole
    for piece in content(name, paper)["parts"]:
        assert re.search(rf"\b{piece['mark']}\b", whole)
    assert box.parameters.product.title in pages[0]
    assert "Gable & Daughters" in pages[0]
    assert "shop@gable.test" in whole
    assert box.parameters.plan.licence in whole
    for stock in {part.stock for part in box.parts}:
        assert f"{stock.price:.2f}" not in re.sub(r"1 : \d+(\.\d+)?|\(\d+\.\d+ kPa\)", "", whole)
    numbered = [f"{number} of {len(pages)}" in text for number, text in enumerate(pages, 1)]
    assert numbered.count(False) == 1 + len(view_sheets(box)), "the cover and sheets of views"


@pytest.mark.parametrize("name", SOME)
def test_parts_are_listed_once_and_counted_right(name: str) -> None:
    box, data = made(name, "auto"), content(name, "auto")
    listed = [(row["mark"], int(row["count"])) for row in data["parts"]]
    assert listed == [(part.mark, len(part.boards)) for part in box.parts]
    told = [re.findall(r"(\w+) (\d+)", row["where"]) for row in data["parts"]]
    for rows, part in zip(told, box.parts, strict=True):
        panels = Counter(box.box.boards[board].panel for board in part.boards)
        assert {panel: int(count) for panel, count in rows} == dict(panels)
    screws = Counter(screw.kind for screw in box.box.screws)
    assert sorted(int(row["count"]) for row in data["needs"]["screws"]) == sorted(screws.values())
    for row in data["needs"]["screws"]:
        assert int(row["buy"]) >= 1.1 * int(row["count"])
        assert int(row["buy"]) % 5 == 0


def texts_of(drawing: dict[str, Any]) -> list[str]:
    return [text["text"] for text in drawing["texts"]]


@pytest.mark.parametrize("name", SOME)
def test_every_cut_on_a_board_carries_the_number_of_its_line_in_the_saw_list(name: str) -> None:
    box, data = made(name, "auto"), content(name, "auto")
    plans = numbered_plans(box.saw_plans)
    every = [line for stock in data["saw"] for step in stock["steps"] for line in step["lines"]]
    lines = {int(one["number"]): int(one["cuts"].split()[0]) for one in every if one["number"]}
    squaring = [int(one["cuts"].split()[0]) for one in every if not one["number"]]
    squared = sum(lay.squared * lay.count for one in box.saw_plans for lay in one.plan.layouts)
    assert sum(squaring) == squared >= sum(one.plan.boards for one in box.saw_plans)
    assert list(lines) == list(range(1, len(lines) + 1))
    drawn: Counter[int] = Counter()
    layouts = [one for plan in plans for one in plan.layouts]
    assert len(layouts) == len(data["layouts"])
    for one, row in zip(layouts, data["layouts"], strict=True):
        numbers = [int(t) for t in texts_of(row["drawing"]) if t.isdigit()]
        assert sorted(numbers) == sorted([*([one.rip_number] if one.rip_number else []), *one.cuts])
        for number in numbers:
            drawn[number] += one.layout.count
        pieces = [t for t in texts_of(row["drawing"]) if re.fullmatch(r"[A-Z]+\d.*", t)]
        assert len(pieces) == len(one.layout.pieces)
    assert dict(drawn) == lines


@pytest.mark.parametrize("name", SOME)
def test_boards_and_pieces_are_numbered_through_all_stocks(name: str) -> None:
    box = made(name, "auto")
    found = origins(box, numbered_plans(box.saw_plans))
    assert set(found) == set(box.box.boards)
    boards = sum(plan.plan.boards for plan in box.saw_plans)
    assert {origin.board for origin in found.values()} == set(range(1, boards + 1))
    for part in box.parts:
        numbers = sorted(found[name].piece for name in part.boards)
        assert numbers == list(range(1, len(part.boards) + 1))


@pytest.mark.parametrize("name", SOME)
def test_steps_say_every_screw_once(name: str) -> None:
    box, data = made(name, "auto"), content(name, "auto")
    told = 0
    for group in data["steps"]:
        alike = {"two": 2, "three": 3, "four": 4}
        words = group["title"].split()
        times = alike[words[-2]] if words[-1] == "alike" else 1
        for step in group["steps"]:
            counts = [int(m[1]) for line in step["lines"] if (m := re.match(r"(\d+) screw", line))]
            told += times * sum(counts)
    assert told == len(box.box.screws), name


def test_title_language_words_for_pictures_and_an_outline_are_there() -> None:
    with pikepdf.open(io.BytesIO(printed("winter-tub-small", "auto"))) as document:
        root = document.Root
        assert str(root.Lang).startswith("en")
        assert bool(root.MarkInfo.Marked)
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        with document.open_metadata() as data:
            assert data["dc:title"] == "Winter tub, small"
            assert data["dc:creator"] == ["Gable & Daughters"]
            assert data["pdfuaid:part"] == "1"
        with document.open_outline() as outline:
            chapters = [item.title for item in outline.root]
        figures = [
            thing
            for thing in document.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/S") == "/Figure"
        ]
        assert len(figures) > 20
        assert all(str(one.get("/Alt", "")) for one in figures)
    assert chapters[:4] == ["Print at 100 %", "What you need", "Before you begin", "Parts"]
    assert {"Board layouts", "Saw list", "Putting it together", "Finishing"} <= set(chapters)


def test_the_family_is_told_with_its_boards() -> None:
    rows = content("winter-tub-small", "auto")["family-sizes"]
    assert [(row["title"], row["this"]) for row in rows] == [
        ("Winter tub, small", True),
        ("Winter tub", False),
    ]
    large = shipped("winter-tub")
    assert rows[1]["boards"] == f"{large.saw_plans[0].plan.boards} fence boards"
    assert content("terrace-crate", "a3")["family-sizes"] == []


def test_what_the_typesetter_complains_of_is_refused() -> None:
    data = content("winter-tub-small", "auto")
    with pytest.raises(LayoutError, match="font"):
        pdf_of("plan", {**data, "family": "No Such Sans"})
    with pytest.raises(LayoutError, match="cover"):
        pdf_of("plan", {key: value for key, value in data.items() if key != "cover"})
    with pytest.raises(LayoutError, match="PDF/UA-1"):
        pdf_of("plan", {**data, "title": ""})


def test_words_of_the_maker_are_never_read_as_commands() -> None:
    settings = ['plan.maker="#panic() $x$ *b* \\\\"', 'product.title="Tub [#1] @home"']
    parameters = load_variant("sill-box", settings).parameters
    pages = page_texts(plan_pdf(design(parameters, "odd")))
    assert "Tub [#1] @home" in pages[0]
    assert "#panic() $x$ *b* \\" in pages[0]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("title", "shown"),
    [
        thorough(("", "tub")),
        thorough(("  ", "tub")),
        thorough(("Übertopf ½ × 3″", "Übertopf ½ × 3″")),
        thorough(("W" * 200, "WWWWWWWW")),
        ("花 tub \U0001f332", "□ tub □"),
        thorough(("a\u200b\ue000b\ufffe\u202ec", "abc")),
        thorough(("שלום", "")),
        thorough(("Wide " * 39, "Wide Wide Wide")),
    ],
)
def test_whatever_a_maker_calls_it_can_be_printed(title: str, shown: str) -> None:
    said = load_variant("stoop-tub").said
    words = {"maker": "M" * 200, "contact": "c" * 200, "licence": "l" * 200, "finish": "f" * 200}
    tables = {**said, "product": {**said["product"], "title": title}, "plan": words}
    box = design(parameters_from(tables, {}), "tub")
    plan = plan_pdf(box)
    assert shown in page_texts(plan)[0].replace("\u200b", "")
    assert misplaced(plan)[0] == []
    for pdf, margin in ((labels_pdf(box), 0.0), (templates_pdf(box), 12.0)):
        assert syntax_problems(pdf) == []
        for runs, size in zip(page_words(pdf), page_sizes(pdf), strict=True):
            assert outside(runs, size, margin) == []
            assert overlapping(runs) == []
