"""The cover of the plan: a picture from edge to edge above the title.

A photograph or rendering where one is handed in, else the box as it is drawn, in the colours of its
wood, on a floor with its shadow.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.construction.boards import Vector
from palewright.design import Design
from palewright.geometry.polygons import Point
from palewright_drawings.documents.plan.pictures import Picture
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.svg import number
from palewright_drawings.projection.convex_bodies import Body, board_body
from palewright_drawings.projection.projections import VIEWS

HEIGHT = 0.5
"""Share of the page's height that the picture takes: judged by eye, as all that follows."""

_COLORS = {
    "blue": "#2d5d7b",
    "green": "#3d6139",
    "teal": "#1f6464",
    "plum": "#6a3f6b",
    "wine": "#7d2f3b",
    "rust": "#8f4a24",
    "brown": "#63503c",
    "slate": "#4a545e",
}
"""The maker's colours by name: dark enough that white letters stand out on each of them."""

_FILLED = 0.8
"""Share of the picture that the drawn box takes."""

_WALL, _FLOOR, _SHADOW, _INK, _STEEL = "#f6f3ed", "#e3ddd2", "#c9c1b3", "#4a3a28", "#8b8f92"

_SUN: Vector = (0.55, 0.35, -1.0)
"""The way of the light, (right, back, up): shadows fall to the right and behind."""

_DEEPER = 1.5
"""Shades are so much stronger than in the views: no letters have to be read on them."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture of the box.

    Attributes:
        content: JPEG.
        alt: what it shows, in words.
    """

    content: bytes
    alt: str


def accent_of(design: Design) -> str:
    """Return the maker's colour, ``#rrggbb``."""
    return _COLORS[design.parameters.plan.color]


def cover_picture(design: Design, width: float, height: float, photo: Photo | None) -> Picture:
    """Return the picture of the cover.

    Args:
        design: the box.
        width: mm of paper.
        height: the same.
        photo: what is shown; None: the box as drawn.
    """
    if photo is None:
        alt = view_figure(design, "corner").alt
        lines = [*_room(width, height), *_drawn(design, width, height)]
    else:
        alt, data = photo.alt, base64.b64encode(photo.content).decode("ascii")
        lines = [
            f'<image width="{number(width)}" height="{number(height)}" '
            f'preserveAspectRatio="xMidYMid slice" href="data:image/jpeg;base64,{data}"/>'
        ]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" '
        f'height="{number(height)}mm" viewBox="0 0 {number(width)} {number(height)}">'
    )
    return Picture("\n".join([head, *lines, "</svg>"]).encode(), (), width, height, alt)


def _room(width: float, height: float) -> Iterator[str]:
    """Yield wall and floor."""
    yield (
        '<linearGradient id="room" x1="0" y1="0" x2="0" y2="1">'
        f'<stop offset="0.35" stop-color="{_WALL}"/><stop offset="1" stop-color="{_FLOOR}"/>'
        "</linearGradient>"
    )
    yield f'<rect width="{number(width)}" height="{number(height)}" fill="url(#room)"/>'


def _drawn(design: Design, width: float, height: float) -> Iterator[str]:
    """Yield the box with its shadow, as large as the picture has room for."""
    figure, boards = view_figure(design, "corner"), design.box.boards
    shadow = [ring for board in boards.values() for ring in _shadows(board_body(board))]
    every = [point for ring in shadow for point in ring]
    x0, y0, x1, y1 = figure.bounds
    low = min(y0, *(y for _, y in every))
    scale = _FILLED * min(width / (x1 - x0), height / (y1 - low))
    left = width / 2 - scale * (x0 + x1) / 2
    top = height / 2 + scale * (low + y1) / 2

    def ring(points: tuple[Point, ...], end: str = "z") -> str:
        at = (f"{number(left + scale * x)} {number(top - scale * y)}" for x, y in points)
        return f"M{'L'.join(at)}{end}"

    yield f'<path fill="{_SHADOW}" d="{"".join(ring(one) for one in shadow)}"/>'
    woods = design.parameters.materials.species
    for fill in figure.fills:
        colour = _darker(woods[boards[fill.board].stock].color, _DEEPER * fill.shade)
        yield f'<path fill="{colour}" d="{ring(fill.ring)}"/>'
    lines = "".join(ring(one.points, "z" if one.closed else "") for one in figure.strokes)
    pen = f'fill="none" stroke="{_INK}" stroke-width="0.18" stroke-linejoin="round"'
    yield f'<path {pen} d="{lines}"/>'
    for one in figure.rounds:
        (x, y), r = one.centre, number(max(scale * one.radius, 0.3))
        at = f'cx="{number(left + scale * x)}" cy="{number(top - scale * y)}"'
        yield f'<circle {at} r="{r}" fill="{_STEEL}" stroke="{_INK}" stroke-width="0.12"/>'


def _shadows(body: Body) -> Iterator[tuple[Point, ...]]:
    """Yield the shadow of each face on the floor as the corner view shows it, all one way round."""
    view = VIEWS["corner"]
    for face in body.faces:
        flat = []
        for x, y, z in body.points[list(face)].tolist():
            floor = (x - z * _SUN[0] / _SUN[2], y - z * _SUN[1] / _SUN[2], 0.0)
            flat.append(view.flat(floor))
        area = sum(
            a[0] * b[1] - b[0] * a[1] for a, b in zip(flat, flat[1:] + flat[:1], strict=True)
        )
        yield tuple(flat if area > 0 else flat[::-1])


def _darker(colour: str, shade: float) -> str:
    """Return a colour so much darker, 0 to 1."""
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(one * (1 - min(shade, 0.8))):02x}" for one in parts)
