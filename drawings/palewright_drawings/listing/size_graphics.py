"""Overall sizes drawn over a picture: clean lines beside the box, in inches and centimetres.

Lines are thousandths of the picture's shorter side broad, judged by eye.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from palewright.geometry.arrays import Bytes, Floats
from palewright_drawings.listing.size_labels import Chip, SizeSpan, chips, fonts
from palewright_drawings.rendering.scene.scene import Camera
from palewright_drawings.rendering.tracer.cameras import seen

if TYPE_CHECKING:
    from PIL import ImageDraw


_INK = (38, 42, 46, 255)
"""Red, green, blue, opacity of lines and letters."""

_PAPER = (255, 255, 255, 255)
"""The same of what letters stand on."""

_FINER = 2
"""Lines are drawn so many times larger and then made smaller: smooth edges."""

GAP, _PAST = 6.0, 12.0
"""Lines to a size begin so far off the corner that it is measured from and end so far past the
size's own line, in thousandths of the picture: as in drawings of the trade."""


def sized(pixels: Bytes, camera: Camera, spans: tuple[SizeSpan, ...]) -> Bytes:
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


def helper_lines(camera: Camera, span: SizeSpan) -> Floats:
    """Return from where to where the lines that tie a span to the box run: (2, 2, 2) pixels."""
    unit = min(camera.width, camera.height) / 1000.0
    corners = seen(camera, np.array([span.edge_start, span.edge_end]))
    ends = seen(camera, np.array([span.start, span.end]))
    run = ends - corners
    way = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-9)
    return np.stack([corners + GAP * unit * way, ends + _PAST * unit * way], axis=1)


def _lines(draw: ImageDraw.ImageDraw, camera: Camera, span: SizeSpan, unit: float) -> None:
    """Draw a span and what ties it to the box."""
    thin, thick = max(1, round(1.2 * unit)), max(1, round(2.6 * unit))
    for start, end in helper_lines(camera, span) * _FINER:
        draw.line([*map(float, (*start, *end))], fill=_INK, width=thin)
    a, b = seen(camera, np.array([span.start, span.end])) * _FINER
    draw.line([*map(float, (*a, *b))], fill=_INK, width=thick)
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
    for text, font, place in zip(chip.texts, fonts(unit), (-17.0, 18.0), strict=True):
        draw.text((x, y + place * unit), text, font=font, fill=_INK, anchor="mm")
