"""``workshop.html``: read as a file, against the plan it is made of."""

from __future__ import annotations

import hashlib
import json
import re
from base64 import b64encode
from collections import Counter
from html.parser import HTMLParser

import pytest

from case_lists import mostly_thorough
from palewright.design import design
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.lengths import print_length
from palewright.sawing.numbered_plans import NumberedPlan, numbered_plans
from palewright_drawings.documents.workshop.cut_ticks import CutPlace, cut_places
from palewright_drawings.documents.workshop.workshop_sheets import box_workshop
from shipped_designs import shipped

LARGEST = 1_500_000
"""Bytes: half of what the page may have, so that a mail takes it."""


class Read(HTMLParser):
    """A page's tags with their attributes, and the text of each element that closes."""

    def __init__(self, content: bytes) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[tuple[str, str]] = []
        self.words = ""
        self._open = ""
        self.feed(content.decode("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._open = tag

    def handle_data(self, data: str) -> None:
        if self._open in ("script", "style"):
            self.inside.append((self._open, data))
        else:
            self.words += data

    def handle_endtag(self, tag: str) -> None:
        self._open = ""

    def values(self, key: str) -> list[str]:
        """Return all values of an attribute, in order."""
        return [value for _, attrs in self.tags if (value := attrs.get(key)) is not None]


def read(name: str) -> Read:
    return Read(box_workshop(shipped(name)))


def lines(plan: NumberedPlan) -> list[tuple[int, int, tuple[str, ...], list[CutPlace]]]:
    """Return number, cuts and places of each line of the printed list, and its places to tick."""
    return [
        (number, line.cuts, line.places, cut_places(plan, number, one.step, line))
        for one in plan.steps
        for number, line in one.lines
    ]


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_ticks_are_the_places_and_cuts_of_the_printed_saw_list(name: str) -> None:
    for plan in numbered_plans(shipped(name).saw_plans):
        for number, cuts, places, ticked in lines(plan):
            assert tuple(one.label for one in ticked) == places, number
            assert sum(one.cuts for one in ticked) == cuts, number
            assert all(one.cuts > 0 for one in ticked), number


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_each_piece_is_finished_at_one_tick(name: str) -> None:
    made: Counter[str] = Counter()
    wanted: Counter[str] = Counter()
    for part in shipped(name).parts:
        wanted += Counter(f"{part.mark}{k}" for k in range(1, part.count + 1))
    for plan in numbered_plans(shipped(name).saw_plans):
        for *_, ticked in lines(plan):
            for piece in (piece for one in ticked for piece in one.pieces):
                mark, first, last = re.fullmatch(r"([A-Z]+)(\d+)(?:-(\d+))?", piece).groups()  # type: ignore[union-attr]
                made.update(f"{mark}{k}" for k in range(int(first), int(last or first) + 1))
    assert made == wanted


def test_a_piece_comes_off_at_the_setting_that_has_its_last_size() -> None:
    """The stoop tub by hand: braces at 38.6°, the cap at 45°, rails at the rip to their width."""
    (plan,) = numbered_plans(shipped("stoop-tub").saw_plans)
    found = {
        piece.rstrip("0123456789-")[0]: (step.step.stage, step.step.angle, line.size)
        for step in plan.steps
        for number, line in step.lines
        for one in cut_places(plan, number, step.step, line)
        for piece in one.pieces
    }
    parts = {part.mark: part for part in shipped("stoop-tub").parts}
    for mark, (stage, angle, size) in found.items():
        part = parts[mark]
        slant = max(*part.left_angles, *part.right_angles)
        assert (angle == pytest.approx(slant, abs=0.01)) and (stage == 3) == (
            slant > 0 or mark in "AFH"
        )
        if stage == 2:
            assert print_length(size, "inch") == print_length(part.width, "inch")
            continue
        assert size > 0, f"{mark}: a fresh end is not its last cut"
        if stage == 1:
            assert print_length(part.width, "inch") == "5-3/8 in", f"{mark} is ripped afterwards"
        if not slant:
            assert print_length(size, "inch") == print_length(part.length, "inch")


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_the_page_is_small_asks_for_nothing_and_runs_only_what_its_policy_names(
    name: str,
) -> None:
    content = box_workshop(shipped(name))
    assert len(content) < LARGEST
    assert b"http:" not in content and b"https:" not in content and b"url(" not in content
    page = Read(content)
    policy = next(a["content"] for t, a in page.tags if a.get("http-equiv"))
    assert policy is not None
    hashes = {
        tag: f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
        for tag, text in page.inside
        if not text.startswith("{")  # data, which no browser runs
    }
    assert policy.split("; ") == [
        "default-src 'none'",
        f"script-src {hashes['script']}",
        f"style-src {hashes['style']}",
        "base-uri 'none'",
        "form-action 'none'",
    ]
    for tag, attrs in page.tags:
        assert not {"style", "src", "srcset", "action", "data"} & attrs.keys(), tag
        assert not [key for key in attrs if key.startswith("on")], tag
        assert attrs.get("href", "#").startswith("#"), tag  # type: ignore[union-attr]
    ids = page.values("id")
    assert len(set(ids)) == len(ids)
    ticks = page.values("data-tick")
    assert len(set(ticks)) == len(ticks) > 20


def test_the_same_box_gives_the_same_bytes_and_another_other_ticks() -> None:
    one, other = box_workshop(shipped("stoop-tub")), box_workshop(shipped("terrace-crate"))
    again = design(shipped("stoop-tub").parameters, "stoop-tub")
    assert box_workshop(again) == one
    (first,), (second,) = (re.findall(rb'data-job="(\w+)"', page) for page in (one, other))
    assert first != second


def test_the_boards_in_three_dimensions_are_those_of_the_box() -> None:
    box = shipped("winter-tub").box
    data = next(text for _, text in read("winter-tub").inside if text.startswith("{"))
    prisms = json.loads(data)["boards"]
    assert len(prisms) == len(box.boards)
    for prism, board in zip(prisms, box.boards.values(), strict=True):
        g, a = prism["g"], prism["a"]
        n = (g[1] * a[2] - g[2] * a[1], g[2] * a[0] - g[0] * a[2], g[0] * a[1] - g[1] * a[0])
        corners = {
            tuple(prism["f"][i] + g[i] * x + a[i] * y + n[i] * z for i in range(3))
            for x, y in prism["o"]
            for z in (0, prism["t"])
        }
        for corner in board.corners:  # two numbers, each rounded to a tenth of a mm, and a third
            assert (
                min(max(abs(p - q) for p, q in zip(corner, c, strict=True)) for c in corners) < 0.2
            )
        marks = [part.mark for part in shipped("winter-tub").parts if board.name in part.boards]
        assert [prism["m"]] == marks


def test_a_title_is_text_wherever_it_stands() -> None:
    odd = '</title><script>alert(1)</script>"&'
    box = shipped("stoop-tub")
    product = box.parameters.product.model_copy(update={"title": odd})
    changed = design(box.parameters.model_copy(update={"product": product}), "odd")
    page = Read(box_workshop(changed))
    assert [tag for tag, _ in page.tags].count("script") == 2  # the data and the one script
    assert page.words.count(odd) == 2  # title and heading


def test_a_buyer_reads_of_no_jig_and_no_name_of_the_shop() -> None:
    box = shipped("bean-tower")
    bench, sold = (Read(box_workshop(box, to_sell=sell)).words for sell in (False, True))
    assert "Jig: " in bench and "Jig: " not in sold
    stocks = {box.parameters.materials.name_of(part.stock) for part in box.parts}
    assert len(stocks) > 1 and not [name for name in stocks if name in sold]
