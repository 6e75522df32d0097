"""Square codes against another encoder, module by module, and a reader of codes."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import example, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from palewright_drawings.paper.qr_codes import QUIET, code_svg

MASKS = 8
"""ISO/IEC 18004 has as many patterns, of which an encoder takes the one that it finds best."""


def modules(svg: bytes) -> NDArray[np.bool_]:
    """Return which modules an SVG paints, quiet zone and all: each part of its path is a run."""
    root = ElementTree.fromstring(svg)
    size = int(root.attrib["width"])
    assert root.attrib["viewBox"] == f"0 0 {size} {size}"
    (path,) = root
    painted = np.zeros((size, size), dtype=int)
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", path.attrib["d"])
    assert "".join("M{} {}h{}v1h-{}z".format(*run) for run in runs) == path.attrib["d"]
    for x, y, long, back in (map(int, run) for run in runs):
        assert long == back
        painted[y, x : x + long] += 1
    assert painted.max() == 1
    return painted == 1


def symbols(text: str) -> list[NDArray[np.bool_]]:
    """Return the symbols that another encoder makes of a text, one for each mask."""
    codes = [
        segno.make(text, error="m", mode="byte", encoding="utf-8", eci=True, mask=k, micro=False,
                   boost_error=False)
        for k in range(MASKS)
    ]  # fmt: skip
    return [np.array([list(row) for row in code.matrix]) == 1 for code in codes]


def read(painted: NDArray[np.bool_]) -> zxingcpp.Barcode:
    """Return what a reader of codes sees in modules, 4 pixels each."""
    grey = np.where(np.pad(painted, 2), 0, 255).astype("u1").repeat(4, 0).repeat(4, 1)
    (found,) = zxingcpp.read_barcodes(grey, text_mode=zxingcpp.TextMode.Plain)
    return found


BYTES = st.characters(codec="utf-8", exclude_categories=["Cs"], exclude_characters="\0 $%*+-./:")
"""Letters that every encoder writes as bytes: it has no shorter way for them."""


@given(st.text(BYTES.filter(lambda x: not ("0" <= x <= "9" or "A" <= x <= "Z")), min_size=1))
@example("kübel, 木")
def test_a_code_is_what_another_encoder_makes_module_by_module(text: str) -> None:
    painted = modules(code_svg(text))
    inner = painted[QUIET:-QUIET, QUIET:-QUIET]
    assert painted.sum() == inner.sum()
    assert [np.array_equal(inner, one) for one in symbols(text)].count(True) == 1


@given(st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=200))
@example("Herb trough: A3, tray 1 front, board 1, 15-3/8 x 3-1/4 in")
@example("Kübel Nr. 3, 1¾ × 2 in, 木, 0123456789012345678901234567890")
def test_a_reader_reads_any_text_from_no_more_modules_than_another_encoder_takes(text: str) -> None:
    painted = modules(code_svg(text))
    found = read(painted)
    assert (found.text, found.ec_level) == (text, "M")
    assert len(painted) - 2 * QUIET <= len(symbols(text)[0])


@pytest.mark.parametrize("text", ["a", "ä, b"])
def test_a_module_that_is_wrong_would_be_seen(text: str) -> None:
    painted = modules(code_svg(text))[QUIET:-QUIET, QUIET:-QUIET]
    painted[10, 10] ^= True
    assert not any(np.array_equal(painted, one) for one in symbols(text))
