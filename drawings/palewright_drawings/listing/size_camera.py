"""From where a box is seen with its sizes beside it, so that it is as large as labels allow."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.listing.size_labels import (
    VIEW,
    Chip,
    LabelPlace,
    LabelSide,
    SizeSpan,
    apart,
    chips,
    is_long,
    overall_spans,
    span_points,
)
from palewright_drawings.rendering.scene.scene import Camera
from palewright_drawings.rendering.tracer.cameras import axes, framed, seen

SizeView = tuple[Camera, tuple[SizeSpan, ...]]

_NEAREST, _WIDER, _TRIES = 0.05, 1.3, 14
"""Lines stand off the box by such a share of its longest side, and so many times more, so often,
until no label is on the box."""

_MARGINS = (0.045, 0.06, 0.08, 0.12, 0.18, 0.26)
"""Free rims tried, as shares of the shorter side."""

_SIDES: tuple[LabelSide, ...] = ("left", "right")
_PLACES: tuple[LabelPlace, ...] = ("on", "aside", "beyond")
_FLATS: tuple[tuple[LabelPlace, ...], ...] = (("on", "aside"), ("beyond",))
"""Where labels of width and depth stand: beyond their lines only where there is no other room."""

_ROUNDS = 3
"""Labels keep their size in pixels, so where the camera stands and where they stand is settled in
turns."""


def sized_view(points: Floats, width: int, height: int, system: str = "inch") -> SizeView:
    """Return camera and spans so that all labels are in the picture and none is on the box.

    Of all ways to set the sizes the one is taken that shows the box largest.

    Args:
        points: corners of the box's boards, (n, 3), mm.
        width: of the picture, pixels.
        height: of the picture, pixels.
        system: ``inch`` or ``metric``: the unit that a label says first.
    """
    found = []
    for flats in _FLATS:
        ways = product(_SIDES, flats, _PLACES)
        found += [_tried(points, (width, height), side, (flat, flat, tall), system)
                  for side, flat, tall in ways]  # fmt: skip
        if any(whole for whole, _, _ in found):
            break
    return max(found, key=lambda one: one[:2])[2]


def _tried(
    points: Floats,
    shape: tuple[int, int],
    side: LabelSide,
    labels: tuple[LabelPlace, LabelPlace, LabelPlace],
    system: str,
) -> tuple[bool, float, SizeView]:
    """Return whether sizes set so are clear of all, how large the box is then, and the view."""
    least = _NEAREST * float(np.ptp(points, axis=0).max())
    down = aside = least
    for _ in range(_TRIES):
        camera, spans = _settled(points, shape, (down, aside), side, labels, system)
        marks = chips(camera, spans)
        clear = [_clear(i, marks, camera, points) for i in range(len(marks))]
        if all(clear):
            break
        down *= 1.0 if clear[0] and clear[1] else _WIDER
        aside *= 1.0 if clear[2] else _WIDER
    whole = all(clear) and all(_inside(chip, camera) for chip in marks)
    share = float((np.ptp(seen(camera, points), axis=0) / shape).max())
    return whole, share, (camera, spans)


def _settled(
    points: Floats,
    shape: tuple[int, int],
    off: tuple[float, float],
    side: LabelSide,
    labels: tuple[LabelPlace, LabelPlace, LabelPlace],
    system: str,
) -> SizeView:
    """Return the nearest camera that has box, lines and labels in the picture."""
    spans = tuple(
        replace(span, system=system) for span in overall_spans(points, *off, side, labels)
    )
    bare = np.concatenate([points, span_points(spans)])
    for margin in _MARGINS:
        camera, held = framed(bare, VIEW, *shape, margin=margin), spans
        for _ in range(_ROUNDS):
            # a label on a line that is too short would hide it
            held = tuple(_moved_off(camera, span) for span in spans)
            beside = _label_points(camera, held)
            camera = framed(np.concatenate([bare, beside]), VIEW, *shape, margin=margin)
        if all(_inside(chip, camera) for chip in chips(camera, held)):
            break
    return camera, held


def _moved_off(camera: Camera, span: SizeSpan) -> SizeSpan:
    """Return a span with its label aside if its line is too short for one."""
    if span.label != "on" or is_long(camera, span):
        return span
    return replace(span, label="aside")


def _label_points(camera: Camera, spans: tuple[SizeSpan, ...]) -> Floats:
    """Return points (n, 3), mm, as deep in the picture as each span, at its label's corners."""
    right, up, back = axes(camera)
    scale = 2 * np.tan(np.radians(camera.angle / 2)) / max(camera.width, camera.height)
    found = []
    for span, chip in zip(spans, chips(camera, spans), strict=True):
        middle = (span.start + span.end) / 2
        off = (chip.corners - seen(camera, middle[None])[0]) * scale
        off *= float((np.asarray(camera.at) - middle) @ back)
        found.append(middle + off[:, :1] * right - off[:, 1:] * up)
    return np.concatenate(found)


def _inside(chip: Chip, camera: Camera) -> bool:
    """Whether a label is in the picture, a little off its rim."""
    rim = 0.012 * min(camera.width, camera.height)
    low, high = chip.corners.min(axis=0), chip.corners.max(axis=0)
    return bool(low.min() >= rim and (high <= np.array([camera.width, camera.height]) - rim).all())


def _clear(i: int, marks: tuple[Chip, ...], camera: Camera, points: Floats) -> bool:
    """Whether a label lies neither on the box nor on one before it."""
    return apart(marks[i].corners, seen(camera, points)) and all(
        apart(marks[i].corners, other.corners) for other in marks[:i]
    )
