"""Boards as solids of the CAD kernel, holes included. The only door to CadQuery and OCP.

Free functions of the kernel, not the fluent stack. Equal shapes are built once and
placed by location; through-holes square to the face go in as inner wires of the extruded face,
only blind holes, edge holes and countersinks are cut.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import cache
from types import ModuleType
from typing import TYPE_CHECKING, Any

import numpy as np

from palewright.construction.boards import Board, Hole, Placement
from palewright.construction.line_spans import half_spaces
from palewright.geometry.arrays import Floats, Ints
from palewright.geometry.contours import Contour, arc_middle
from palewright.jigs.records import JigPart
from palewright.solids.drilled_boards import sink_depth

if TYPE_CHECKING:
    import cadquery as cq

MESH_TOLERANCE = 0.05
"""Chord error of a curve in a mesh as a share of its size; what turns faster goes by the angle."""

MESH_ANGLE = 0.35
"""Greatest turn (radians) between two facets of a hole: 18 to a circle, which leave a fiftieth of
it in the wood, and a pilot hole right to 0.02 mm, finer than a drill cuts (judgement)."""

TriangleArrays = tuple[Floats, Ints]
"""Vertices (n, 3) in mm and triangles (m, 3)."""


@cache
def kernel() -> Any:
    """Return CadQuery, imported without the whole of VTK.

    OCP imports all of VTK for a viewer that nothing here shows: a fifth of the processor time of
    the import and 70 MB (measured). An empty module stands in for it meanwhile; the few modules of
    VTK that CadQuery itself asks for are imported as ever.
    """
    stand_in = ModuleType("vtk")
    held = sys.modules.setdefault("vtk", stand_in)
    import cadquery

    if held is stand_in:
        del sys.modules["vtk"]
    return cadquery


def board_solid(board: Board) -> cq.Solid:
    """Return one board in its own frame, mm: x along the grain, datum face at z = 0."""
    cq = kernel()
    outer = cq.Wire.makePolygon([cq.Vector(x, y, 0) for x, y in board.outline], close=True)
    through = [hole for hole in board.holes if _is_plain(hole, board)]
    inner = [
        cq.Wire.makeCircle(hole.diameter / 2, cq.Vector(*hole.start[:2], 0), cq.Vector(0, 0, 1))
        for hole in through
    ]
    solid = cq.Solid.extrudeLinear(outer, inner, cq.Vector(0, 0, board.thickness))
    tools = [tool for hole in board.holes for tool in _tools(hole, hole in through)]
    return _cut(solid, tools) if tools else solid


def jig_solid(part: JigPart) -> cq.Solid:
    """Return one flat part of a jig in its own frame, mm: its underside at z = 0."""
    cq = kernel()
    inner = [
        cq.Wire.makeCircle(drill.diameter / 2, cq.Vector(*drill.centre, 0), cq.Vector(0, 0, 1))
        for drill in part.drills
    ]
    up = cq.Vector(0, 0, part.thickness)
    return cq.Solid.extrudeLinear(_contour_wire(part.contour), inner, up)


def _contour_wire(contour: Contour) -> cq.Wire:
    """Return a contour as a wire: straight edges and true arcs."""
    cq = kernel()
    edges = []
    for (x0, y0, bulge), (x1, y1, _) in zip(contour, (*contour[1:], contour[0]), strict=True):
        start, end = cq.Vector(x0, y0, 0), cq.Vector(x1, y1, 0)
        if bulge:
            middle = cq.Vector(*arc_middle((x0, y0), (x1, y1), bulge), 0)
            edges.append(cq.Edge.makeThreePointArc(start, middle, end))
        else:
            edges.append(cq.Edge.makeLine(start, end))
    return cq.Wire.assembleEdges(edges)


def _is_plain(hole: Hole, board: Board) -> bool:
    """Return whether a hole is round, square to the face, right through, and inside the outline."""
    if not (hole.square and hole.through and hole.depth > board.thickness - 1e-6):
        return False
    x, y = hole.start[:2]
    sides = half_spaces(board)[2:]
    return all(reach - n[0] * x - n[1] * y > hole.diameter / 2 for n, reach in sides)


def _tools(hole: Hole, already_through: bool) -> list[cq.Solid]:
    """Return what has to be cut away for one hole: its bore, its countersink."""
    cq = kernel()
    start, axis = cq.Vector(*hole.start), cq.Vector(*hole.axis)
    tools = []
    if not already_through:
        back = 0.01  # begin outside the face, so that no skin is left
        bore = cq.Solid.makeCylinder(
            hole.diameter / 2,
            hole.depth + back + (back if hole.through else 0.0),
            start - axis * back,
            axis,
        )
        tools.append(bore)
    if hole.sink > hole.diameter:
        deep = sink_depth(hole)
        tools.append(cq.Solid.makeCone(hole.sink / 2, hole.diameter / 2, deep, start, axis))
    return tools


def _cut(solid: cq.Solid, tools: list[cq.Solid]) -> cq.Solid:
    """Return the solid without its tools, cut in one operation."""
    rest = solid.cut(*tools)
    solids = rest.Solids()
    if len(solids) != 1:
        raise ValueError(f"drilling left {len(solids)} pieces of a board")
    return solids[0]


def location(placement: Placement) -> cq.Location:
    """Return a placement as a location of the kernel."""
    cq = kernel()
    plane = cq.Plane(origin=placement.origin, xDir=placement.grain, normal=placement.normal)
    return cq.Location(plane)


class Solids:
    """The solids of some boards, each shape made once."""

    def __init__(self, boards: Mapping[str, Board]) -> None:
        """Take the boards; nothing is built yet."""
        self.boards = boards
        self._shapes: dict[object, Any] = {}

    @property
    def shape_count(self) -> int:
        """How many different shapes there are."""
        return len({board.shape_key for board in self.boards.values()})

    def shape(self, name: str) -> cq.Solid:
        """Return a board's solid in the board's own frame."""
        board = self.boards[name]
        if board.shape_key not in self._shapes:
            self._shapes[board.shape_key] = board_solid(board)
        return self._shapes[board.shape_key]

    def placed(self, name: str) -> cq.Shape:
        """Return a board's solid where it stands in the box."""
        return self.shape(name).moved(location(self.boards[name].placement))


def tessellated(solid: cq.Shape) -> TriangleArrays:
    """Return vertices and triangles of a solid, seen from outside counter-clockwise.

    A vertex on an edge appears once for each face that meets there. The kernel's triangles are read
    one by one: through its wrapper the same takes five times as long.
    """
    from OCP.BRep import BRep_Tool
    from OCP.BRepTools import BRepTools
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    vertices: list[tuple[float, float, float]] = []
    triangles = []
    solid.mesh(MESH_TOLERANCE, 2 * MESH_ANGLE)  # the kernel takes half the angle along a curve
    for face in solid.Faces():
        place = TopLoc_Location()
        facets = BRep_Tool.Triangulation_s(face.wrapped, place)
        turn, shift = place.Transformation(), len(vertices) - 1  # the kernel counts from 1
        nodes = (facets.Node(i + 1).Transformed(turn) for i in range(facets.NbNodes()))
        vertices += [(node.X(), node.Y(), node.Z()) for node in nodes]
        corners = np.array([facets.Triangle(i + 1).Get() for i in range(facets.NbTriangles())])
        inward = face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        triangles.append((corners[:, ::-1] if inward else corners) + shift)
    BRepTools.Clean_s(solid.wrapped)  # the kernel would keep its triangles beside ours
    return np.array(vertices), np.concatenate(triangles)
