"""A listing: its sizes are the model's, its words are facts, its pictures have the shapes asked."""

from __future__ import annotations

import io
import json
import re
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from palewright.design import Design, design
from palewright.measures import POUND
from palewright.units import read_length
from palewright.variant_files import load_variant
from palewright_drawings import listing_sets
from palewright_drawings.listing_sets import ListingRequest, listing_files
from palewright_drawings.listing_texts import listing_text, overall
from palewright_drawings.picture_files import Picture, PictureRequest, box_points
from palewright_drawings.pictures.cameras import VIEWS, framed, seen
from palewright_drawings.pictures.scene_parts import Camera
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.size_graphics import overall_spans, side_by_side, sized, span_points

Floats = NDArray[np.float64]
VARIANTS = ("stoop-tub", "winter-tub", "bean-tower", "sill-box")


@cache
def box(name: str) -> Design:
    return design(load_variant(name).parameters, name)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_sizes_drawn_are_those_of_the_boards(name: str) -> None:
    points = box_points(box(name))
    spans = {span.what: span for span in overall_spans(points)}
    assert set(spans) == {"width", "depth", "height"}
    for axis, what in enumerate(("width", "depth", "height")):
        size = float(points[:, axis].max() - points[:, axis].min())
        assert spans[what].size == pytest.approx(size, abs=1e-9)
        inches, _, metric = spans[what].text.partition("·")
        # read back: to half of a sixteenth, and half of a millimetre
        assert read_length(inches.strip()) == pytest.approx(size, abs=25.4 / 32 + 1e-6)
        assert float(metric.split()[0]) * 10 == pytest.approx(size, abs=0.5 + 1e-6)
        # parallel to the edge that it measures
        edge = spans[what].edge_end - spans[what].edge_start
        np.testing.assert_allclose(spans[what].end - spans[what].start, edge, atol=1e-9)


@pytest.mark.parametrize("name", VARIANTS)
def test_lines_of_sizes_are_drawn_inside_the_picture_and_off_the_box(name: str) -> None:
    points = box_points(box(name))
    spans = overall_spans(points)
    pixels = 300
    whole = np.concatenate([points, span_points(spans)])
    camera = framed(whole, VIEWS["three-quarter"], pixels, pixels)
    ends = seen(camera, span_points(spans))
    assert ends.min() > 0 and ends.max() < pixels
    plain = np.full((pixels, pixels, 3), 200, dtype=np.uint8)
    drawn = sized(plain, camera, spans)
    for x, y in ends:
        spot = drawn[round(y) - 1 : round(y) + 2, round(x) - 1 : round(x) + 2]
        assert spot.min() < 90, "each line ends in a dark dot"
    # labels stay inside: the rim of the picture is as it was
    rim = np.concatenate([drawn[0], drawn[-1], drawn[:, 0], drawn[:, -1]])
    assert (np.abs(rim.astype(int) - 200) <= 2).all()


@pytest.mark.parametrize("name", VARIANTS)
def test_the_words_hold_the_facts(name: str) -> None:
    of = box(name)
    text = listing_text(of)
    for size in overall(of):
        assert f"({size / 10:.1f} cm)" in text
    mass = of.loads.weights.empty.mass
    pounds, metric = re.findall(r"Weight, empty: about ([\d.]+) lb \(([\d.]+) kg\)", text)[0]
    assert float(pounds) * POUND == pytest.approx(mass, abs=0.25)
    assert float(metric) == pytest.approx(mass, abs=0.51)
    assert f"{len(of.box.boards)} boards and {len(of.box.screws)} screws" in text
    tree = of.parameters.box.kind == "tree"
    assert ("burns fast" in text) == tree and ("litres" in text) == (not tree)
    assert "eye and ear protection" not in text  # said to makers, not to buyers


def test_side_by_side_keeps_every_picture_and_adds_a_band_for_names() -> None:
    draw = np.random.default_rng(1)
    pictures = [draw.integers(0, 255, (120, width, 3), dtype=np.uint8) for width in (90, 120, 60)]
    found = side_by_side(pictures, ["one", "two", "three"])
    assert found.shape[0] > 120 and found.shape[1] >= 270
    x = 0
    for picture in pictures:
        assert np.array_equal(found[:120, x : x + picture.shape[1]], picture)
        band = found[120:, x : x + picture.shape[1]]
        assert band.min() < 120, "its name is written below it"
        x += picture.shape[1] + (found.shape[1] - 270) // 2


def test_a_listing_has_its_pictures_with_captions_and_alt_text(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[str, str, str]] = []

    def quick(
        of: Design, request: PictureRequest, shape: tuple[int, int], _progress: Progress,
        subject: Floats | None = None,
    ) -> Picture:  # fmt: skip
        """A blank picture with the camera that the real one would have."""
        asked.append((request.scene, request.view, request.finish))
        points = box_points(of) if subject is None else subject
        camera: Camera = framed(points, VIEWS[request.view], *shape)
        return Picture(np.full((shape[1], shape[0], 3), 210, dtype=np.uint8), camera)

    monkeypatch.setattr(listing_sets, "pictured", quick)
    request = ListingRequest("sage-paint", 400, 1)
    files = dict(listing_files(box("bean-tower"), request, Silent()))
    sizes = {name: Image.open(io.BytesIO(content)).size
             for name, content in files.items() if name.endswith(".png")}  # fmt: skip
    assert sizes["hero-square.png"] == (400, 400)
    assert sizes["hero-4x5.png"] == (320, 400) and sizes["hero-16x9.png"] == (400, 225)
    said = json.loads(files["captions.json"])
    assert list(said) == list(sizes) and len(sizes) == 9
    for words in said.values():
        assert len(words["caption"]) > 8 and len(words["alt"]) > 30
    assert files["listing.txt"].decode() == listing_text(box("bean-tower"))
    assert ("garden", "hero", "sage-paint") in asked
    assert {finish for _, _, finish in asked} == {*listing_sets.CHOICES, "sage-paint"}
    assert {"spring-porch", "winter-room"} <= {scene for scene, _, _ in asked}
    assert files == dict(listing_files(box("bean-tower"), request, Silent()))
