"""Flat drawings as data, and the DXF that is written of them.

A sheet holds closed loops, circles, lines and texts on named layers, all in mm. The writer only
translates: R2010, units in the header, the same bytes for the same sheet.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from palewright.geometry.polygons import Point, bounds
from palewright.reading.lengths import INCH
from palewright_drawings.cad_files.dxf_dimensions import Marking, Size, draw_sizes, plain_text
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed outline on a layer; corners in mm, none repeated.

    ``bulges`` are those of the ways from each corner to the next, empty where all are straight:
    the tangent of a quarter of an arc's angle, positive where it turns left.
    """

    layer: str
    corners: tuple[Point, ...]
    bulges: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """An open line through points on a layer, mm."""

    layer: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle on a layer; centre and radius in mm."""

    layer: str
    centre: Point
    radius: float


@dataclass(frozen=True, slots=True)
class DxfLine:
    """A straight line on a layer; ends in mm."""

    layer: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text: where its ``left`` or ``right`` end or ``centre`` stands (mm), its height."""

    layer: str
    text: str
    place: Point
    height: float
    align: str


@dataclass(frozen=True, slots=True)
class PaperSheet:
    """A page on which a drawing is seen through a window: a layout in paper space, mm of paper.

    Attributes:
        width, height: of the paper.
        marks: frame and words, mm from the upper left corner.
        window: left, top, right and bottom of what shows the drawing, mm from there.
        middle: what stands in the window's middle, mm of the model.
        scale: mm of paper for one mm of the model.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]
    window: tuple[float, float, float, float]
    middle: Point
    scale: float


@dataclass(frozen=True, slots=True)
class FlatDrawing:
    """A flat drawing as data.

    Attributes:
        layers: layers by name, one an operation, each with its colour number.
        loops, circles, lines, texts, runs: what is drawn, mm.
        dashes: dash, gap, dash … (mm) of the layers whose lines are broken; a dot is 0 long.
        widths: line width (mm) of the layers that have one.
        sizes: real dimensions; none where ``marking`` is None.
        marking: how dimensions look.
        page: what is printed; None where nothing is.
    """

    layers: Mapping[str, int]
    loops: tuple[Loop, ...]
    circles: tuple[Circle, ...] = ()
    lines: tuple[DxfLine, ...] = ()
    texts: tuple[Text, ...] = ()
    runs: tuple[Run, ...] = ()
    dashes: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    widths: Mapping[str, float] = field(default_factory=dict)
    sizes: tuple[Size, ...] = ()
    marking: Marking | None = None
    page: PaperSheet | None = None


def sheet_bytes(sheet: FlatDrawing, system: str) -> bytes:
    """Return a sheet as DXF R2010, UTF-8, in inches or mm as ``system`` says."""
    with _fixed_metadata():
        document = _document(sheet, system)
        scale = 1 / INCH if system == "inch" else 1.0
        _draw(document.modelspace(), sheet, scale)
        if sheet.marking is not None:
            draw_sizes(document, sheet.sizes, sheet.marking, scale)
        if sheet.page is not None:
            draw_page(document, sheet.page, scale)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue().encode("utf-8")


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """Let ezdxf write fixed times and identifiers for a while: its switch is process-wide."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _document(sheet: FlatDrawing, system: str) -> Drawing:
    """Return an empty DXF with units, extents and layers."""
    import ezdxf

    document = ezdxf.new("R2010", units=1 if system == "inch" else 4)
    document.header["$MEASUREMENT"] = 0 if system == "inch" else 1
    scale = 1 / INCH if system == "inch" else 1.0
    x0, y0, x1, y1 = (edge * scale for edge in drawn_bounds(sheet))
    document.modelspace().reset_extents((x0, y0, 0.0), (x1, y1, 0.0))
    document.modelspace().reset_limits((x0, y0), (x1, y1))
    # ezdxf copies these from the layout, but takes a corner at the origin for none
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
    document.header["$LIMMIN"], document.header["$LIMMAX"] = (x0, y0), (x1, y1)
    for name, colour in sheet.layers.items():
        layer = document.layers.add(name, color=colour)
        if name in sheet.dashes:
            steps = [step * scale for step in sheet.dashes[name]]
            signed = [step if i % 2 == 0 else -step for i, step in enumerate(steps)]
            told = f"{name.replace('_', ' ').lower()} lines"
            document.linetypes.add(f"{name}_LINE", [sum(steps), *signed], description=told)
            layer.dxf.linetype = f"{name}_LINE"
        if name in sheet.widths:
            layer.dxf.lineweight = round(sheet.widths[name] * 100)
    # ezdxf adds its classes out of a set, in the order of the process's hash seed
    document.classes.add_required_classes(document.dxfversion)
    kept = sorted(document.classes.classes.items())
    document.classes.classes.clear()
    document.classes.classes.update(kept)
    return document


def drawn_bounds(sheet: FlatDrawing) -> tuple[float, float, float, float]:
    """Return the least and greatest x and y of all that is drawn, captions with it, mm.

    No letter is taken to be wider than it is high, which holds for plain drawing fonts.
    """
    points = [corner for loop in sheet.loops for corner in loop.corners]
    for circle in sheet.circles:
        x, y = circle.centre
        points += [(x - circle.radius, y - circle.radius), (x + circle.radius, y + circle.radius)]
    for line in sheet.lines:
        points += [line.start, line.end]
    for text in sheet.texts:
        x, y = text.place
        long = text.height * len(text.text)
        before = {"left": 0.0, "centre": 0.5, "right": 1.0}[text.align] * long
        points += [(x - before, y - text.height), (x - before + long, y + text.height)]
    return bounds(tuple(points))


def _draw(space: Modelspace, sheet: FlatDrawing, scale: float) -> None:
    """Draw a sheet, its mm times ``scale``."""
    from ezdxf.enums import TextEntityAlignment

    aligns = {
        "left": TextEntityAlignment.MIDDLE_LEFT,
        "right": TextEntityAlignment.MIDDLE_RIGHT,
        "centre": TextEntityAlignment.MIDDLE_CENTER,
    }
    # what comes later is drawn above: outlines cover the ends of hatching
    for line in sheet.lines:
        start, end = ((x * scale, y * scale) for x, y in (line.start, line.end))
        space.add_line(start, end, dxfattribs={"layer": line.layer})
    for loop in sheet.loops:
        bulges = loop.bulges or (0.0,) * len(loop.corners)
        corners = [
            (x * scale, y * scale, b) for (x, y), b in zip(loop.corners, bulges, strict=True)
        ]
        space.add_lwpolyline(corners, "xyb", close=True, dxfattribs={"layer": loop.layer})
    for run in sheet.runs:
        points = [(x * scale, y * scale) for x, y in run.points]
        space.add_lwpolyline(points, dxfattribs={"layer": run.layer})
    for circle in sheet.circles:
        x, y = circle.centre
        space.add_circle(
            (x * scale, y * scale), circle.radius * scale, dxfattribs={"layer": circle.layer}
        )
    for text in sheet.texts:
        entity = space.add_text(
            text.text, height=text.height * scale, dxfattribs={"layer": text.layer}
        )
        x, y = text.place
        entity.set_placement((x * scale, y * scale), align=aligns[text.align])


PAGE_LAYERS = ("PAGE", "PAGE_WINDOW")
"""Where frame and words of a page stand, and the window, whose edge is not printed."""


def draw_page(document: Drawing, page: PaperSheet, scale: float) -> None:
    """Add a layout in paper space that shows the drawing at its scale.

    Args:
        document: an ezdxf drawing, its model drawn.
        page: what is printed.
        scale: units of the file for one mm of the model.
    """
    document.layers.add(PAGE_LAYERS[0], color=7)
    document.layers.add(PAGE_LAYERS[1], color=8).dxf.plot = 0
    space = document.layouts.get("Layout1")
    space.page_setup(size=(page.width, page.height), margins=(0, 0, 0, 0), units="mm")
    document.layouts.rename("Layout1", "SHEET")
    x0, y0, x1, y1 = page.window
    space.add_viewport(
        center=((x0 + x1) / 2, page.height - (y0 + y1) / 2),
        size=(x1 - x0, y1 - y0),
        view_center_point=(page.middle[0] * scale, page.middle[1] * scale),
        view_height=(y1 - y0) / page.scale * scale,
        dxfattribs={"layer": PAGE_LAYERS[1]},
    )
    on = {"layer": PAGE_LAYERS[0]}
    for mark in page.marks:
        if isinstance(mark, PathMark):
            for run in mark.runs:
                points = [(x, page.height - y) for x, y in run]
                attributes = {**on, "lineweight": round(mark.width * 100)}
                space.add_lwpolyline(points, close=mark.closed, dxfattribs=attributes)
        elif isinstance(mark, RoundMark):
            x, y = mark.centre
            space.add_circle((x, page.height - y), mark.radius, dxfattribs=on)
        else:
            x, y = mark.start
            entity = space.add_text(plain_text(mark.text), height=mark.capitals, dxfattribs=on)
            entity.set_placement((x, page.height - y))
