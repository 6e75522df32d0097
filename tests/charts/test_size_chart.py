"""The chart of the largest boxes: what it says, its formats, and that it is the same twice."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from pathlib import Path

import pytest

from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright.size_search.looks import DRAWN
from palewright.size_search.pareto_sizes import BoxSize, Frontier, Sides
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
        assert picture.width > 500 and picture.height > 500
        assert picture.info["Title"].startswith("Stoop tub")
        grey = picture.convert("L")
        edge = [grey.getpixel((x, y)) for x in range(picture.width) for y in (0, -1 % 2)]
        assert min(edge) > 250, "something is cut off at the upper edge"


def texts_of(frontiers: list[Frontier], variant: str, file: Path) -> list[str]:
    write_chart(frontiers, parameters(variant), file, "EUR")
    # matplotlib draws letters as paths and leaves each text beside them as a comment
    return re.findall(r"<!-- (.+?) -->", file.read_text(encoding="utf-8"))


def test_the_chart_says_each_number_its_largest_size_volume_and_cost(tmp_path: Path) -> None:
    told = texts_of(CHARTED, "stoop-tub", tmp_path / "c.svg")
    for frontier in CHARTED:
        words = f"{frontier.boards} boards"
        assert (words in told) == bool(frontier.sizes)
        if frontier.sizes:
            best = max(frontier.sizes, key=lambda size: size.volume)
            assert " x ".join(f"{side / 25.4:.0f}" for side in best.sides) + " in" in told
            gallons = float(f"{best.volume / 3.785411784:.3g}")  # US gallons, by definition 231 in³
            assert f"{gallons:g} gal, as drawn" in told
            assert f"{best.cost:.2f} EUR" in told
    assert told.count("proven") == 3  # nothing is told of no box


def test_the_chart_tells_the_deepest_oblong_box_and_what_is_not_proven(tmp_path: Path) -> None:
    oblong = of_boards(4, (20, 12, 12), (14, 16, 11), (12, 12, 15))
    said = texts_of([oblong], "herb-trough", tmp_path / "c.svg")
    for words, size in (
        ("most volume, widest", "20 x 12 x 12 in"),
        ("tallest", "12 x 12 x 15 in"),
        ("deepest", "14 x 16 x 11 in"),
    ):
        assert said.index(size) == said.index(words) + 1  # a box's size stands under its words
    more = replace(oblong, bound=999.0)
    assert "none above 264 gal" in texts_of([more], "herb-trough", tmp_path / "c.svg")
    assert not any("deepest" in text for text in texts_of(CHARTED, "stoop-tub", tmp_path / "c.svg"))


def test_boxes_are_drawn_to_one_scale_with_their_depth(tmp_path: Path) -> None:
    pair = of_boards(4, (20, 12, 12), (12, 12, 15), (12, 20, 6))
    texts_of([pair], "herb-trough", tmp_path / "c.svg")
    root = ElementTree.parse(tmp_path / "c.svg").getroot()
    paths = [e.get("d", "") for e in root.iter("{http://www.w3.org/2000/svg}path")]
    fills = [e.get("style", "") for e in root.iter("{http://www.w3.org/2000/svg}path")]
    corners = [
        [(float(x), float(y)) for x, y in re.findall(r"[ML] ([\d.]+) ([\d.]+)", path)]
        for path, fill in zip(paths, fills, strict=True)
        if "fill: #e6d7ba" in fill or "fill: #c7b38f" in fill
    ]
    assert len(corners) == 6  # the front and a side of each box
    edges = [
        (math.dist(face[0], face[1]), math.dist(face[1], face[2]), face[1][0] > face[0][0])
        for face in corners
    ]
    # sizes in the order of their volume: 2880, 2160 and 1440 cubic inches
    wanted = [(20, 12), (12, 12), (12, 15), (12, 15), (12, 6), (20, 6)]
    scale = edges[0][0] / 20
    for (along, up, right), (inches, high), side in zip(
        edges, wanted, [False, True] * 3, strict=True
    ):
        assert along == pytest.approx(inches * scale, rel=1e-4)
        assert up == pytest.approx(high * scale, rel=1e-4)
        assert right is side  # the front leans one way, the side the other


def test_nothing_found_or_an_unknown_ending_draws_nothing(tmp_path: Path) -> None:
    table = parameters("stoop-tub")
    with pytest.raises(InputError, match="nothing to draw"):
        write_chart([of_boards(2)], table, tmp_path / "c.svg")
    with pytest.raises(InputError, match=r"\.svg or \.png"):
        write_chart(CHARTED, table, tmp_path / "c.jpg")
    with pytest.raises(InputError, match="no such folder"):
        write_chart(CHARTED, table, tmp_path / "none" / "c.svg")
    assert list(tmp_path.iterdir()) == []
