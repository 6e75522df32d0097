"""Boards and their holes, read back from a STEP file by the kernel's own reader.

A board is a mesh where it stands, the corners of its faces, and the round holes in it. Everything
is mm in the box's frame: x right, y back, z up, front at -y.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import manifold3d
import numpy as np
from scipy.spatial import ConvexHull

Floats = np.ndarray

CHORD = 0.2
"""Chord error (mm) of a hole's facets; they leave more wood than there is, never less."""

SAME_AXIS = 1e-3
"""Holes whose axes are nearer than this (mm) are one; the file is written to 1e-7."""


@dataclass(frozen=True)
class Bore:
    """One round hole of a board.

    Attributes:
        board: whose it is.
        start, end: where its axis begins and ends, mm; (3,) each.
        radius: mm.
        sink: radius of the widest cone round the axis, mm; 0 where there is none.
        mouth: where that cone is widest, as a share of the way from start to end.
        turn: radians that its wall goes round: less than a full turn where it leaves the board.
    """

    board: str
    start: Floats
    end: Floats
    radius: float
    sink: float = 0.0
    mouth: float = 0.0
    turn: float = 2 * np.pi

    @property
    def depth(self) -> float:
        """How long it is, mm."""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def axis(self) -> Floats:
        """Unit vector from start to end."""
        return (self.end - self.start) / self.depth


@dataclass(frozen=True)
class Solid:
    """One board of the box.

    Attributes:
        name: as in the assembly: ``front.stile-left``.
        points: corners of its surface, mm, (n, 3).
        triangles: (m, 3).
        bores: its round holes.
    """

    name: str
    points: Floats
    triangles: Floats
    bores: tuple[Bore, ...]

    @cached_property
    def low(self) -> Floats:
        """Least coordinates, mm."""
        return self.points.min(axis=0)

    @cached_property
    def high(self) -> Floats:
        """Greatest coordinates, mm."""
        return self.points.max(axis=0)

    @cached_property
    def planes(self) -> Floats:
        """Half-spaces of its hull, (n, 4): normal · p + offset ≤ 0 inside. By qhull."""
        return np.unique(np.round(ConvexHull(self.points).equations, 9), axis=0)

    @cached_property
    def body(self) -> Any:
        """The mesh with its holes, for booleans.

        Raises:
            ValueError: if the surface is not closed.
        """
        places, where = np.unique(np.round(self.points, 6), axis=0, return_inverse=True)
        corners = where.reshape(-1)[self.triangles].astype(np.uint64)
        apart = (corners != np.roll(corners, 1, axis=1)).all(axis=1)
        made = manifold3d.Manifold(
            manifold3d.Mesh64(np.ascontiguousarray(places), np.ascontiguousarray(corners[apart]))
        )
        if made.status() != manifold3d.Error.NoError or made.is_empty():
            raise ValueError(f"{self.name}: its surface is not closed ({made.status()})")
        return made

    def swept(self, by: Floats) -> Any:
        """Return what its hull passes through on a straight way, as a body."""
        return manifold3d.Manifold.hull_points(
            np.vstack((self.points, self.points + np.asarray(by)))
        )

    def crossed(self, start: Floats, axis: Floats) -> tuple[float, float]:
        """Return where a line enters and leaves its hull, mm from ``start``; (inf, -inf): never."""
        speed = self.planes[:, :3] @ axis
        room = -(self.planes[:, :3] @ start + self.planes[:, 3])
        beside = np.abs(speed) < 1e-9
        if (room[beside] < 0).any():
            return np.inf, -np.inf
        at = room[~beside] / speed[~beside]
        into = speed[~beside] < 0
        enter, leave = at[into].max(), at[~into].min()
        return (float(enter), float(leave)) if enter < leave else (np.inf, -np.inf)


def read_step(content: bytes) -> dict[str, Solid]:
    """Return the boards of a STEP assembly by name.

    Raises:
        ValueError: if it cannot be read, or two boards have one name.
    """
    from OCP.Message import Message
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    Message.DefaultMessenger_s().ChangePrinters().Clear()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(False)
    status = reader.ReadStream("model.step", io.BytesIO(content))
    if status.name != "IFSelect_RetDone" or not reader.Transfer(document):
        raise ValueError(f"not a STEP file that can be read: {status.name}")
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes: dict[Any, tuple[Floats, Floats, list[Bore]]] = {}
    found: dict[str, Solid] = {}
    for name, label, turn in _leaves(tool):
        key = _entry(label)
        if key not in shapes:
            shape = tool.GetShape_s(label)
            shapes[key] = (*_surface(shape), list(_bores(shape)))
        points, triangles, bores = shapes[key]
        if name in found:
            raise ValueError(f"two boards are called {name}")
        found[name] = Solid(
            name,
            _moved(points, turn),
            triangles,
            tuple(
                Bore(
                    name, _moved(b.start, turn), _moved(b.end, turn),
                    b.radius, b.sink, b.mouth, b.turn,
                )
                for b in bores
            ),
        )  # fmt: skip
    return found


def _moved(points: Floats, turn: Floats) -> Floats:
    """Return points in the box's frame."""
    return points @ turn[:, :3].T + turn[:, 3]


def _leaves(tool: Any) -> Iterator[tuple[str, Any, Floats]]:
    """Yield name, shape label and placement (3, 4) of every part of the assembly tree."""
    from OCP.TDF import TDF_LabelSequence

    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    for i in range(1, roots.Length() + 1):
        yield from _under(tool, roots.Value(i), np.eye(4))


def _under(tool: Any, label: Any, turn: Floats) -> Iterator[tuple[str, Any, Floats]]:
    """Yield the parts below one assembly."""
    from OCP.TDF import TDF_Label, TDF_LabelSequence

    children = TDF_LabelSequence()
    tool.GetComponents_s(label, children)
    for i in range(1, children.Length() + 1):
        child, shape = children.Value(i), TDF_Label()
        tool.GetReferredShape_s(child, shape)
        here = turn @ _matrix(tool.GetLocation_s(child).Transformation())
        if tool.IsAssembly_s(shape):
            yield from _under(tool, shape, here)
        else:
            yield _name(child), shape, here[:3]


def _matrix(transformation: Any) -> Floats:
    """Return a placement of the kernel as a matrix (4, 4)."""
    full = np.eye(4)
    for i in range(3):
        for j in range(4):
            full[i, j] = transformation.Value(i + 1, j + 1)
    return full


def _name(label: Any) -> str:
    """Return a label's name."""
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""


def _entry(label: Any) -> str:
    """Return where a label stands in its document: one text a shape."""
    from OCP.TCollection import TCollection_AsciiString
    from OCP.TDF import TDF_Tool

    text = TCollection_AsciiString()
    TDF_Tool.Entry_s(label, text)
    return text.ToCString()


def _faces(shape: Any) -> Iterator[Any]:
    """Yield the faces of a shape."""
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    cast = getattr(TopoDS, "Face_s", None) or TopoDS.Face
    while explorer.More():
        yield cast(explorer.Current())
        explorer.Next()


def _surface(shape: Any) -> tuple[Floats, Floats]:
    """Return the triangles of a shape, outward: points (n, 3) and corners (m, 3)."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location

    BRepMesh_IncrementalMesh(shape, CHORD, False, 1.0, False)
    points: list[Any] = []
    corners: list[Any] = []
    for face in _faces(shape):
        place = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, place)
        if mesh is None:
            continue
        shift, move = len(points) - 1, _matrix(place.Transformation())
        for i in range(1, mesh.NbNodes() + 1):
            p = mesh.Node(i)
            points.append(move[:3, :3] @ (p.X(), p.Y(), p.Z()) + move[:3, 3])
        back = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        for i in range(1, mesh.NbTriangles() + 1):
            a, b, c = mesh.Triangle(i).Get()
            corners.append((a + shift, c + shift, b + shift) if back else
                           (a + shift, b + shift, c + shift))  # fmt: skip
    return np.array(points), np.array(corners, dtype=np.int64)


def _bores(shape: Any) -> Iterator[Bore]:
    """Yield the round holes of a shape, in its own frame: walls on one axis are one hole."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepTools import BRepTools
    from OCP.GeomAbs import GeomAbs_SurfaceType

    walls: list[tuple[Floats, Floats, float, float, float, float]] = []
    cones: list[tuple[Floats, Floats, float]] = []
    for face in _faces(shape):
        adaptor = BRepAdaptor_Surface(face)
        kind = adaptor.GetType()
        if kind == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            round_ = adaptor.Cylinder()
            u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
            at, axis = _axis(round_.Axis())
            walls.append((at, axis, round_.Radius(), v0, v1, u1 - u0))
        elif kind == GeomAbs_SurfaceType.GeomAbs_Cone:
            round_ = adaptor.Cone()
            _, _, v0, v1 = BRepTools.UVBounds_s(face)
            at, axis = _axis(round_.Axis())
            for v in (v0, v1):
                radius = round_.RefRadius() + v * np.sin(round_.SemiAngle())
                cones.append((at, at + axis * v * np.cos(round_.SemiAngle()), radius))
    while walls:
        at, axis, radius, v0, v1, turn = walls.pop()
        same = [w for w in walls if abs(w[2] - radius) < 1e-6 and _coaxial(at, axis, w[0], w[1])]
        walls = [w for w in walls if not any(w is one for one in same)]
        ends = [v0, v1]
        pieces = {(round(v0, 3), round(v1, 3)): turn}
        for other, along, _, w0, w1, more in same:
            shift, sense = float((other - at) @ axis), float(np.sign(along @ axis))
            span = sorted((shift + sense * w0, shift + sense * w1))
            ends += span
            key = (round(span[0], 3), round(span[1], 3))
            pieces[key] = pieces.get(key, 0.0) + more
        mine = [
            (float((rim - at) @ axis), wide)
            for centre, rim, wide in cones
            if beside(rim - at, axis) < SAME_AXIS
        ]
        begin, finish = min(ends), max(ends)
        sink, mouth = 0.0, 0.0
        if mine:
            place, sink = max(mine, key=lambda one: one[1])
            begin, finish = min(begin, place), max(finish, place)
            mouth = (place - begin) / (finish - begin)
        yield Bore(
            "", at + axis * begin, at + axis * finish, radius, sink, mouth, max(pieces.values())
        )


def _axis(axis: Any) -> tuple[Floats, Floats]:
    """Return place and direction of an axis of the kernel."""
    p, d = axis.Location(), axis.Direction()
    return np.array((p.X(), p.Y(), p.Z())), np.array((d.X(), d.Y(), d.Z()))


def _coaxial(at: Floats, axis: Floats, other: Floats, along: Floats) -> bool:
    """Whether two axes are one line."""
    return beside(along, axis) < 1e-6 and beside(other - at, axis) < SAME_AXIS


def beside(vector: Floats, axis: Floats) -> float:
    """Return how far a vector leads off a line through its start along a unit axis."""
    rest = vector - axis * (vector @ axis)
    return float(rest @ rest) ** 0.5
