"""How much a picture takes beside the path tracer alone on the same scene.

For each case one process times the whole of ``pictured`` (wood, plants, meshes, loading, light,
denoising, sRGB), then two things by hand on the scene that it made: light, guides and denoising
alone. What is printed is processor time, which other programs on the machine change little:

- ``whole``: everything from the design to pixels; imports are left out;
- ``alone``: one call of ``mitsuba.render`` with the same samples, one of the guides for the
  denoiser and the denoiser itself, the scene being loaded;
- ``ratio``: the first by the second.

With ``--quick`` it times quick previews instead, each a run of the command in a process of its own,
imports and all, by the clock on the wall: leave the machine alone meanwhile.

Run: python tests/benchmarks/bench_pictures.py [--pixels N] [--quick] [--assert]
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings"):
    sys.path.insert(0, str(ROOT / folder))

import numpy as np  # noqa: E402

from palewright.design import design  # noqa: E402
from palewright.parameters.variant_files import load_variant  # noqa: E402
from palewright_drawings.listing import rendered_picture  # noqa: E402
from palewright_drawings.listing.rendered_picture import PictureRequest, pictured, samples_for  # noqa: E402
from palewright_drawings.rendering.tracer.path_tracer import Rendering, renderer  # noqa: E402

CASES = (
    ("stoop-tub", "studio"),
    ("stoop-tub", "spring-porch"),
    ("bean-tower", "garden"),
    ("winter-tub", "winter-room"),
)
MOST = 1.2
"""Goal: the whole in so many times the path tracer's own time."""

QUICK_PIXELS, QUICK_MOST = 600, 10.0
"""Goal: a quick preview of so many pixels a side in so many seconds on two cores."""


@dataclass(frozen=True, slots=True)
class Times:
    """Processor seconds."""

    whole: float
    alone: float

    @property
    def ratio(self) -> float:
        """The whole by the path tracer alone."""
        return self.whole / self.alone


def measured(name: str, scene: str, pixels: int) -> Times:
    """Return what a picture takes, and its scene's light alone."""
    of = design(load_variant(name).parameters, name)
    request = PictureRequest(scene, shape=(pixels, pixels))
    kept: list[Rendering] = []

    class Kept(Rendering):
        """A rendering that stays for a second look."""

        def __init__(self, *args: object) -> None:
            super().__init__(*args)  # type: ignore[arg-type]
            kept.append(self)

    rendered_picture.Rendering, before = Kept, rendered_picture.Rendering  # type: ignore[misc]
    began = time.process_time()
    pictured(of, request, lambda _what, _share: None)
    whole = time.process_time() - began
    rendered_picture.Rendering = before  # type: ignore[misc]
    return Times(whole, _alone(kept[0], samples_for(request.shape)))


def _alone(rendering: Rendering, samples: int) -> float:
    """Return what the path tracer and the denoiser take by themselves."""
    mi = renderer()
    began = time.process_time()
    light = mi.render(rendering.loaded, integrator=rendering.tracer, spp=samples, seed=1)
    linear = np.asarray(np.array(light), dtype=np.float32)
    rendering.denoised(linear, *rendering.guides(1))
    return time.process_time() - began


def quick_seconds(name: str, scene: str) -> float:
    """Return how long a quick preview takes, from the command's start to its end."""
    paths = os.pathsep.join(str(ROOT / folder) for folder in ("model", "drawings"))
    with tempfile.TemporaryDirectory() as folder:
        run = [sys.executable, "-m", "palewright_drawings.cli.main", "picture", name]
        run += ["--scene", scene, "--pixels", str(QUICK_PIXELS), "--quick"]
        run += ["--out", str(Path(folder) / "quick.png")]
        began = time.monotonic()
        subprocess.run(run, check=True, stderr=subprocess.DEVNULL,
                       env={**os.environ, "PYTHONPATH": paths})  # fmt: skip
        return time.monotonic() - began


def _quick(strict: bool) -> int:
    """Print how long quick previews take; 1 if one takes too long and that matters."""
    missed = False
    for name, scene in CASES:
        found = quick_seconds(name, scene)
        print(f"{name:12s} {scene:14s} quick {found:6.1f} s  (goal {QUICK_MOST:.0f})", flush=True)
        missed |= found > QUICK_MOST
    return int(missed and strict)


def main() -> int:
    """Print a table; 1 if a goal is missed and ``--assert`` is given."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--pixels", type=int, default=1000)
    parser.add_argument("--assert", dest="strict", action="store_true")
    parser.add_argument("--quick", action="store_true")
    asked = parser.parse_args()
    if asked.quick:
        return _quick(asked.strict)
    renderer()
    missed = False
    for name, scene in CASES:
        found = measured(name, scene, asked.pixels)
        print(f"{name:12s} {scene:14s} whole {found.whole:7.1f} s  alone {found.alone:7.1f} s"
              f"  ratio {found.ratio:5.2f}  (goal {MOST})", flush=True)  # fmt: skip
        missed |= found.ratio > MOST
    return int(missed and asked.strict)


if __name__ == "__main__":
    sys.exit(main())
