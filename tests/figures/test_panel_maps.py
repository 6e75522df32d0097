"""The map of a panel: every screw once, at the distance that the solid has, as a tape reads it."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from case_lists import KINDS, mostly_thorough
from palewright.assembly.assembly_steps import panel_kinds
from palewright.construction.joints import Screw
from palewright.design import Design
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.lengths import INCH, read_length, tape_text
from palewright_drawings.figures.panel_maps import apart, mapped_screws, screw_map
from palewright_drawings.figures.panels import panel_figures
from shipped_designs import shipped

VARIANTS = mostly_thorough(shipped_variants(), *KINDS)

LEFT = {"front": (0, -1), "back": (0, 1), "left": (1, 1), "right": (1, -1)}
"""Axis along each panel, and which way it runs to the right of who looks at it from inside."""


def sinks(name: str, panel: str) -> list[tuple[float, float, float]]:
    """Where the countersinks of a panel's boards are in the kernel's solids, on their outer rim."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    of = shipped(name)
    found = []
    for board in of.box.boards.values():
        if board.panel != panel:
            continue
        for face in of.solids.placed(board.name).Faces():
            if face.geomType() == "CONE":
                at = BRepAdaptor_Surface(face.wrapped).Cone().Axis().Location()
                found.append((at.X(), at.Y(), at.Z()))
    return found


@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate"])
def test_every_distance_is_the_solids(name: str) -> None:
    of = shipped(name)
    for panel, *_ in panel_kinds(of.box):
        axis, way = LEFT[panel]
        corners = [c for b in of.box.boards.values() if b.panel == panel for c in b.corners]
        edge = min(way * corner[axis] for corner in corners)
        foot = min(corner[2] for corner in corners)
        told = {(round(s.across, 3), round(s.up, 3)) for s in mapped_screws(of, panel)}
        cut = {
            (round(way * at[axis] - edge, 3), round(at[2] - foot, 3)) for at in sinks(name, panel)
        }
        assert told and told <= cut
        driven = [s for s in of.box.screws if all(b.startswith(f"{panel}.") for b in s.stack)]
        assert len(told) == sum(s.use in ("wall", "cleat") for s in driven)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_screw_is_on_the_map_and_its_distances_are_printed(name: str) -> None:
    of, system = shipped(name), shipped(name).parameters.product.units
    unit = "in" if system == "inch" else "mm"
    for panel, *_ in panel_kinds(of.box):
        screws = mapped_screws(of, panel)
        figure = screw_map(panel_figures(of, panel)[1].at(0.25), screws, 0.25, system)
        for angle, places in ((90.0, [s.across for s in screws]), (0.0, [s.up for s in screws])):
            texts = [x.text for x in figure.labels if not x.ringed and x.angle == angle]
            printed = [
                read_length(f"{text.removesuffix(' full').removesuffix(' bare')} {unit}")
                for text in texts
            ]
            step = INCH / 16 if system == "inch" else 1.0
            assert len(printed) == len({round(place, 2) for place in places})
            assert all(min(abs(one - at) for one in printed) <= step / 2 + 0.01 for at in places)


LEAST_EDGE, LEAST_END = 1.5, 3.0
"""Diameters that a screw keeps from edges and ends of boards: what `SHARES` says of itself."""


def room(of: Design, screw: Screw, axis: int) -> tuple[float, float]:
    """Between what places along an axis a screw may stand in all its boards, mm."""
    found = []
    for board in (of.box.boards[name] for name in screw.stack):
        along = abs(board.placement.grain[axis]) > 0.5
        keep = (LEAST_END if along else LEAST_EDGE) * screw.kind.diameter
        places = [corner[axis] for corner in board.corners]
        found.append((min(places) + keep, max(places) - keep))
    return max(low for low, _ in found), min(high for _, high in found)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), *KINDS, "picket-tub"))
def test_places_that_are_free_are_on_the_tape(name: str) -> None:
    """From the nearer edge all screws of staves stand at eighths, a few of slanted boards at 16ths.

    From the other edge they do too where the panel's own size is on the tape. Only where the wood
    that two boards share holds no line at all, as in a slim lap, one way is off.
    """
    of = shipped(name)
    step = INCH / 8 if of.parameters.product.units == "inch" else 1.0
    off = every = 0
    for panel, *_ in panel_kinds(of.box):
        boards = [b for b in of.box.boards.values() if b.panel == panel]
        axis, way = LEFT[panel]
        spans = [
            (min(way * c[axis] for b in boards for c in b.corners),
             max(way * c[axis] for b in boards for c in b.corners)),
            (min(c[2] for b in boards if b.role == "rail" for c in b.corners),
             max(c[2] for b in boards for c in b.corners)),
        ]  # fmt: skip
        for screw in (s.screw for s in mapped_screws(of, panel)):
            every += 1
            slanted = of.box.boards[screw.stack[-1]].role == "brace"
            for along, (low, high) in zip((axis, 2), spans, strict=True):
                turn = way if along == axis else 1
                at = turn * screw.head[along]
                away = min(at - low, high - at)
                if abs(2 * at - low - high) < 1e-3:
                    continue  # the middle
                lines = [abs(away / fine - round(away / fine)) < 1e-3 for fine in (step, step / 2)]
                if not slanted and not any(lines):
                    ends = sorted(turn * place for place in room(of, screw, along))
                    least, most = (
                        sorted(min(end - low, high - end) for end in ends) if ends[0] < ends[1]
                        else (away, away)
                    )  # fmt: skip
                    half = step / 2
                    assert math.floor(most / half + 1e-6) < math.ceil(least / half - 1e-6), (
                        screw.name, away)  # fmt: skip
                    continue
                off += not lines[0]
    assert off <= 0.2 * every


def test_a_tape_says_full_or_bare_and_never_a_32nd() -> None:
    assert tape_text(2.125 * INCH, "inch") == "2-1/8 in"
    assert tape_text((10 + 15 / 32) * INCH, "inch") == "10-1/2 in bare"
    assert tape_text((10 + 7 / 16 + 1 / 50) * INCH, "inch") == "10-7/16 in full"
    assert tape_text(150.2, "metric") == "150 mm"
    assert tape_text(353.6, "metric") == "354 mm bare"
    for n in range(300):
        told = re.search(r"/(\d+)", tape_text(n * 0.777, "inch"))
        assert told is None or int(told[1]) in (2, 4, 8, 16)


def test_distances_stand_apart_and_in_order() -> None:
    assert apart([1.0, 5.0, 9.0], 2.0) == [1.0, 5.0, 9.0]
    assert apart([4.0, 4.0, 4.0], 2.0) == pytest.approx([2.0, 4.0, 6.0])
    placed = apart([0.0, 0.1, 0.2, 3.0, 3.1, 9.0], 1.0)
    assert all(b - a >= 1.0 - 1e-9 for a, b in pairwise(placed))
    assert placed[-1] == 9.0
