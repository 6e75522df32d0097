"""Labels: each piece once, on its place on the sheet, and codes that a reader reads."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest
import zxingcpp

from case_lists import mostly_thorough
from palewright.assembly.step_facts import boards_in_hand
from palewright.design import Design
from palewright.parameters.variant_files import shipped_variants
from palewright.sawing.numbered_plans import numbered_plans
from palewright_drawings.documents.label_sheet_formats import (
    LABEL_SHEETS,
    UNPRINTED,
    label_sheet_of,
)
from palewright_drawings.documents.labels import (
    PieceLabel,
    labels_data,
    labels_pdf,
    letter_sizes,
    piece_labels,
    set_label,
    steps_of,
)
from palewright_drawings.documents.plan.numbered_cuts import origins
from palewright_drawings.documents.plan.steps import marks_counted, step_groups
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.paper.pages import PAPERS
from palewright_drawings.paper.text_metrics import text_ink
from pdf_pages import (
    fonts,
    overlapping,
    page_image,
    page_sizes,
    page_texts,
    page_words,
    syntax_problems,
)
from shipped_designs import shipped


def made(name: str, sheet: str = "auto") -> Design:
    return shipped(name) if sheet == "auto" else shipped(name, f"plan.labels={sheet}")


@cache
def printed(name: str, sheet: str = "auto") -> bytes:
    return labels_pdf(made(name, sheet))


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "bean-tower"))
def test_each_piece_has_one_label_in_its_tray(name: str) -> None:
    box = made(name)
    found = origins(box, numbered_plans(box.saw_plans))
    labels = piece_labels(box)
    pieces = [label for label in labels if label.mark]
    marks = {board: part.mark for part in box.parts for board in part.boards}
    by_mark = {f"{marks[board]}{one.piece}": board for board, one in found.items()}
    assert sorted(label.mark for label in pieces) == sorted(by_mark)
    for label in pieces:
        board = by_mark[label.mark]
        assert label.lines[-2] == f"{label.kit} · board {found[board].board}"
        assert label.kit == box.box.boards[board].panel
        tray = list(box.tree).index(label.kit) + 1
        assert f": {label.mark}, tray {tray} {label.kit}, step " in label.code
        assert f", board {found[board].board}, " in label.code
        assert board not in label.code, "names of the shop's own"
    kits = [label.kit for label in labels]
    assert list(dict.fromkeys(kits)) == list(box.tree)
    for kit, names in box.tree.items():
        first = kits.index(kit)
        assert not labels[first].mark
        group = labels[first : first + len(names) + 1]
        assert {label.kit for label in group} == {kit}
        counted = dict(re.findall(r"([A-Z]+) × (\d+)", "  ".join(group[0].lines)))
        assert {mark: int(n) for mark, n in counted.items()} == Counter(marks[n] for n in names)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "bean-tower", "winter-tub"))
def test_the_step_of_a_code_is_the_plans_step_that_takes_the_piece(name: str) -> None:
    """Against the plan's own words: what each step says to take, by marks, all panels together."""
    box = made(name)
    steps = steps_of(box)
    assert set(steps) == set(box.box.boards)
    taken: Counter[tuple[int, str]] = Counter()
    number = 0
    for group in step_groups(list(step_pictures(box))):
        for one in group.pictures:
            number += 1
            hand = boards_in_hand(one.step, box.box)
            for mark, _, count in marks_counted(box, hand):
                taken[number, mark] += count * max(1, len(group.panels))
    marks = {board: part.mark for part in box.parts for board in part.boards}
    assert Counter((step, marks[board]) for board, step in steps.items()) == taken


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_letters_of_all_pieces_have_one_size_and_say_how_the_label_lies(name: str) -> None:
    box = made(name)
    data = labels_data(piece_labels(box), box, "")
    for header in (False, True):
        labels = [one for page in data["pages"] for one in page if one["header"] == header]
        assert len({line["size"] for one in labels for line in one["lines"]}) == 3 - header
    for label in piece_labels(box):
        if label.mark:
            assert re.fullmatch(r"(inner face|back) ↑ top|underside( ↑ inside)?", label.lines[-1])
            assert "cap" not in label.kit or label.lines[0].startswith("cap ")


@pytest.mark.parametrize("sheet", [*LABEL_SHEETS])
def test_everything_stays_on_its_own_label_and_clear_of_the_papers_edge(sheet: str) -> None:
    spec = LABEL_SHEETS[sheet]
    wide, high = PAPERS[spec.paper]
    corners = list(spec.corners())
    assert len(corners) == spec.count == len(set(corners))
    for x, y in corners:
        assert x >= -1e-6 and x + spec.width <= wide + 1e-6
        assert y >= -1e-6 and y + spec.height <= high + 1e-6
    for a in corners:
        for b in corners:
            if a < b:
                assert (
                    abs(a[0] - b[0]) >= spec.width - 1e-6 or abs(a[1] - b[1]) >= spec.height - 1e-6
                )
    for label in (
        *piece_labels(made("bean-tower")),
        PieceLabel("cap", "WW12", ("W" * 30,) * 4, ""),
    ):
        one = set_label(label, spec, letter_sizes([label], spec))
        boxes = []
        for line in one.lines:
            x0, y0, x1, y1 = text_ink(line.text, line.capitals, line.face)
            boxes.append((line.x + x0, line.y - y1, line.x + x1, line.y - y0))
        boxes.append(
            (one.code_x, one.code_y, one.code_x + one.code_size, one.code_y + one.code_size)
        )
        for left, top, right, bottom in boxes:
            assert left >= 2.0 and right <= spec.width - 2.0, (sheet, label)
            assert top >= 1.0 and bottom <= spec.height - 1.0, (sheet, label)
            for x, y in corners:
                assert min(x + left, wide - x - right) >= UNPRINTED - 0.01
                assert min(y + top, high - y - bottom) >= UNPRINTED - 0.5
        for i, a in enumerate(boxes):
            for b in boxes[i + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (sheet, label)


@pytest.mark.parametrize(
    ("name", "sheet"),
    mostly_thorough(
        [("stoop-tub", "auto"), ("terrace-crate", "auto"), ("bean-tower", "letter-2x5"),
         ("herb-trough", "a4-3x7"), ("sill-box", "letter-2x10"), ("gate-pair", "a4-2x7")],
        ("stoop-tub", "auto"), ("sill-box", "letter-2x10"),
    ),
)  # fmt: skip
def test_the_sheet_is_sound_and_the_text_lies_where_the_labels_are(name: str, sheet: str) -> None:
    pdf, box = printed(name, sheet), made(name, sheet)
    spec = label_sheet_of(box.parameters)
    assert syntax_problems(pdf) == []
    sizes = page_sizes(pdf)
    assert all(size == pytest.approx(PAPERS[spec.paper], abs=0.01) for size in sizes)
    count = len(box.box.boards) + len(box.tree)
    assert len(sizes) == -(-count // spec.count)
    assert all(embedded and "+" in font for font, embedded in fonts(pdf))
    corners = list(spec.corners())
    for words in page_words(pdf):
        assert overlapping(words) == []
        for word in words:
            left, top, right, bottom = word.box
            assert any(
                x <= left and right <= x + spec.width and y <= top and bottom <= y + spec.height
                for x, y in corners
            ), word
    text = " ".join(page_texts(pdf))
    for label in piece_labels(box):
        if label.mark:
            assert re.search(rf"(?<!\w){label.mark}(?!\w)", text)
            assert label.lines[1] in text


@pytest.mark.parametrize("name", mostly_thorough(["stoop-tub", "terrace-crate"], "stoop-tub"))
def test_a_reader_reads_every_code_from_the_printed_page(name: str) -> None:
    wanted = Counter(label.code for label in piece_labels(made(name)))
    found: Counter[str] = Counter()
    for page in range(len(page_sizes(printed(name)))):
        image = page_image(printed(name), page, 300)
        found.update(code.text for code in zxingcpp.read_barcodes(image))
    assert found == wanted


def test_a_label_on_another_would_be_seen() -> None:
    box = made("stoop-tub")
    data = labels_data(piece_labels(box), box, "Stoop tub")
    pages = data["pages"]
    assert isinstance(pages, list)
    first, second = pages[0][1], pages[0][2]
    moved = {**second, "x": first["x"] + 1.0, "y": first["y"] + 0.5}
    pdf = pdf_of("labels", {**data, "pages": [[first, moved]]})
    assert overlapping(page_words(pdf)[0])
