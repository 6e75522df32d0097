"""A quick shaded picture of the model, for the README: VTK, which comes with CadQuery.

Run as ``python -m palewright_drawings.previews VARIANT FILE.png``.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path
from typing import Any

import numpy as np

from palewright.design import Design, design
from palewright.variant_files import load_variant

_SIZE = (960, 720)
_PAPER = (1.0, 1.0, 1.0)
_DIRECTION = (0.62, -1.0, 0.52)
"""From the box towards the eye: right of the front, a little above."""


_LIGHTS = (((-0.4, -1.0, 0.9), 0.95), ((0.9, -0.3, 0.6), 0.55), ((0.0, 0.0, 1.0), 0.3))
"""Directions the light comes from, and how strong: the top brightest, the right side dim."""


def _tone(color: str, name: str) -> tuple[float, float, float]:
    """Return the species colour (0 to 1), a little lighter or darker by the board's name."""
    shade = random.Random(name).uniform(0.9, 1.06)
    return tuple(min(1.0, int(color[i : i + 2], 16) / 255 * shade) for i in (1, 3, 5))  # type: ignore[return-value]


def _actor(box: Design, name: str) -> Any:
    """Return one board as a VTK actor with its edges drawn."""
    import vtk
    from vtk.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray

    vertices, triangles = box.solids.placed_mesh(name)
    points = vtk.vtkPoints()
    points.SetData(numpy_to_vtk(np.ascontiguousarray(vertices), deep=True))
    cells = vtk.vtkCellArray()
    ends = numpy_to_vtkIdTypeArray(np.arange(0, 3 * len(triangles) + 1, 3), deep=True)
    cells.SetData(ends, numpy_to_vtkIdTypeArray(triangles.ravel().astype(np.int64), deep=True))
    surface = vtk.vtkPolyData()
    surface.SetPoints(points)
    surface.SetPolys(cells)
    mapper = vtk.vtkPolyDataMapper()
    mapper.SetInputData(surface)
    actor = vtk.vtkActor()
    actor.SetMapper(mapper)
    board = box.box.boards[name]
    actor.GetProperty().SetColor(_tone(box.parameters.species_of(board.stock).color, name))
    actor.GetProperty().SetInterpolationToFlat()
    actor.GetProperty().SetAmbient(0.25)
    actor.GetProperty().SetDiffuse(0.8)
    return actor


def _edges(box: Design, name: str) -> Any:
    """Return the board's sharp edges as dark lines."""
    import vtk

    board = box.box.boards[name]
    corners = board.corners()
    half = len(corners) // 2
    lines, points = vtk.vtkCellArray(), vtk.vtkPoints()
    for corner in corners:
        points.InsertNextPoint(*corner)
    pairs = [(i, (i + 1) % half) for i in range(half)]
    pairs += [(a + half, b + half) for a, b in pairs] + [(i, i + half) for i in range(half)]
    for a, b in pairs:
        lines.InsertNextCell(2)
        lines.InsertCellPoint(a)
        lines.InsertCellPoint(b)
    drawn = vtk.vtkPolyData()
    drawn.SetPoints(points)
    drawn.SetLines(lines)
    mapper = vtk.vtkPolyDataMapper()
    mapper.SetInputData(drawn)
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor = vtk.vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(0.22, 0.16, 0.1)
    actor.GetProperty().SetLineWidth(1.6)
    actor.GetProperty().LightingOff()
    return actor


def preview_png(box: Design, file: Path) -> None:
    """Write a shaded picture (960 x 720 px) of the box in nominal lumber.

    Args:
        box: the design.
        file: where the PNG goes.
    """
    import vtk

    scene = vtk.vtkRenderer()
    scene.SetBackground(*_PAPER)
    for name in box.box.boards:
        scene.AddActor(_actor(box, name))
        scene.AddActor(_edges(box, name))
    window = vtk.vtkRenderWindow()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(8)
    window.SetSize(*_SIZE)
    window.AddRenderer(scene)
    camera = scene.GetActiveCamera()
    camera.SetPosition(*_DIRECTION)
    camera.SetFocalPoint(0, 0, 0)
    camera.SetViewUp(0, 0, 1)
    camera.SetViewAngle(22)
    scene.ResetCamera()
    camera.Zoom(1.08)
    for place, strength in _LIGHTS:
        light = vtk.vtkLight()
        light.SetLightTypeToSceneLight()
        light.SetPositional(False)
        light.SetPosition(*place)
        light.SetFocalPoint(0, 0, 0)
        light.SetIntensity(strength)
        scene.AddLight(light)
    scene.ResetCameraClippingRange()
    window.Render()
    picture = vtk.vtkWindowToImageFilter()
    picture.SetInput(window)
    picture.ReadFrontBufferOff()
    picture.Update()
    writer = vtk.vtkPNGWriter()
    writer.SetFileName(str(file))
    writer.SetInputConnection(picture.GetOutputPort())
    writer.Write()


if __name__ == "__main__":
    found = load_variant(sys.argv[1])
    preview_png(design(found.parameters, found.name), Path(sys.argv[2]))
