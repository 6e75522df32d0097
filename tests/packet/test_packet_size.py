"""How large a packet will be is told before the work, and is about right."""

from __future__ import annotations

import re

import pytest

from case_lists import thorough
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.packet_size import LARGE, large_text, packet_bytes, triangles_of
from palewright_drawings.packet.writers import WRITERS, PacketRequest, usual_kinds

MANY = ("face.front=level-bars", "screws.pitch=2in", "face.bar_gap=1/2in", "face.bar_width=3/4in")
LARGEST = (
    "box.width=96in", "box.depth=96in", "box.height=72in", "face.sides=same", "face.back=same",
    *MANY,
)  # fmt: skip
SHAPES = ("step", "stl", "glb", "parts", "flat")


def box(*settings: str) -> Design:
    found = load_variant("stoop-tub", settings)
    return design(found.parameters, found.name)


@pytest.mark.parametrize(
    "settings",
    [
        (),
        thorough((("box.width=40in", "box.height=30in", "screws.pitch=2in"),)),
        thorough((("box.width=60in", "box.depth=40in", "box.height=40in", *MANY),)),
    ],
)
def test_what_is_told_is_within_a_factor_of_two(settings: tuple[str, ...]) -> None:
    """The files themselves are the oracle, kind by kind."""
    one = box(*settings)
    for kind in SHAPES:
        real = sum(len(content) for _, content in WRITERS[kind].files(PacketRequest(one), Silent()))
        assert real / 2 < packet_bytes(one, [kind]) < real * 2, kind


def test_triangles_are_counted_to_a_tenth() -> None:
    """A twentieth of the holes meet an edge or each other, or are slanted."""
    one = box("screws.pitch=2in")
    for name, board in one.box.boards.items():
        real = len(one.surfaces.own(name).faces)
        assert triangles_of(board) == pytest.approx(real, rel=0.1), name


@pytest.mark.thorough
def test_a_large_packet_is_told_and_a_usual_one_not() -> None:
    assert large_text(box(), usual_kinds()) == ""
    huge = box(*LARGEST)
    told = large_text(huge, usual_kinds())
    words = r"(\d[\d,]*) boards, (\d[\d,]*) screws, about (\d+) MB"
    boards, screws, size = (int(n.replace(",", "")) for n in re.search(words, told).groups())  # type: ignore[union-attr]
    assert (boards, screws) == (len(huge.box.boards), len(huge.box.screws))
    assert size * 1e6 == pytest.approx(packet_bytes(huge, usual_kinds()), rel=0.05)
    assert size * 1e6 > LARGE
    assert large_text(huge, ["cutlist"]) == ""
    assert len(told.splitlines()) == 1
