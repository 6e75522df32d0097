"""``jigs/*.step``: a jig as an assembly of its parts, mm, in plywood's colour."""

from __future__ import annotations

from typing import Any

from palewright.jigs.records import Jig, JigPart
from palewright_drawings.cad_files.colours import Colour
from palewright_drawings.cad_files.step import set_name, step_text_of
from palewright_drawings.cad_files.step_part21 import ROOT, finished

PLYWOOD: Colour = (222 / 255, 196 / 255, 150 / 255)
"""The colour that jigs are drawn in."""


def jig_step(jig: Jig) -> bytes:
    """Return a jig as a STEP file (ISO 10303-21, AP214, mm); equal parts are one definition.

    Raises:
        RuntimeError: if the kernel refuses to write, which is our own mistake.
    """
    document, names = _document(jig)
    colours = dict.fromkeys(names, PLYWOOD)
    text = finished(step_text_of(document), jig.name, colours, f"{jig.name}.step", "jig, parts")
    return text.encode("ascii")


def _document(jig: Jig) -> tuple[Any, list[str]]:
    """Return an XCAF document with the jig's parts, and the names of its definitions."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    from palewright.solids.kernel_solids import jig_solid, location

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    definitions: dict[object, Any] = {}
    names = []
    for part in jig.parts:
        if _key(part) not in definitions:
            label = shapes.AddShape(jig_solid(part).wrapped, False)
            set_name(label, part.name)
            definitions[_key(part)] = label
            names.append(part.name)
    whole = shapes.NewShape()
    set_name(whole, ROOT)
    for part in jig.parts:
        placed = location(part.placement).wrapped
        set_name(shapes.AddComponent(whole, definitions[_key(part)], placed), part.name)
    shapes.UpdateAssemblies()
    return document, names


def _key(part: JigPart) -> object:
    """Return what makes two parts one definition."""
    return part.contour, part.thickness, part.drills
