"""Overall sizes drawn over a picture: clean lines beside the box, in inches and centimetres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.units import shop_inches
from palewright_drawings.pictures.cameras import VIEWS, framed, seen
from palewright_drawings.pictures.scene_parts import Camera
from palewright_drawings.print_fonts import Face, font_path

if TYPE_CHECKING:
    from PIL import ImageDraw, ImageFont

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]

_INK = (38, 42, 46, 255)
_PAPER = (255, 255, 255, 255)
_FINER = 2
"""Lines are drawn so many times larger and then made smaller: smooth edges."""

_NEAREST, _FARTHEST, _STEP = 0.10, 1.00, 0.02
"""How far lines stand off the box, as shares of its longest side: as near as labels allow."""

_MARGINS = (0.07, 0.1, 0.13, 0.16, 0.2, 0.25, 0.3)
"""Free rims tried for the picture, as shares of its shorter side."""

_BARE = 90.0
"""So much of a line is seen beside its label, in thousandths of the picture, or the label goes."""


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
    def texts(self) -> tuple[str, str]:
        """The size in inches and in centimetres."""
        return shop_inches(self.size, 16), f"{self.size / 10:.1f} cm"


@dataclass(frozen=True, slots=True)
class Chip:
    """A label in the picture: its texts, its middle and half its size, in pixels."""

    texts: tuple[str, str]
    x: float
    y: float
    half_wide: float
    half_high: float

    @property
    def corners(self) -> Floats:
        """Its corners (4, 2), in order."""
        a, b = self.half_wide, self.half_high
        offsets = np.array([[-a, -b], [a, -b], [a, b], [-a, b]])
        return np.asarray(np.array([self.x, self.y]) + offsets)


def overall_spans(points: Floats, off: float = _NEAREST) -> tuple[Span, ...]:
    """Return width, depth and height over everything, for a view from the front right.

    Args:
        points: of the box, (n, 3), mm.
        off: how far they stand off, as a share of the longest side.
    """
    (x0, y0, z0), (x1, y1, z1) = points.min(axis=0), points.max(axis=0)
    by = off * float(max(x1 - x0, y1 - y0, z1 - z0))

    def at(x: float, y: float, z: float) -> Floats:
        return np.array([x, y, z])

    return (
        Span("width", at(x0, y0 - by, z0), at(x1, y0 - by, z0), at(x0, y0, z0), at(x1, y0, z0)),
        Span("depth", at(x1 + by, y0, z0), at(x1 + by, y1, z0), at(x1, y0, z0), at(x1, y1, z0)),
        Span("height", at(x0 - by, y0, z0), at(x0 - by, y0, z1), at(x0, y0, z0), at(x0, y0, z1)),
    )


def span_points(spans: tuple[Span, ...]) -> Floats:
    """Return what a camera has to see for the spans to be in the picture."""
    return np.array([end for span in spans for end in (span.start, span.end)])


def sized_view(points: Floats, width: int, height: int) -> tuple[Camera, tuple[Span, ...]]:
    """Return camera and spans so that all labels are in the picture and none is on the box.

    Args:
        points: of the box, (n, 3), mm.
        width, height: of the picture in pixels.
    """
    for off in np.arange(_NEAREST, _FARTHEST, _STEP):
        spans = overall_spans(points, float(off))
        whole = np.concatenate([points, span_points(spans)])
        for margin in _MARGINS:
            camera = framed(whole, VIEWS["three-quarter"], width, height, margin=margin)
            labels = chips(camera, spans)
            if all(_inside(chip, camera) for chip in labels):
                break
        if all(_clear(labels[i], camera, points, labels[:i]) for i in range(len(labels))):
            break
    return camera, spans


def chips(camera: Camera, spans: tuple[Span, ...]) -> tuple[Chip, ...]:
    """Return the label of each span: on the middle of its line, beside one that it would hide."""
    unit = min(camera.width, camera.height) / 1000.0
    first, second = _fonts(unit)
    found = []
    for span in spans:
        wide = max(first.getlength(span.texts[0]), second.getlength(span.texts[1]))
        half = np.array([wide / 2 + 16 * unit, 44 * unit])
        x, y = _label_middle(camera, span, half, unit)
        found.append(Chip(span.texts, x, y, float(half[0]), float(half[1])))
    return tuple(found)


def _label_middle(camera: Camera, span: Span, half: Floats, unit: float) -> tuple[float, float]:
    """Return where a label of half so many pixels wide and high stands."""
    ends = seen(camera, np.array([span.start, span.end]))
    edge = seen(camera, np.array([span.edge_start, span.edge_end])).mean(axis=0)
    middle, run = ends.mean(axis=0), ends[1] - ends[0]
    length = float(np.linalg.norm(run))
    way = run / max(length, 1e-9)
    hidden = 2 * float((half / np.maximum(np.abs(way), 1e-9)).min())
    if length < hidden + _BARE * unit:
        aside = np.array([-way[1], way[0]])
        aside *= 1.0 if aside @ (middle - edge) > 0 else -1.0
        middle = middle + aside * (float(np.abs(aside) @ half) + 14 * unit)
    return float(middle[0]), float(middle[1])


def _inside(chip: Chip, camera: Camera) -> bool:
    """Whether a label is in the picture, a little off its rim."""
    rim = 0.012 * min(camera.width, camera.height)
    low, high = chip.corners.min(axis=0), chip.corners.max(axis=0)
    return bool(low.min() >= rim and (high <= np.array([camera.width, camera.height]) - rim).all())


def _clear(chip: Chip, camera: Camera, points: Floats, others: tuple[Chip, ...]) -> bool:
    """Whether a label lies neither on the box nor on another label."""
    return apart(chip.corners, seen(camera, points)) and all(
        apart(chip.corners, other.corners) for other in others
    )


def apart(a: Floats, b: Floats) -> bool:
    """Whether some straight line parts the hulls of two sets of points (n, 2) in the plane.

    Tried in half degrees: sets that touch within that are not called apart.
    """
    turn = np.radians(np.arange(0.0, 360.0, 0.5))
    along = np.stack([np.cos(turn), np.sin(turn)])
    return bool(((a @ along).min(axis=0) > (b @ along).max(axis=0)).any())


def sized(pixels: Pixels, camera: Camera, spans: tuple[Span, ...]) -> Pixels:
    """Return the picture (height, width, 3) with the spans over it."""
    from PIL import Image, ImageDraw

    height, width, _ = pixels.shape
    over = Image.new("RGBA", (width * _FINER, height * _FINER), (*_PAPER[:3], 0))
    draw = ImageDraw.Draw(over)
    unit = _FINER * min(width, height) / 1000.0
    for span in spans:
        _lines(draw, camera, span, unit)
    for chip in chips(camera, spans):
        _label(draw, chip, unit)
    small = over.resize((width, height), Image.Resampling.LANCZOS)
    whole = Image.alpha_composite(Image.fromarray(pixels).convert("RGBA"), small)
    return np.asarray(whole.convert("RGB"))


def _lines(draw: ImageDraw.ImageDraw, camera: Camera, span: Span, unit: float) -> None:
    """Draw a span and what ties it to the box."""
    ends = np.array([span.start, span.end, span.edge_start, span.edge_end])
    a, b, c, d = ((float(x), float(y)) for x, y in seen(camera, ends) * _FINER)
    thin, thick = max(1, round(1.2 * unit)), max(1, round(2.6 * unit))
    draw.line([c, a], fill=_INK, width=thin)
    draw.line([d, b], fill=_INK, width=thin)
    draw.line([a, b], fill=_INK, width=thick)
    for x, y in (a, b):
        r = 5.0 * unit
        draw.ellipse([x - r, y - r, x + r, y + r], fill=_INK)


def _label(draw: ImageDraw.ImageDraw, chip: Chip, unit: float) -> None:
    """Write a size on its line: inches over centimetres."""
    x, y = chip.x * _FINER, chip.y * _FINER
    a, b = chip.half_wide * _FINER, chip.half_high * _FINER
    draw.rounded_rectangle(
        [x - a, y - b, x + a, y + b], radius=0.35 * b, fill=_PAPER,
        outline=_INK, width=max(1, round(1.2 * unit)),
    )  # fmt: skip
    for text, font, place in zip(chip.texts, _fonts(unit), (-17.0, 18.0), strict=True):
        draw.text((x, y + place * unit), text, font=font, fill=_INK, anchor="mm")


def _fonts(unit: float) -> tuple[ImageFont.FreeTypeFont, ImageFont.FreeTypeFont]:
    """Return the faces of a label's two lines; ``unit`` is a thousandth of the picture."""
    return print_font("bold", 34 * unit), print_font("regular", 29 * unit)


def print_font(face: Face, size: float) -> ImageFont.FreeTypeFont:
    """Return a face of the fonts of print at so many pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_path(face)), max(6, round(size)))
