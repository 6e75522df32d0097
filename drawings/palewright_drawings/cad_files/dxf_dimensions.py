"""Dimensions as data, and the DIMENSION entities that are drawn of them.

Every text is written out by us, because fractions come out rounded otherwise; a reader that
measures for itself finds the same size between the points.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from palewright.geometry.polygons import Point

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_STYLE = "SHOP_SIZES"
_BY_LAYER = 256
"""The colour number that means: as the layer says (DXF, group code 62)."""


@dataclass(frozen=True, slots=True)
class Size:
    """One dimension, mm.

    Attributes:
        kind: ``level`` and ``upright`` measure along one axis, ``aslant`` straight between two
            points, ``angle`` anticlockwise from the first ray to the second.
        points: what is measured; of an angle the corner, then a point on each ray.
        through: a point on the dimension line or on the arc.
        place: middle of the text.
        text: as printed.
    """

    kind: Literal["level", "upright", "aslant", "angle"]
    points: tuple[Point, ...]
    through: Point
    place: Point
    text: str


@dataclass(frozen=True, slots=True)
class Marking:
    """How dimensions look, mm of the model: height of letters, ends of lines, extension lines.

    ``layer`` is where they stand, ``stroke`` the size of the oblique strokes at the ends,
    ``arrow`` the length of an angle's arrows, ``gap`` and ``overshoot`` those of extension lines.
    """

    layer: str
    text: float
    stroke: float
    arrow: float
    gap: float
    overshoot: float


def draw_sizes(document: Drawing, sizes: Iterable[Size], marking: Marking, scale: float) -> None:
    """Draw dimensions in a document's model space.

    Args:
        document: an ezdxf drawing.
        sizes: what to draw.
        marking: how it looks.
        scale: units of the file for one mm.
    """
    _add_styles(document, marking, scale)
    space = document.modelspace()
    attributes = {"layer": marking.layer}
    for size in sizes:
        points = [_scaled(point, scale) for point in size.points]
        through, place = _scaled(size.through, scale), _scaled(size.place, scale)
        # what they measure is an edge itself: extension lines along it would print over it
        bare = {"dimse1": 1, "dimse2": 1} if size.kind in ("angle", "aslant") else {}
        if size.kind == "angle":
            made = space.add_angular_dim_3p(
                through,
                *points,
                location=place,
                text=plain_text(size.text),
                text_rotation=0.0,
                dimstyle=f"{_STYLE}_ANGLE",
                override=bare,
                dxfattribs=attributes,
            )
        else:
            made = space.add_linear_dim(
                through,
                *points,
                location=place,
                text=plain_text(size.text),
                angle=_direction(size),
                text_rotation=0.0 if size.kind == "aslant" else None,
                dimstyle=_STYLE,
                override=bare,
                dxfattribs=attributes,
            )
        made.render()
        for entity in made.dimension.get_geometry_block() or ():
            if entity.dxf.layer == "0":
                entity.dxf.layer = marking.layer


def _direction(size: Size) -> float:
    """Return the direction in which a length is measured, degrees from level."""
    if size.kind == "aslant":
        (x0, y0), (x1, y1) = size.points
        return math.degrees(math.atan2(y1 - y0, x1 - x0))
    return 0.0 if size.kind == "level" else 90.0


def _scaled(point: Point, scale: float) -> Point:
    """Return a point in units of the file."""
    return point[0] * scale, point[1] * scale


def plain_text(text: str) -> str:
    """Return a text with the format's own codes: readers differ on UTF-8."""
    return text.replace("°", "%%d").replace("×", "x")


def _add_styles(document: Drawing, marking: Marking, scale: float) -> None:
    """Add the styles of lengths and angles; rounding is left unset, it would fell fractions."""
    for name, stroke in ((_STYLE, marking.stroke), (f"{_STYLE}_ANGLE", 0.0)):
        style = document.dimstyles.new(name)
        dxf = style.dxf
        dxf.discard("dimrnd")
        dxf.dimtxt = marking.text * scale
        dxf.dimtsz = stroke * scale
        dxf.dimasz = marking.arrow * scale
        dxf.dimexo = marking.gap * scale
        dxf.dimexe = marking.overshoot * scale
        dxf.dimgap = marking.text * scale * 0.4
        dxf.dimclrd = dxf.dimclre = dxf.dimclrt = _BY_LAYER
        dxf.dimtad = 1  # letters above the line
        dxf.dimtih = 0  # and along it,
        dxf.dimtoh = 0  # outside as well
        dxf.dimtmove = 2  # letters may be moved without their line
        dxf.dimlunit = 2
        dxf.dimaunit = 0
        dxf.dimadec = 1
        dxf.dimdec = 4
        dxf.dimzin = 8
        dxf.dimtxsty = "Standard"
