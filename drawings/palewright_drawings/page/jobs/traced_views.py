"""The page's stage path-traced: the box as the eye sees it there, better with each pass.

Camera, sun, deck, plants and pot are where the stage has them, so that the picture can be laid over
it; where the deck fades the picture is clear.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from palewright.construction.boards import Vector
from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright.reading.errors import InputError
from palewright_drawings.listing.pictured_wood import OWN, seen_in
from palewright_drawings.page.jobs.grown_plants import grown_in, thing_beside
from palewright_drawings.rendering.places.grounds import deck
from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.meshes import turned
from palewright_drawings.rendering.scene.scene import Camera, Scene, Sky, Solid, Surface
from palewright_drawings.rendering.tracer.path_tracer import Rendering, shown
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.screw_heads import screw_heads
from palewright_drawings.rendering.wood.species_looks import FINISHES

PASSES = (1, 3, 12)
"""Samples a pixel of each pass: a picture is shown after each, twice as sure as the last. More than
these sixteen nobody sees once it is denoised (judged by eye); to denoise takes as long as two."""

MOST_PIXELS = 1200
"""Longer side of the picture: a larger stage shows it larger."""

_FARTHEST = 1e5
"""No place in the stage is farther off, mm."""

_SUN = (-0.22, 0.72)
"""Where the sun stands, rad: aside of the eye, above the ground; as ``web/stage/light.js``."""

_DAY = {
    "top": (0.50, 0.56, 0.74), "horizon": (0.80, 0.80, 0.80), "ground": (0.34, 0.31, 0.27),
    "sun": (900.0, 835.0, 745.0), "sun_size": 2.4,
}  # fmt: skip
"""A soft sun and a pale sky, colour times strength, degrees: judged by eye."""

_EXPOSURE = 0.78
"""As light as the stage is: judged by eye."""

_PITCH, _WIDTH = 143.0, 138.0
"""From plank to plank of the deck, and a plank, mm: as ``web/stage/ground.js``."""

_CLEAR, _FADES = 0.85, 0.42
"""How opaque the deck is, and the share of its reach where it begins to fade: as there."""

_SOLE = 2.0
"""What is lower is deck, mm: places are known to a part of a pixel."""

_FINER = 1.3
"""Dots of the boards' pictures a pixel of the whole, as in all pictures."""

_STUMP = 1.3
"""How far a trunk without its tree reaches, in heights of the box: as ``web/stage/contents.js``."""

_STANDS = {"trunk": Surface((0.416, 0.314, 0.220), rough=0.9)}
_STAND = Surface((0.290, 0.420, 0.310), rough=0.9)
"""Bark and stand: as there."""


@dataclass(frozen=True, slots=True)
class View:
    """What of the stage is seen.

    Attributes:
        camera: the eye.
        look: of the boards: a finish, or ``weathered``.
        grown: whether what grows in the box is seen.
        pot: where the thing beside stands, mm.
        reach: how far the deck goes until it has faded, mm.
        middle: of the deck, mm.
    """

    camera: Camera
    look: str
    grown: bool
    pot: tuple[float, float]
    reach: float
    middle: tuple[float, float]


def read_view(said: object) -> View:
    """Return what a request says of the stage.

    Raises:
        InputError: if it says it in another way.
    """
    told: Mapping[str, Any] = said if isinstance(said, Mapping) else {}
    wide, high = (_number(told.get(name), 64.0, 20_000.0) for name in ("width", "height"))
    share = min(1.0, MOST_PIXELS / max(wide, high))
    eye = [_numbers(told.get(name), 3) for name in ("at", "towards")]
    if math.dist(*eye) < 1.0:
        raise InputError("takes an eye that looks somewhere", key="view")
    look = told.get("look")
    if look not in FINISHES and look != "weathered":
        raise InputError(f"allowed: {', '.join(FINISHES)}, weathered", key="look")
    at, towards = ((x, y, z) for x, y, z in eye)
    angle = _number(told.get("angle"), 1.0, 150.0)
    shape = max(1, round(wide * share)), max(1, round(high * share))
    pot, middle = (_numbers(told.get(name), 2) for name in ("pot", "middle"))
    return View(
        Camera(at, towards, angle, *shape),
        str(look),
        told.get("grown") is True,
        (pot[0], pot[1]),
        _number(told.get("reach"), 1.0, _FARTHEST),
        (middle[0], middle[1]),
    )


def _number(said: object, low: float, high: float) -> float:
    if isinstance(said, bool) or not isinstance(said, int | float) or not low <= said <= high:
        raise InputError(f"takes numbers from {low:g} to {high:g}", key="view")
    return float(said)


def _numbers(said: object, count: int) -> list[float]:
    if not isinstance(said, list) or len(said) != count:
        raise InputError(f"takes {count} numbers for a place", key="view")
    return [_number(one, -_FARTHEST, _FARTHEST) for one in said]


def stage_of(design: Design, view: View) -> Scene:
    """Return the box on its deck with what stands in it and beside it.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    camera = view.camera
    away = np.asarray(camera.at) - np.asarray(camera.towards)
    density = _FINER * _pixels(camera) / float(np.linalg.norm(away))
    around = math.atan2(away[0], -away[1])
    bare = view.look == "weathered"
    pictured = seen_in(design, "weathered" if bare else OWN)
    finish = FINISHES["bare" if bare else view.look]
    grown = grown_in(design) if view.grown else GrownPlants(tuple(_upright(design)))
    return Scene(
        name="stage",
        woods=(
            *woods_of(pictured, finish, density, (math.sin(around), -math.cos(around), 0.0)),
            *_deck(design, view, density),
        ),
        solids=(*grown.solids, *thing_beside(*view.pot)),
        flocks=(*screw_heads(design, finish), *grown.flocks),
        sky=Sky(**_DAY, sun_from=_sun_from(around)),  # type: ignore[arg-type]
        exposure=_EXPOSURE,
    )


def _pixels(camera: Camera) -> float:
    """Return pixels a mm at a distance of 1 mm."""
    return max(camera.width, camera.height) / 2 / math.tan(math.radians(camera.angle / 2))


def _sun_from(around: float) -> Vector:
    turn, above = around + _SUN[0], _SUN[1]
    level = math.cos(above)
    return level * math.sin(turn), -level * math.cos(turn), math.sin(above)


def _deck(design: Design, view: View, density: float) -> Iterator[Any]:
    """Yield the planks, each where the stage has one."""
    (x, y), reach = view.middle, view.reach
    rows = math.ceil(reach / _PITCH)
    edge = rows * _PITCH + _WIDTH / 2
    stock = next(iter(design.box.boards.values())).stock
    seed = design.parameters.lumber.seed
    yield from deck(reach + abs(x), edge - y, edge + y, seed, stock, density, width=_WIDTH)


def _upright(design: Design) -> Iterator[Solid]:
    """Yield the stand and the trunk of a tree that is not shown."""
    height = design.box.sizes.height
    for one in design.box.obstacles:
        top = min(one.top, _STUMP * height) if one.name == "trunk" else one.top
        r, z = one.radius, one.bottom
        mesh = turned([(0.1, z), (r, z), (r, top), (0.1, top)], 32, smooth=False)
        yield Solid(one.name, mesh, _STANDS.get(one.name, _STAND))


def opacity(places: Floats, view: View) -> Floats:
    """Return how opaque each pixel is, (height, width): the deck fades, beyond it is nothing.

    Args:
        places: seen four times in each pixel, (2 height, 2 width, 3), mm; no numbers: nothing.
        view: of the stage.
    """
    far = np.hypot(*(places[..., i] - view.middle[i] for i in (0, 1))) / view.reach
    share = np.clip((far - _FADES) / (1.0 - _FADES), 0.0, 1.0)
    ground = _CLEAR * (1.0 - share * share * (3.0 - 2.0 * share))
    found = np.where(places[..., 2] > _SOLE, 1.0, ground)
    found = np.where(np.isfinite(far), found, 0.0)
    height, width = found.shape
    return np.asarray(found.reshape(height // 2, 2, width // 2, 2).mean(axis=(1, 3)))


def traced(design: Design, view: View) -> Iterator[tuple[int, bytes]]:
    """Yield after each pass how many samples a pixel there are, and the picture as WebP.

    Raises:
        InputError: if the extra ``pictures`` is not installed.
    """
    from PIL import Image

    scene = stage_of(design, view)
    rendering = Rendering(scene, view.camera)
    guides, clear, count = rendering.guides(), opacity(rendering.places(), view), 0
    for each, mean in zip(PASSES, rendering.means(PASSES), strict=True):
        count += each
        colour = shown(rendering.denoised(mean, *guides), scene.exposure)
        alpha = np.round(255.0 * clear[..., None]).astype(np.uint8)
        held = io.BytesIO()
        whole = Image.fromarray(np.concatenate([colour, alpha], axis=-1), "RGBA")
        whole.save(held, "WEBP", quality=90, method=2)
        yield count, held.getvalue()
