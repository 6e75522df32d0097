"""The chart of the largest boxes: what it says, its formats, and that it is the same twice."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest

from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright.size_search.looks import DRAWN
from palewright.size_search.pareto_sizes import BoxSize, Frontier, OpenSize, Sides
from palewright_drawings.charts.size_chart import write_chart

INCH = 25.4


def parameters(variant: str) -> Parameters:
    return load_variant(variant).parameters


USUAL = DRAWN


def of_boards(boards: int, *sizes: Sides) -> Frontier:
    inches = [tuple(side * INCH for side in size) for size in sizes]
    return Frontier(
        boards,
        tuple(BoxSize(*sides, USUAL, boards, boards, 0.8, 3.4 * boards) for sides in inches),
    )


CHARTED = [
    of_boards(4, (10, 10, 20)),
    of_boards(5, (10, 10, 26), (11, 11, 20), (13, 13, 17)),
    of_boards(6, (10, 10, 30), (13, 13, 22), (16, 16, 16)),
    of_boards(2),
]


def test_an_svg_chart_is_well_formed_titled_and_the_same_twice(tmp_path: Path) -> None:
    table = parameters("stoop-tub")
    for name in ("one.svg", "two.svg"):
        write_chart(CHARTED, table, tmp_path / name)
    content = (tmp_path / "one.svg").read_bytes()
    assert content == (tmp_path / "two.svg").read_bytes()
    root = ElementTree.fromstring(content)
    titles = [e.text for e in root.iter("{http://purl.org/dc/elements/1.1/}title")]
    assert f"{table.product.title}: the largest box that N boards make" in titles
    assert str(tmp_path).encode() not in content


def test_a_png_chart_opens_titled_and_is_the_same_twice(tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image")
    for name in ("one.png", "two.PNG"):
        write_chart(CHARTED, parameters("stoop-tub"), tmp_path / name)
    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.PNG").read_bytes()
    with image.open(tmp_path / "one.png") as picture:
        picture.load()
        assert picture.width > 1000 and picture.height > 500
        assert picture.info["Title"].startswith("Stoop tub")
        grey = picture.convert("L")
        edge = [grey.getpixel((x, y)) for x in range(picture.width) for y in (0, -1 % 2)]
        assert min(edge) > 250, "something is cut off at the upper edge"


def test_the_chart_says_each_number_its_largest_size_volume_and_cost(tmp_path: Path) -> None:
    write_chart(CHARTED, parameters("stoop-tub"), tmp_path / "c.svg")
    # matplotlib draws letters as paths and leaves each text beside them as a comment
    told = re.findall(r"<!-- (.+?) -->", (tmp_path / "c.svg").read_text(encoding="utf-8"))
    for frontier in CHARTED:
        words = f"{frontier.boards} boards"
        assert (words in told) == bool(frontier.sizes)
        if frontier.sizes:
            best = max(frontier.sizes, key=lambda size: size.volume)
            sides = (best.width, best.depth, best.height)
            assert " x ".join(f"{side / 25.4:.0f}" for side in sides) + " in" in told
            assert f"{best.volume:.0f} l" in told
            assert any(f"cost {best.cost:.2f}" in text for text in told)


def test_the_chart_tells_the_deepest_oblong_box_and_what_is_undecided(tmp_path: Path) -> None:
    def told(frontier: Frontier) -> list[str]:
        write_chart([frontier], parameters("herb-trough"), tmp_path / "c.svg")
        return re.findall(r"<!-- (.+?) -->", (tmp_path / "c.svg").read_text(encoding="utf-8"))

    oblong = of_boards(4, (20, 12, 12), (14, 16, 11), (12, 12, 15))
    said = told(oblong)
    assert {"tallest 12 x 12 x 15 in", "deepest 14 x 16 x 11 in"} <= set(said)
    assert not any("widest" in text or "undecided" in text for text in said)
    left = OpenSize((508.0, 304.8, 330.2), USUAL, 4, 5)
    assert any("undecided" in text for text in told(replace(oblong, open=(left,))))
    assert not any("deepest" in text for text in told(CHARTED[1]))


def test_nothing_found_or_an_unknown_ending_draws_nothing(tmp_path: Path) -> None:
    table = parameters("stoop-tub")
    with pytest.raises(InputError, match="nothing to draw"):
        write_chart([of_boards(2)], table, tmp_path / "c.svg")
    with pytest.raises(InputError, match=r"\.svg or \.png"):
        write_chart(CHARTED, table, tmp_path / "c.jpg")
    with pytest.raises(InputError, match="no such folder"):
        write_chart(CHARTED, table, tmp_path / "none" / "c.svg")
    assert list(tmp_path.iterdir()) == []
