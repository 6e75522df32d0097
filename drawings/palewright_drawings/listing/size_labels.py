"""Overall sizes of a box as lines beside it, and their labels in a picture: in inches and cm.

Letters and gaps are thousandths of the picture's shorter side, judged by eye.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from palewright.geometry.arrays import Floats
from palewright.reading.lengths import centimetres, shop_inches
from palewright_drawings.paper.text_metrics import Face, font_path
from palewright_drawings.rendering.scene.scene import Camera
from palewright_drawings.rendering.tracer.cameras import VIEWS, seen

if TYPE_CHECKING:
    from PIL import ImageFont

LabelPlace = Literal["on", "aside", "beyond"]
LabelSide = Literal["left", "right"]

VIEW = VIEWS["three-quarter"]
"""Sizes stand for a view from the front right and above."""

_SAME = 0.01
"""Points are at one extreme within so much, mm."""

_BARE = 90.0
"""So much of a line is seen beside its label, in thousandths of the picture, or the label goes."""


@dataclass(frozen=True, eq=False)
class SizeSpan:
    """One size beside the box.

    Attributes:
        what: width, depth or height.
        start, end: of its line, (3,) mm.
        edge_start, edge_end: the corners of boards that it is measured between, (3,) mm.
        label: where its label stands: on the line, aside of it, or beyond its end that is
            further from the other sizes.
        system: ``inch`` or ``metric``: the unit that its label says first.
    """

    what: str
    start: Floats
    end: Floats
    edge_start: Floats
    edge_end: Floats
    label: LabelPlace = "on"
    system: str = "inch"

    @property
    def size(self) -> float:
        """Millimetres."""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def texts(self) -> tuple[str, str]:
        """The size in inches and in centimetres, the box's own unit first."""
        inches, metric = shop_inches(self.size, 16), centimetres(self.size)
        return (inches, metric) if self.system == "inch" else (metric, inches)


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


def overall_spans(
    points: Floats,
    down: float,
    aside: float,
    side: LabelSide = "left",
    labels: tuple[LabelPlace, LabelPlace, LabelPlace] = ("on", "on", "on"),
) -> tuple[SizeSpan, ...]:
    """Return width, depth and height over everything, each from corners that reach so far.

    Width and depth stand plumb below the corners that they are measured between; the height stands
    beside them, where both lines to it run one way.

    Args:
        points: corners of the box's boards, (n, 3), mm.
        down: how far width and depth stand below the box, mm.
        aside: how far the height stands off it, mm.
        side: of the box, as it is seen, where the height stands.
        labels: where the labels of width, depth and height stand.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    below = float(low[2]) - down
    left = _corner(points, 0, low[0], (0.0, 1.0, 1e-3))
    right = _corner(points, 0, high[0], (0.0, 1.0, 1e-3))
    near, far = min(left[1], right[1]), below
    width = SizeSpan("width", np.array([low[0], near, far]), np.array([high[0], near, far]),
                 left, right, labels[0])  # fmt: skip
    front = _corner(points, 1, low[1], (-1.0, 0.0, 1e-3))
    back = _corner(points, 1, high[1], (-1.0, 0.0, 1e-3))
    over = max(front[0], back[0])
    depth = SizeSpan("depth", np.array([over, low[1], below]), np.array([over, high[1], below]),
                 front, back, labels[1])  # fmt: skip
    return width, depth, _height(points, aside, side, labels[2])


def _height(points: Floats, aside: float, side: LabelSide, label: LabelPlace) -> SizeSpan:
    """Return the height, off the box in the plane of the two corners that it is between."""
    low, high = points[:, 2].min(), points[:, 2].max()
    across = np.array([-VIEW[1], VIEW[0], 0.0]) / np.hypot(VIEW[0], VIEW[1])
    if side == "left":
        across = -across
    foot, top = (_corner(points, 2, level, tuple(-across)) for level in (low, high))
    way = (foot - top) * [1.0, 1.0, 0.0]
    length = float(np.linalg.norm(way))
    way = way / length if length > 1.0 else across
    way = way * (1.0 if way @ across >= 0 else -1.0)
    if way @ across < 0.6:  # it would stand before the box, or behind it
        way = across
    # aside of all boards, so that the line is seen on none
    off = (points @ across).max() + aside - foot @ across
    stand = foot + off / (way @ across) * way
    start, end = (np.array([stand[0], stand[1], level]) for level in (low, high))
    return SizeSpan("height", start, end, foot, top, label)


def _corner(points: Floats, axis: int, level: float, towards: tuple[float, float, float]) -> Floats:
    """Return the point at an extreme along an axis at which ``towards`` is least."""
    there = points[np.abs(points[:, axis] - level) < _SAME]
    return np.asarray(there[np.argmin(there @ np.asarray(towards))])


def span_points(spans: tuple[SizeSpan, ...]) -> Floats:
    """Return what a camera has to see for the spans to be in the picture."""
    return np.array([end for span in spans for end in (span.start, span.end)])


def is_long(camera: Camera, span: SizeSpan) -> bool:
    """Whether enough of a span is seen beside a label on it."""
    start, end = seen(camera, np.array([span.start, span.end]))
    unit, run = min(camera.width, camera.height) / 1000.0, end - start
    length = float(np.linalg.norm(run))
    way = np.abs(run) / max(length, 1e-9)
    half = _half_size(span.texts, unit)
    hidden = 2 * float((half / np.maximum(way, 1e-9)).min())
    return length >= hidden + _BARE * unit


def chips(camera: Camera, spans: tuple[SizeSpan, ...]) -> tuple[Chip, ...]:
    """Return the label of each span."""
    unit = min(camera.width, camera.height) / 1000.0
    found = []
    for span in spans:
        half = _half_size(span.texts, unit)
        x, y = _label_middle(camera, span, half, unit)
        found.append(Chip(span.texts, x, y, float(half[0]), float(half[1])))
    return tuple(found)


def _half_size(texts: tuple[str, str], unit: float) -> Floats:
    """Return half the width and half the height of a label, pixels."""
    return np.array([_widest(texts, unit) / 2 + 16 * unit, 44 * unit])


@lru_cache(maxsize=256)
def _widest(texts: tuple[str, str], unit: float) -> float:
    """Return the width of the longer of two lines, pixels."""
    return max(font.getlength(text) for font, text in zip(fonts(unit), texts, strict=True))


def _label_middle(camera: Camera, span: SizeSpan, half: Floats, unit: float) -> tuple[float, float]:
    """Return where a label of half so many pixels wide and high stands."""
    ends = seen(camera, np.array([span.start, span.end]))
    edge = seen(camera, np.array([span.edge_start, span.edge_end])).mean(axis=0)
    middle, run = ends.mean(axis=0), ends[1] - ends[0]
    way = run / max(float(np.linalg.norm(run)), 1e-9)
    if span.label == "aside":
        out = np.array([-way[1], way[0]])
        out *= 1.0 if out @ (middle - edge) > 0 else -1.0
        middle = middle + out * (float(np.abs(out) @ half) + 14 * unit)
    elif span.label == "beyond":
        end, way = (ends[0], -way) if span.what == "width" else (ends[1], way)
        middle = end + way * (float((half / np.maximum(np.abs(way), 1e-9)).min()) + 20 * unit)
    return float(middle[0]), float(middle[1])


def apart(a: Floats, b: Floats) -> bool:
    """Whether some straight line parts the hulls of two sets of points (n, 2) in the plane.

    Tried in half degrees: sets that touch within that are not called apart.
    """
    turn = np.radians(np.arange(0.0, 360.0, 0.5))
    along = np.stack([np.cos(turn), np.sin(turn)])
    return bool(((a @ along).min(axis=0) > (b @ along).max(axis=0)).any())


def fonts(unit: float) -> tuple[ImageFont.FreeTypeFont, ImageFont.FreeTypeFont]:
    """Return the faces of a label's two lines; ``unit`` is a thousandth of the picture."""
    return print_font("bold", 34 * unit), print_font("regular", 29 * unit)


@cache
def print_font(face: Face, size: float) -> ImageFont.FreeTypeFont:
    """Return a face of the fonts of print at so many pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_path(face)), max(6, round(size)))
