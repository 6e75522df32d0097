"""``model.step``: the box as an assembly tree, box → panel → board, with names and colours.

Each shape is defined once and placed as often as it occurs. The kernel writes the shapes and the
tree, ``step_text`` the header and the colours, so that the same design gives the same bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from palewright.construction.boards import Board
from palewright.design import Design
from palewright_drawings.cad_files.colours import Colour, board_colour
from palewright_drawings.cad_files.step_part21 import ROOT, finished
from palewright_drawings.output.progress import Progress, Silent

DefinitionKey = tuple[object, Colour]
"""What makes two boards one definition: shape and colour."""


def step_file(design: Design, progress: Progress | None = None) -> bytes:
    """Return the box as a STEP file (ISO 10303-21, AP214, mm).

    A shape's product is named by its part mark and role (``A stile``); each place in the tree
    carries the board's name.

    Raises:
        RuntimeError: if the kernel refuses to write, which is our own mistake.
    """
    progress = progress or Silent()
    progress.begin("model.step", design.solids.shape_count + 2)
    document = _document(design, progress)
    text = step_text_of(document)
    progress.advance()
    colours = {name: key[1] for key, name in shape_names(design).items()}
    done = finished(text, design.name, colours)
    progress.advance()
    return done.encode("ascii")


def shape_names(design: Design) -> dict[DefinitionKey, str]:
    """Return a name for each definition, keyed by (shape, colour): mark and role, then a number."""
    marks = {name: part.mark for part in design.parts for name in part.boards}
    used: dict[str, int] = {}
    names: dict[DefinitionKey, str] = {}
    for name, board in design.box.boards.items():
        key = definition_key(design, board)
        if key not in names:
            base = f"{marks[name]} {board.role}"
            used[base] = used.get(base, 0) + 1
            names[key] = base if used[base] == 1 else f"{base} {used[base]}"
    return names


def definition_key(design: Design, board: Board) -> DefinitionKey:
    """Return what makes two boards one definition: shape and colour."""
    return board.shape_key, board_colour(design.parameters, board)


def _document(design: Design, progress: Progress) -> Any:
    """Return an XCAF document with the assembly tree."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    from palewright.solids.kernel_solids import location

    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    definitions = _definitions(design, document, progress)
    box = shapes.NewShape()
    set_name(box, ROOT)
    for panel, names in design.tree.items():
        group = shapes.NewShape()
        set_name(group, panel)
        for name in names:
            board = design.box.boards[name]
            definition = definitions[definition_key(design, board)]
            set_name(
                shapes.AddComponent(group, definition, location(board.placement).wrapped), name
            )
        set_name(shapes.AddComponent(box, group, TopLoc_Location()), panel)
    shapes.UpdateAssemblies()
    return document


def _definitions(design: Design, document: Any, progress: Progress) -> dict[DefinitionKey, Any]:
    """Return the label of each definition, named."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    names, taken = shape_names(design), set()
    labels: dict[DefinitionKey, Any] = {}
    for board in _first_of_each(design):
        key = definition_key(design, board)
        shape = design.solids.shape(board.name).wrapped
        if board.shape_key in taken:
            # one shape may carry one colour: the same shape in another wood is a copy
            shape = BRepBuilderAPI_Copy(shape).Shape()
        else:
            taken.add(board.shape_key)
            progress.advance()
        label = shapes.AddShape(shape, False)
        set_name(label, names[key])
        labels[key] = label
    return labels


def _first_of_each(design: Design) -> Iterator[Board]:
    """Yield the first board of each definition."""
    seen: set[object] = set()
    for board in design.box.boards.values():
        key = definition_key(design, board)
        if key not in seen:
            seen.add(key)
            yield board


def set_name(label: Any, text: str) -> None:
    """Name a label of the document."""
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name

    TDataStd_Name.Set_s(label, TCollection_ExtendedString(text))


def step_text_of(document: Any) -> str:
    """Return the document as the kernel writes it."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType

    # the kernel chats on stdout, which belongs to --json
    Message.DefaultMessenger_s().ChangePrinters().Clear()
    writer = STEPCAFControl_Writer()
    writer.SetColorMode(False)
    writer.SetNameMode(True)
    stream = io.BytesIO()
    with _kernel_settings():
        if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
            raise RuntimeError("the kernel could not translate the box to STEP")
        if writer.WriteStream(stream) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise RuntimeError("the kernel could not write STEP")
    return stream.getvalue().decode("utf-8")


@contextmanager
def _kernel_settings() -> Iterator[None]:
    """Set the kernel's process-wide STEP settings for a while, whatever another program set."""
    from OCP.Interface import Interface_Static

    asked = {
        "write.step.schema": "AP214IS",
        "write.step.unit": "MM",
        "xstep.cascade.unit": "MM",
        "write.step.assembly": "2",  # as the document has it
        "write.step.nonmanifold": "0",
        # names stand on the products; an export by cadquery in this process would leave it on
        "write.stepcaf.subshapes.name": "0",
        # planes, cylinders and cones need no curves in parameter space: half the file
        "write.surfacecurve.mode": "0",
    }
    before = {key: Interface_Static.CVal_s(key) for key in asked}
    for key, value in asked.items():
        Interface_Static.SetCVal_s(key, value)
    try:
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
