"""Drawings of jigs: sizes as cut, holes on the screws, words clear of lines at any scale."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest

from case_lists import KINDS, mostly_thorough
from figures_on_paper import overlaps
from jig_cases import VARIANTS, made, over_jigs
from palewright.construction.boards import cross
from palewright.geometry.contours import extent
from palewright.reading.lengths import read_length, tape_text
from palewright_drawings.documents.plan.pictures import fitted
from palewright_drawings.figures.jigs import JigPictures, jig_pictures

ROOM = (180.0, 95.0)
"""A drawing in the plan is at most so wide and high, mm."""


@cache
def pictures(name: str, plate: str = "whole") -> list[tuple[str, JigPictures]]:
    """(variant, drawings) of each jig."""
    return [(name, one) for one in jig_pictures(made(name, plate))]


@over_jigs(pictures)
def test_every_size_is_the_distance_it_measures(name: str, one: JigPictures) -> None:
    units = made(name).parameters.product.units
    found = {size.what: size for size in one.above.dimensions}
    assert len(found) == len(one.above.dimensions)
    for size in found.values():
        assert size.text == tape_text(size.value, units)
    x0, y0, x1, y1 = extent(one.jig.plate.contour)
    assert found["plate, across"].value == pytest.approx(x1 - x0)
    assert found["plate, up"].value == pytest.approx(y1 - y0)
    for what in ("gap", "overhang", "stave inset", "rail height"):
        assert (what in found) == (what in one.jig.fixed)
        if what in found:
            assert found[what].value == pytest.approx(one.jig.fixed[what])
    for mark in one.laid.angles:
        assert mark.value == pytest.approx(one.jig.fixed["angle"])


@over_jigs(pictures)
def test_words_are_clear_of_lines_and_each_other_on_paper(_name: str, one: JigPictures) -> None:
    for figure in (one.above, one.laid):
        placed = fitted(figure, *ROOM)
        assert overlaps(placed.marks) == [], figure.name


@over_jigs(pictures)
def test_laid_holes_are_drawn_where_the_screws_are_seen(name: str, one: JigPictures) -> None:
    """Seen by the maker: from inside for panels, from outside for corners, what is up stays up."""
    if not one.jig.poses:
        return
    box, pose = made(name).box, one.jig.poses[0]
    assert not pose.turned
    sign = -1.0 if pose.y[2] < 0 else 1.0
    right, up = [sign * v for v in pose.x], [sign * v for v in pose.y]
    assert up == pytest.approx([0.0, 0.0, 1.0])
    toward = cross((right[0], right[1], right[2]), (up[0], up[1], up[2]))
    screws = {screw.name: screw for screw in box.screws}
    for guide, served in pose.served:
        screw = screws[served]
        assert [-v for v in screw.axis] == pytest.approx(toward)
        x = sum(a * b for a, b in zip(screw.head, right, strict=True))
        assert one.laid.rounds[guide].centre == pytest.approx((x, screw.head[2]), abs=1e-6)


@over_jigs(pictures)
def test_the_rows_of_holes_say_where_each_is(_name: str, one: JigPictures) -> None:
    def read(text: str, unit: str) -> float:
        return read_length(f"{re.sub(' (full|bare)', '', text).removesuffix(f' {unit}')} {unit}")

    told = [
        (read(x, unit), read(y, unit))
        for y, xs in one.holes
        for unit in ["mm" if " mm" in y else "in"]
        for x in xs
    ]
    assert len(told) == len(one.jig.guides)
    for x, y in one.jig.guides:
        assert min(math.dist((x, y), place) for place in told) < 1.3  # 1/32 in each way, and rows
    counted = sum(count for _, _, count in one.parts)
    assert counted == len(one.jig.parts) * one.jig.count


@over_jigs(pictures)
def test_the_full_size_drawing_holds_every_outline_hole_and_word(
    _name: str, one: JigPictures
) -> None:
    flat = one.flat
    assert sum(stroke.closed for stroke in flat.strokes) == len(one.jig.parts)
    assert len(flat.rounds) == len(one.jig.guides)
    x0, y0, x1, y1 = extent(one.jig.plate.contour)
    assert flat.bounds[3] - flat.bounds[1] >= y1 - y0 - 1e-6
    assert flat.bounds[2] - flat.bounds[0] >= x1 - x0 - 1e-6


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, *KINDS))
def test_figures_have_names_and_words_of_their_own(name: str) -> None:
    figures = [f for _, one in pictures(name) for f in (one.above, one.laid)]
    assert len({figure.name for figure in figures}) == len(figures)
    assert all(figure.title and figure.alt for figure in figures)
    assert len(figures) == 2 * len(made(name).jigs.jigs)
