"""Overall sizes drawn over a picture: clean lines beside the box, in inches and centimetres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.units import shop_inches
from palewright_drawings.pictures.cameras import seen
from palewright_drawings.pictures.scene_parts import Camera
from palewright_drawings.print_fonts import Face, font_path

if TYPE_CHECKING:
    from PIL import Image, ImageDraw, ImageFont

Floats = NDArray[np.float64]

_INK = (38, 42, 46)
_PAPER = (255, 255, 255)
_FINER = 3
"""Lines are drawn so many times larger and then made smaller: smooth edges."""


@dataclass(frozen=True, eq=False)
class Span:
    """One size beside the box: from, to, and the edge of the box that it belongs to, (3,) mm."""

    what: str
    start: Floats
    end: Floats
    edge_start: Floats
    edge_end: Floats

    @property
    def size(self) -> float:
        """Millimetres."""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def text(self) -> str:
        """The size in inches and centimetres."""
        return f"{shop_inches(self.size, 16)}  ·  {self.size / 10:.1f} cm"


def overall_spans(points: Floats) -> tuple[Span, ...]:
    """Return width, depth and height over everything, for a view from the front right.

    Args:
        points: of the box, (n, 3), mm.
    """
    (x0, y0, z0), (x1, y1, z1) = points.min(axis=0), points.max(axis=0)
    off = 0.13 * float(max(x1 - x0, y1 - y0, z1 - z0))

    def at(x: float, y: float, z: float) -> Floats:
        return np.array([x, y, z])

    return (
        Span("width", at(x0, y0 - off, z0), at(x1, y0 - off, z0), at(x0, y0, z0), at(x1, y0, z0)),
        Span("depth", at(x1 + off, y0, z0), at(x1 + off, y1, z0), at(x1, y0, z0), at(x1, y1, z0)),
        Span("height", at(x0 - off, y0, z0), at(x0 - off, y0, z1), at(x0, y0, z0), at(x0, y0, z1)),
    )


def span_points(spans: tuple[Span, ...]) -> Floats:
    """Return what a camera has to see for the spans and their labels to be in the picture."""
    return np.array([end for span in spans for end in (span.start, span.end)])


def sized(pixels: NDArray[np.uint8], camera: Camera, spans: tuple[Span, ...]) -> NDArray[np.uint8]:
    """Return the picture (height, width, 3) with the spans over it."""
    from PIL import Image, ImageDraw

    height, width, _ = pixels.shape
    whole = Image.fromarray(pixels).resize((width * _FINER, height * _FINER))
    draw = ImageDraw.Draw(whole)
    unit = _FINER * min(width, height) / 1000.0
    for span in spans:
        _lines(draw, camera, span, unit)
    for span in spans:
        _label(draw, camera, span, unit, whole.size)
    small = whole.resize((width, height), Image.Resampling.LANCZOS)
    return np.asarray(small)


def _flat(camera: Camera, points: list[Floats]) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in seen(camera, np.array(points)) * _FINER]


def _lines(draw: ImageDraw.ImageDraw, camera: Camera, span: Span, unit: float) -> None:
    a, b, c, d = _flat(camera, [span.start, span.end, span.edge_start, span.edge_end])
    thin, thick = max(1, round(1.2 * unit)), max(1, round(2.6 * unit))
    draw.line([c, a], fill=_INK, width=thin)
    draw.line([d, b], fill=_INK, width=thin)
    draw.line([a, b], fill=_INK, width=thick)
    for x, y in (a, b):
        r = 5.0 * unit
        draw.ellipse([x - r, y - r, x + r, y + r], fill=_INK)


def _label(
    draw: ImageDraw.ImageDraw, camera: Camera, span: Span, unit: float, size: tuple[int, int]
) -> None:
    """Write a size on its line, kept inside the picture."""
    (ax, ay), (bx, by) = _flat(camera, [span.start, span.end])
    font = print_font("bold", 25 * unit)
    left, top, right, bottom = draw.textbbox((0, 0), span.text, font=font)
    pad = 11 * unit
    half = ((right - left) / 2 + pad, (bottom - top) / 2 + pad)
    x, y = (
        min(max((a + b) / 2, h + pad), whole - h - pad)
        for a, b, h, whole in zip((ax, ay), (bx, by), half, size, strict=True)
    )
    draw.rounded_rectangle(
        [x - half[0], y - half[1], x + half[0], y + half[1]], radius=half[1], fill=_PAPER,
        outline=_INK, width=max(1, round(1.2 * unit)),
    )  # fmt: skip
    draw.text((x, y), span.text, font=font, fill=_INK, anchor="mm")


def print_font(face: Face, size: float) -> ImageFont.FreeTypeFont:
    """Return a face of the fonts of print at so many pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_path(face)), max(6, round(size)))


def side_by_side(pictures: list[NDArray[np.uint8]], names: list[str]) -> NDArray[np.uint8]:
    """Return pictures of one height beside each other, each with its name below it."""
    from PIL import Image, ImageDraw

    height = pictures[0].shape[0]
    gap = max(2, round(0.012 * height))
    band = round(0.085 * height)
    width = sum(p.shape[1] for p in pictures) + gap * (len(pictures) - 1)
    whole: Image.Image = Image.new("RGB", (width, height + band), _PAPER)
    draw = ImageDraw.Draw(whole)
    font, x = print_font("regular", 0.042 * height), 0
    for picture, name in zip(pictures, names, strict=True):
        whole.paste(Image.fromarray(picture), (x, 0))
        middle = (x + picture.shape[1] / 2, height + band / 2)
        draw.text(middle, name, font=font, fill=_INK, anchor="mm")
        x += picture.shape[1] + gap
    return np.asarray(whole)
