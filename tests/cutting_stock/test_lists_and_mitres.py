"""Parts lists are read or refused with one clear line; rows of mitred parts are shortest."""

from __future__ import annotations

from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.cutting_stock import PartsListError, parts_from_text, read_parts
from palewright.cutting_stock.problem.shared_mitres import (
    MitreEnds,
    row_length,
    row_savings,
    shortest_row,
)


def millimetres(text: str) -> float:
    """A stand-in for the shop's reader of lengths."""
    number, _, unit = text.partition(" ")
    try:
        return float(number) * {"mm": 1.0, "in": 25.4}[unit]
    except (KeyError, ValueError) as error:
        raise ValueError(f"{text!r} is no length; write 419 mm or 16.5 in") from error


def test_a_parts_list_is_read(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("part,length,width,count\n\nrail,10 in,60 mm,4\nstave, 400 mm ,5.5 in,2\n")
    rail, stave = read_parts(path, millimetres)
    assert (rail.name, rail.length, rail.width, rail.count) == ("rail", 254.0, 60.0, 4)
    assert stave.length == 400.0


def test_lines_of_one_name_and_size_add_up() -> None:
    text = "part,length,width,count\nrail,10 in,2 in,4\nslat,9 in,1 in,1\nrail,254 mm,50.8 mm,3\n"
    rail, slat = parts_from_text(text, "parts.csv", millimetres)
    assert (rail.name, rail.length, rail.width, rail.count) == ("rail", 254.0, 50.8, 7)
    assert (slat.name, slat.count) == ("slat", 1)
    once = parts_from_text("part,length,width,count\nrail,10 in,2 in,7\n", "p", millimetres)
    assert once == (rail,)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1: the header is ''"),
        ("name,l,w,n\n", "line 1: the header is 'name,l,w,n'"),
        ("part,length,width,count\n", "asks for no parts"),
        ("part,length,width,count\nrail,1 in,1 in\n", "line 2: has 3 cells; it must have 4"),
        ("part,length,width,count\n,1 in,1 in,1\n", "line 2, part: is empty"),
        ("part,length,width,count\nrail,1 mile,1 in,1\n", "line 2, length: '1 mile' is no length"),
        (
            "part,length,width,count\nrail,1 in,-1 in,1\n",
            "line 2, width: '-1 in' is not allowed; allowed: above 0",
        ),
        (
            "part,length,width,count\nrail,nan mm,1 in,1\n",
            "line 2, length: 'nan mm' is not allowed; allowed: above 0",
        ),
        ("part,length,width,count\nrail,1 in,1 in,two\n", "line 2, count: is 'two'"),
        ("part,length,width,count\nrail,1 in,1 in,99999999\n", "line 2, count: is '99999999'"),
        ("part,length,width,count\nrail,1 in,1 in,1\0\n", "is not text"),
        (
            "part,length,width,count\nrail,9 in,1 in,1\n\nrail,8 in,1 in,1\n",
            "line 4, part: 'rail' is of another size than on line 2; allowed: one size a name",
        ),
        (
            "part,length,width,count\nrail,9 in,1 in,1\nrail,9 in,30 mm,0\n",
            "line 3, part: 'rail' is of another size than on line 2",
        ),
        (
            "part,length,width,count\nrail,1 in,1 in,9999999\nrail,1 in,1 in,2\n",
            "line 3, count: 'rail' comes to 10000001; up to 10000000 is allowed",
        ),
    ],
)
def test_a_bad_list_is_refused_with_one_line(text: str, message: str) -> None:
    with pytest.raises(PartsListError) as caught:
        parts_from_text(text, "parts.csv", millimetres)
    assert message in str(caught.value)
    assert str(caught.value).startswith("parts.csv")
    assert "\n" not in str(caught.value)


def test_missing_binary_and_huge_files_are_refused(tmp_path: Path) -> None:
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\xff\xfe\x00\x81" * 50)
    huge = tmp_path / "huge.csv"
    huge.write_bytes(b"x" * 6_000_000)
    for path, message in (
        (tmp_path / "none.csv", "cannot be read"),
        (tmp_path, "cannot be read"),
        (binary, "is not text"),
        (huge, "a parts list of up to"),
    ):
        with pytest.raises(PartsListError, match=message):
            read_parts(path, millimetres)


def brute_row(parts: list[int], lengths: list[int], ends: list[MitreEnds]) -> int:
    """Shortest row by trying every order and turn."""
    best = sum(lengths[i] for i in parts)
    for order in permutations(parts):
        for turns in product((False, True), repeat=len(order)):
            total, before = 0, 0
            for part, turned in zip(order, turns, strict=True):
                left, right = ends[part].slopes[:: -1 if turned else 1]
                if left and left == before:
                    total -= ends[part].savings[1 if turned else 0]
                total += lengths[part]
                before = right
            best = min(best, total)
    return best


saved = {0: 0, 4500: 30, -4500: 30, 3600: 20, -1800: 9}
ends_of_parts = st.tuples(st.sampled_from(list(saved)), st.sampled_from(list(saved))).map(
    lambda slopes: MitreEnds(slopes, (saved[slopes[0]], saved[slopes[1]]))
)


@settings(max_examples=60, deadline=None)
@given(st.lists(ends_of_parts, min_size=1, max_size=5))
def test_rows_of_slanted_parts_are_shortest(ends: list[MitreEnds]) -> None:
    parts = list(range(len(ends)))
    lengths = [100 + 7 * i for i in parts]
    row = shortest_row(parts, lengths, ends)
    assert sorted(item.part for item in row) == parts
    counts = np.ones((1, len(parts)), dtype=np.int64)
    stated = sum(lengths) - int(row_savings(counts, ends)[0])
    assert row_length(row, lengths) == stated == brute_row(parts, lengths, ends)
