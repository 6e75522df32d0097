"""Benchmark: the fit verdict against the raw kernel by hand, cold starts, and growth.

Run it alone on a quiet machine: ``python tests/benchmarks/bench_verdict.py``. It prints ratios
from one run; times on one machine say nothing about another. ``--assert`` fails where a goal is
missed by more than the allowance for a noisy machine.
"""

from __future__ import annotations

import argparse
import dataclasses
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings"):
    sys.path.insert(0, str(ROOT / folder))

from palewright.construction.box_layout import Box, lay_out  # noqa: E402
from palewright.fit.cases import CHECKS, FitCase  # noqa: E402
from palewright.fit.verdict import judge  # noqa: E402
from palewright.parameters.tables import Parameters  # noqa: E402
from palewright.parameters.variant_files import load_variant  # noqa: E402

VARIANTS = ("stoop-tub", "winter-tub", "gate-pair")
GOALS = {
    "nominal verdict / raw kernel": 2.0,
    "four lumber cases / raw kernel": 8.0,
    "palewright --help / import cadquery": 0.25,
    "bad input / import cadquery": 0.25,
    "palewright check / import cadquery": 1.5,
}


def fastest(work: Callable[[], object], repeats: int = 7) -> float:
    """Return the least time (s) of some repeats: what the work takes when nothing disturbs it."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def raw_kernel(box: Box) -> int:
    """Do by hand what any script would: a prism a board, its mesh, booleans of near pairs.

    Kernel prisms with their through-holes, tessellated, manifold booleans on pairs whose bounds
    overlap: the fast way with these libraries, without any cache. Returns the clash count.
    """
    import cadquery as cq
    import manifold3d

    meshes = []
    for board in box.boards.values():
        outer = cq.Wire.makePolygon([cq.Vector(x, y, 0) for x, y in board.outline], close=True)
        inner = [
            cq.Wire.makeCircle(
                h.diameter / 2, cq.Vector(h.start[0], h.start[1], 0), cq.Vector(0, 0, 1)
            )
            for h in board.holes
            if h.square and h.through
        ]
        solid = cq.Solid.extrudeLinear(outer, inner, cq.Vector(0, 0, board.thickness))
        place = board.placement
        plane = cq.Plane(origin=place.origin, xDir=place.grain, normal=place.normal)
        points, triangles = solid.moved(cq.Location(plane)).tessellate(0.1, 0.5)
        array = np.array([(p.x, p.y, p.z) for p in points], dtype=np.float32)
        mesh = manifold3d.Mesh(array, np.array(triangles, dtype=np.uint32))
        meshes.append((manifold3d.Manifold(mesh), array.min(axis=0), array.max(axis=0)))
    clashes = 0
    for i, (first, low_a, high_a) in enumerate(meshes):
        for second, low_b, high_b in meshes[i + 1 :]:
            if (np.minimum(high_a, high_b) > np.maximum(low_a, low_b)).all():
                clashes += (first ^ second).volume() > 1.0
    return int(clashes)


def many(box: Box, boards: int) -> Box:
    """Return copies of a box side by side, about so many boards in all."""
    copies = max(1, round(boards / len(box.boards)))
    pitch = box.sizes.width + 500.0
    placed, joints, screws, steps = {}, [], [], []
    for k in range(copies):

        def tag(names: tuple[str, ...], k: int = k) -> tuple[str, ...]:
            return tuple(f"{k}.{name}" for name in names)

        for name, board in box.boards.items():
            x, y, z = board.placement.origin
            place = dataclasses.replace(board.placement, origin=(x + k * pitch, y, z))
            placed[f"{k}.{name}"] = dataclasses.replace(board, name=f"{k}.{name}", placement=place)
        joints += [
            dataclasses.replace(j, name=f"{k}.{j.name}", boards=tag(j.boards), onto=tag(j.onto))
            for j in box.joints
        ]
        screws += [
            dataclasses.replace(
                s, stack=tag(s.stack), head=(s.head[0] + k * pitch, s.head[1], s.head[2])
            )
            for s in box.screws
        ]
        steps += [dataclasses.replace(s, boards=tag(s.boards)) for s in box.steps]
    return dataclasses.replace(
        box, boards=placed, joints=tuple(joints), screws=tuple(screws), steps=tuple(steps)
    )


def run_checks(box: Box) -> None:
    """Run every check that does not need the four corners of a single box."""
    fit = FitCase(box, "nominal")
    for one in CHECKS:
        if one.__name__ not in ("seat_clearances", "stand_between_walls", "floating_boards"):
            list(one(fit))


def process(*args: str, repeats: int = 5) -> float:
    """Return the median time (s) of a whole process, its output thrown away."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        subprocess.run(args, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def verdict_ratios(parameters: Parameters) -> tuple[float, float, float]:
    """Return the raw kernel's time (s), then the verdict's nominal and four-case ratios to it."""
    box = lay_out(parameters)
    raw = fastest(lambda: raw_kernel(box), 5)
    nominal = fastest(lambda: judge(parameters, ("nominal",)))
    return raw, nominal / raw, fastest(lambda: judge(parameters)) / raw


def main() -> int:
    """Print all ratios; return 1 if ``--assert`` is given and a goal is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--assert", dest="must", action="store_true")
    must = parser.parse_args().must
    found: dict[str, float] = dict.fromkeys(GOALS, 0.0)
    print("variant        boards  raw kernel ms  nominal /raw  four cases /raw")
    for name in VARIANTS:
        parameters = load_variant(name).parameters
        raw, one, four = verdict_ratios(parameters)
        count = len(lay_out(parameters).boards)
        print(f"{name:<14} {count:>6}  {raw * 1e3:>13.1f}  {one:>12.2f}  {four:>15.2f}")
        found["nominal verdict / raw kernel"] = max(found["nominal verdict / raw kernel"], one)
        found["four lumber cases / raw kernel"] = max(found["four lumber cases / raw kernel"], four)

    python = sys.executable
    cadquery = process(python, "-c", "import cadquery")
    command = (python, "-m", "palewright_drawings.cli.main")
    found["palewright --help / import cadquery"] = process(*command, "--help") / cadquery
    found["bad input / import cadquery"] = (
        process(*command, "check", "stoop-tub", "--set", "box.width=3") / cadquery
    )
    found["palewright check / import cadquery"] = process(*command, "check", "stoop-tub") / cadquery
    print(f"\nimport cadquery: {cadquery:.2f} s for the whole process")
    for goal, limit in GOALS.items():
        print(f"{goal:<40} {found[goal]:.3f}  (goal {limit:g})")

    print("\nboards  checks ms  ms a board")
    base = lay_out(load_variant("stoop-tub").parameters)
    for boards in (50, 200, 800):
        box = many(base, boards)
        taken = fastest(lambda box=box: run_checks(box), 3)
        print(f"{len(box.boards):>6}  {taken * 1e3:>9.1f}  {taken * 1e3 / len(box.boards):>10.2f}")
    missed = [goal for goal, limit in GOALS.items() if found[goal] > limit * 1.25]
    if must and missed:
        print("missed: " + "; ".join(missed), file=sys.stderr)
    return int(must and bool(missed))


if __name__ == "__main__":
    import os

    os.environ["PYTHONPATH"] = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    sys.exit(main())
