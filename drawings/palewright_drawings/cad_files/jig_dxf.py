"""``jigs/*.dxf`` and ``jigs/*.step``: each jig flat for the router, and as a solid.

A jig's parts lie side by side, the plate as the maker sees it with its engraved face up. Outlines
are closed and cut round the outside, guide holes are drilled, words are open strokes of single
width; inner corners are relieved for the bit.
"""

from __future__ import annotations

from collections.abc import Iterator

from palewright.design import Design
from palewright.geometry.polygons import Point
from palewright.jigs.records import Jig
from palewright_drawings.cad_files.dxf_writer import Circle, FlatDrawing, Loop, Run, sheet_bytes
from palewright_drawings.figures.jigs import engraved_strokes, flat_places
from palewright_drawings.output.progress import Progress, Silent

LAYERS = {"JIG_CUT": 7, "JIG_DRILL": 1, "JIG_ENGRAVE": 5}
"""Layers by name, one an operation, each with its colour number."""

_SAME = 4
"""Decimals (mm) of coordinates, so that noise of floats never shows in a file."""


def jig_files(design: Design, progress: Progress | None = None) -> Iterator[tuple[str, bytes]]:
    """Yield (path, content) of the files of each jig: DXF R2010, then STEP."""
    from palewright_drawings.cad_files.jig_step import jig_step

    progress = progress or Silent()
    jigs = design.jigs.jigs
    progress.begin("jigs", 2 * len(jigs))
    for jig in jigs:
        yield f"{jig.name}.dxf", jig_dxf(design, jig)
        progress.advance()
        yield f"{jig.name}.step", jig_step(jig)
        progress.advance()


def jig_dxf(design: Design, jig: Jig) -> bytes:
    """Return a jig flat as DXF, in inches or mm as the variant says."""
    sheet = jig_sheet(jig, design.parameters.saw.tool)
    return sheet_bytes(sheet, design.parameters.product.units)


def jig_sheet(jig: Jig, tool: float) -> FlatDrawing:
    """Return the drawing of a jig's parts side by side, mm, with room for the bit between."""
    loops: list[Loop] = []
    circles: list[Circle] = []
    runs: list[Run] = []
    for part, shift in zip(jig.parts, flat_places(jig, tool), strict=True):
        corners = tuple(_moved((x, y), shift) for x, y, _ in part.contour)
        bulges = tuple(bulge for _, _, bulge in part.contour)
        loops.append(Loop("JIG_CUT", corners, bulges if any(bulges) else ()))
        circles += [
            Circle("JIG_DRILL", _moved(drill.centre, shift), round(drill.diameter / 2, _SAME))
            for drill in part.drills
        ]
        runs += [
            Run("JIG_ENGRAVE", tuple(_moved(point, shift) for point in stroke))
            for stroke in engraved_strokes(part)
        ]
    return FlatDrawing(LAYERS, tuple(loops), tuple(circles), runs=tuple(runs))


def _moved(point: Point, by: Point) -> Point:
    """Return a point moved, to 0.1 µm, without negative zeros."""
    return round(point[0] + by[0], _SAME) + 0.0, round(point[1] + by[1], _SAME) + 0.0
