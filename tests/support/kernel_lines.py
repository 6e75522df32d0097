"""Hidden lines by the CAD kernel: a second opinion on ``projection.hidden_lines``.

Nothing of the product uses it: it takes many times as long (``benchmarks/bench_views.py``) and
gives every coinciding edge again for each board.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import numpy as np

from palewright.solids.kernel_solids import Solids
from palewright_drawings.projection.hidden_lines import Segments
from palewright_drawings.projection.line_merging import drawn_once
from palewright_drawings.projection.projections import Projection

_CURVE_STEPS = 48


def kernel_lines(shapes: Mapping[str, Any], view: Projection) -> tuple[Segments, Segments]:
    """Return visible and hidden lines of solids of the kernel, the owner their place in the map."""
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    algorithm = HLRBRep_Algo()
    for shape in shapes.values():
        algorithm.Add(shape.wrapped)
    axes = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*view.toward), gp_Dir(*view.right))
    algorithm.Projector(HLRAlgo_Projector(axes))
    algorithm.Update()
    algorithm.Hide()
    lines = HLRBRep_HLRToShape(algorithm)
    seen, hidden = [], []
    for i, shape in enumerate(shapes.values()):
        for found, names in (
            (seen, ("VCompound", "OutLineVCompound")),
            (hidden, ("HCompound", "OutLineHCompound")),
        ):
            for name in names:
                compound = getattr(lines, name)(shape.wrapped)
                if compound is not None and not compound.IsNull():
                    found += [(*pair, i) for pair in _pieces(compound)]
    return _segments(seen), _segments(hidden)


def _pieces(compound: Any) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Return the edges of a flat compound as straight pieces."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.BRepLib import BRepLib
    from OCP.GeomAbs import GeomAbs_Line
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    BRepLib.BuildCurves3d_s(compound)
    found = []
    explorer = TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        curve = BRepAdaptor_Curve(edge)
        steps = 1 if curve.GetType() == GeomAbs_Line else _CURVE_STEPS
        places = np.linspace(curve.FirstParameter(), curve.LastParameter(), steps + 1)
        points = [(curve.Value(t).X(), curve.Value(t).Y()) for t in places]
        found += list(pairwise(points))
        explorer.Next()
    return found


def _segments(rows: list[tuple[Any, Any, int]]) -> Segments:
    """Return rows (start, end, owner) as segments."""
    starts = np.array([row[0] for row in rows], dtype=np.float64).reshape(-1, 2)
    ends = np.array([row[1] for row in rows], dtype=np.float64).reshape(-1, 2)
    long = np.linalg.norm(ends - starts, axis=1) > 1e-6
    owner = np.array([row[2] for row in rows], dtype=np.intp)
    return Segments(starts[long], ends[long], owner[long])


def length_of(lines: Segments, owner: int | None = None) -> float:
    """Return the length (mm) of one body's lines, or of all, each stretch counted once."""
    if owner is not None:
        mine = lines.owner == owner
        lines = Segments(lines.starts[mine], lines.ends[mine], lines.owner[mine])
    (once,) = drawn_once([lines])
    return sum(math.dist(line.start, line.end) for line in once)


def placed_shapes(solids: Solids) -> dict[str, Any]:
    """Return all solids where they stand."""
    return {name: solids.placed(name) for name in solids.boards}
