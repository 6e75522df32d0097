"""Lengths as a shop writes them: read, printed, and refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.reading.errors import InputError, nearest
from palewright.reading.lengths import (
    INCH,
    both_units,
    millimetres,
    print_length,
    read_length,
    shop_inches,
)
from palewright.reading.quantities import print_supply

WRITTEN = {
    "16 1/2 in": 419.1,
    '16-1/2"': 419.1,
    "16 - 1/2 in": 419.1,
    "16½ in": 419.1,
    "16 ½″": 419.1,
    "16.5 in": 419.1,
    "16.5in": 419.1,
    "16.5 inches": 419.1,
    "1/2 inch": 12.7,
    ".5 in": 12.7,
    "5/8 IN": 15.875,
    "1 ft 4 in": 406.4,
    "1 ft 4-1/2 in": 419.1,
    "1' 4\"": 406.4,
    "1′4″": 406.4,
    "2 feet": 609.6,
    "1 foot": 304.8,
    "419.1 mm": 419.1,
    "41.91 cm": 419.1,
    "0.4191 m": 419.1,
    "  16 in  ": 406.4,
    "0 in": 0.0,
    "-3/4 in": -19.05,
    "−3/4 in": -19.05,
    "⅛ in": 3.175,
    "⅜ in": 9.525,
    "⅝ in": 15.875,
    "⅞ in": 22.225,
    "¼ in": 6.35,
    "¾ in": 19.05,
    "10/16 in": 15.875,
}


@pytest.mark.parametrize(("text", "length"), WRITTEN.items())
def test_a_length_is_read_as_written(text: str, length: float) -> None:
    assert read_length(text) == pytest.approx(length, abs=1e-9)


REFUSED = [
    "", " ", "16", "16.5", "in", "sixteen in", "16 1/2", "1/0 in", "16 furlongs", "16 in 4 ft",
    "4 mm 3 in", "16 in 2 in", "1e3 mm", "nan in", "inf in", "16,5 in", "--3 in", "in 16",
    "16 in wide", "0x10 mm", "1//2 in", "1/2/3 in", "16 mmm", "½", "1 000 mm", "-", "+3 in",
    "3 in\x00", "9" * 70 + " in", "auto", None, 16, 16.5, True, [], {}, b"16 in",
]  # fmt: skip


@pytest.mark.parametrize("text", REFUSED, ids=[repr(text)[:20] for text in REFUSED])
def test_what_is_no_length_is_refused_in_one_line(text: object) -> None:
    with pytest.raises(InputError) as refused:
        read_length(text)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 250


@given(st.integers(-40 * 32, 400 * 32))
def test_shop_inches_are_read_back_exactly(steps: int) -> None:
    length = steps / 32 * INCH
    assert read_length(shop_inches(length)) == pytest.approx(length, abs=1e-9)


@given(st.floats(-20_000, 20_000))
def test_printed_lengths_are_within_half_a_step(length: float) -> None:
    assert abs(read_length(shop_inches(length)) - length) <= INCH / 64 + 1e-9
    assert abs(read_length(shop_inches(length, 64)) - length) <= INCH / 128 + 1e-9
    assert abs(read_length(millimetres(length)) - length) <= 0.05 + 1e-9
    assert abs(read_length(print_length(length, "metric")) - length) <= 0.05 + 1e-9
    assert print_length(length) == shop_inches(length)


@given(st.integers(0, 500), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_every_way_to_write_a_fraction_is_the_same_length(
    whole: int, part: int, bottom: int
) -> None:
    part %= bottom
    value = float((whole + Fraction(part, bottom)) * Fraction(254, 10))
    for text in (
        f"{whole} {part}/{bottom} in",
        f'{whole}-{part}/{bottom}"',
        f"{whole} - {part}/{bottom} inches",
        f"{whole // 12} ft {whole % 12} {part}/{bottom} in",
        f"{value!r} mm" if value > 1e-3 or value == 0 else f"{value:.9f} mm",
    ):
        assert read_length(text) == pytest.approx(value, abs=1e-9), text


@given(st.text(max_size=80))
def test_any_text_is_a_length_or_refused(text: str) -> None:
    try:
        assert math.isfinite(read_length(text))
    except InputError as refused:
        assert "\n" not in str(refused)


@given(st.one_of(st.integers(), st.floats(), st.booleans(), st.none(), st.lists(st.integers())))
def test_a_number_without_a_unit_is_never_guessed(value: object) -> None:
    with pytest.raises(InputError, match="unit"):
        read_length(value)


PRINTED = {
    0.0: ("0 in", "0 mm"),
    419.1: ("16-1/2 in", "419.1 mm"),
    15.875: ("5/8 in", "15.9 mm"),
    406.4: ("16 in", "406.4 mm"),
    -19.2: ("-3/4 in", "-19.2 mm"),
    -0.01: ("0 in", "0 mm"),
    25.39: ("1 in", "25.4 mm"),
    1000.0: ("39-3/8 in", "1000 mm"),
}


@pytest.mark.parametrize(("length", "texts"), PRINTED.items())
def test_a_length_is_printed_as_the_shop_reads_it(length: float, texts: tuple[str, str]) -> None:
    inches, metric = texts
    assert shop_inches(length) == inches
    assert millimetres(length) == metric
    assert both_units(length) == f"{inches} ({metric})"


def test_the_nearest_word_is_offered_and_no_far_one() -> None:
    assert nearest("witdh", ["width", "depth"]) == "; did you mean 'width'?"
    assert nearest("zzz", ["width", "depth"]) == ""


def test_a_complaint_names_its_place() -> None:
    bare = InputError("is  wrong\nhere")
    assert str(bare) == "is wrong here"
    assert str(bare.at(key="box.width")) == "box.width: is wrong here"
    placed = bare.at(key="box.width", file="tub.toml", line=3)
    assert str(placed) == "tub.toml:3: box.width: is wrong here"
    assert str(placed.at(key="other", file="else", line=9)) == str(placed)


@pytest.mark.parametrize(
    ("amount", "unit", "inch", "metric"),
    [
        # NIST Handbook 44, Appendix C: 1 fl oz = 29.573 53 ml, 1 gal = 3.785 411 784 l exactly,
        # 1 qt = 0.946 353 l, 1 sq ft = 0.092 903 04 m² exactly (values from memory)
        (29.57353, "ml", "1 fl oz", "29.6 ml"),
        (470.0, "ml", "15.9 fl oz", "470 ml"),
        (3.785411784, "l", "1 gal", "3.79 l"),
        (0.946353, "l", "1 qt", "0.946 l"),
        (9.290304, "m²", "100 sq ft", "9.29 m²"),
        (28.0, "m²", "301 sq ft", "28 m²"),
        (7.0, "bits", "7 bits", "7 bits"),
        (12345.6, "cuts", "12346 cuts", "12346 cuts"),
    ],
)
def test_supplies_are_told_as_they_are_sold(
    amount: float, unit: str, inch: str, metric: str
) -> None:
    assert print_supply(amount, unit, "inch") == inch
    assert print_supply(amount, unit, "metric") == metric
