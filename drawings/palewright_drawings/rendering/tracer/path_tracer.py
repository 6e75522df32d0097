"""From a scene to pixels: the only door to the path tracer and its denoiser.

The picture is traced in passes of a few samples each, so that progress can be told and a long
picture stopped; passes are averaged, then denoised with the scene's own albedo and normals. The
same scene, size and samples give the same picture.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from palewright.geometry.arrays import Bytes, Floats, Singles
from palewright.reading.errors import InputError
from palewright_drawings.rendering.scene.scene import (
    Camera,
    Flock,
    Lamp,
    Rgb,
    Scene,
    Sky,
    Surface,
)
from palewright_drawings.rendering.tracer.cameras import pixel_rays
from palewright_drawings.rendering.tracer.mesh_merging import (
    Planking,
    TexturedMesh,
    bulbs_of,
    merged,
    planked,
    stays_copied,
)
from palewright_drawings.rendering.tracer.ply import write_ply

_PASS = 2_500_000
"""Rays from the camera in one pass, about: what is told and what Ctrl-C waits for."""

_BOUNCES = 8
"""Longest path of light, in bounces: judged by eye."""

_SURE = 2
"""Bounces before paths that carry little light are ended by chance: leaves swallow most of it."""


_NEAR = 10.0
"""The camera sees nothing nearer, mm."""

_BRIGHTEST = 60.0
"""Light above white counts up to this, times white, for halos: judged by eye."""

_HALOS = ((0.0022, 0.6), (0.008, 0.3), (0.03, 0.1))
"""Halos: standard deviation as a share of the longer side, and the share of light in each."""

_BULBS_WEIGHT = 0.3
"""How often a path asks small bulbs for their light, beside once a lamp: they light little."""


class Rendering:
    """A scene loaded into the path tracer."""

    def __init__(self, scene: Scene, camera: Camera) -> None:
        """Load the scene.

        Raises:
            InputError: if the extra ``pictures`` is not installed.
        """
        self._mi = renderer()
        self.scene, self.camera = scene, camera
        with tempfile.TemporaryDirectory() as folder:
            self.loaded = self._mi.load_dict(_tree(_Loader(self._mi, Path(folder)), scene, camera))
        self.tracer = self._mi.load_dict({"type": "path", "max_depth": _BOUNCES, "rr_depth": _SURE})
        # spread evenly over a pixel, so that few samples find how much of it a board covers
        self._even = self._mi.load_dict(_sensor(self._mi, camera, "stratified"))
        # traced apart from the light: a few samples of these are enough
        self._guide = self._mi.load_dict({"type": "aov", "aovs": "albedo:albedo,normal:sh_normal"})
        self._far = self._mi.load_dict({"type": "aov", "aovs": "far:depth"})

    def traced(
        self,
        samples: int,
        told: Callable[[float, float], None] | None = None,
        seed: int = 0,
    ) -> Singles:
        """Return the denoised picture, linear light, shape (height, width, 3).

        Args:
            samples: a pixel; rounded up to passes of one length.
            told: told the share that is done and the seconds that are left, after each pass.
            seed: another seed, other noise.
        """
        return self.denoised(self.noisy(samples, told, seed), *self.guides(seed))

    def noisy(
        self, samples: int, told: Callable[[float, float], None] | None = None, seed: int = 0
    ) -> Singles:
        """Return the mean of all passes, linear light, noise and all: (height, width, 3)."""
        most = max(1, _PASS // (self.camera.height * self.camera.width))
        count = math.ceil(samples / most)
        each = math.ceil(samples / count)
        began = time.monotonic()
        means = self.means([each] * count, seed)
        for done in range(1, count):
            next(means)
            if told is not None:
                spent = time.monotonic() - began
                told(done / count, spent * (count - done) / done)
        mean = next(means)
        if told is not None:
            told(1.0, 0.0)
        return mean

    def means(self, passes: Iterable[int], seed: int = 0) -> Iterator[Singles]:
        """Yield after each pass the mean of all so far, linear light: (height, width, 3).

        Args:
            passes: samples a pixel of each.
            seed: another seed, other noise.
        """
        total, count = np.zeros((self.camera.height, self.camera.width, 3)), 0
        for i, each in enumerate(passes):
            traced = self._mi.render(
                self.loaded, integrator=self.tracer, spp=each, seed=seed * 100_003 + i
            )
            total += each * _sound(traced)
            count += each
            yield np.asarray(total / count, dtype=np.float32)

    def places(self) -> Floats:
        """Return what is seen at four places in each pixel, two by two: mm.

        Shape (2 height, 2 width, 3), to a part of a pixel; not a number where nothing is. Each is
        one ray's, so that none is a mean of what lies before and behind.
        """
        fine = replace(self.camera, width=2 * self.camera.width, height=2 * self.camera.height)
        sensor = self._mi.load_dict(_sensor(self._mi, fine))
        far = self._mi.render(self.loaded, sensor=sensor, integrator=self._far, spp=1, seed=0)
        away = np.array(far, dtype=np.float64)[..., 0]
        rays = pixel_rays(fine)
        # its own ends count from where the camera begins to see
        along = np.where(away > 0.0, away, np.nan) / np.linalg.norm(rays, axis=-1) + _NEAR
        return np.asarray(np.asarray(fine.at) + rays * along[..., None])

    def guides(self, seed: int = 0, samples: int = 4) -> tuple[Singles, Singles]:
        """Return the scene's own albedo and normals, each (height, width, 3).

        Args:
            seed: of the places in a pixel.
            samples: a pixel; rounded up to a square number.
        """
        traced = self._mi.render(
            self.loaded, sensor=self._even, integrator=self._guide, spp=samples, seed=seed
        )
        layers = _sound(traced).astype(np.float32)
        return np.clip(layers[..., :3], 0, 1), layers[..., 3:6]

    @staticmethod
    def denoised(colour: Singles, albedo: Singles, normal: Singles) -> Singles:
        """Return a picture without its noise."""
        import mitsuba_oidn

        whole = [np.ascontiguousarray(layer) for layer in (colour, albedo, normal)]
        clean = mitsuba_oidn.denoise(whole[0], albedo=whole[1], normal=whole[2], hdr=True)
        return np.asarray(clean, dtype=np.float32)


def _sound(traced: Any) -> Floats:
    """Return traced layers without the rare pixel that is no number or blinds the rest."""
    return np.clip(np.nan_to_num(np.array(traced, dtype=np.float64)), -1e3, 1e3)


def renderer() -> Any:
    """Return the path tracer.

    Raises:
        InputError: if it is not installed.
    """
    try:
        import mitsuba
        import mitsuba_oidn  # noqa: F401  (asked for at once, so that no picture is lost at its end)
    except ImportError as error:
        raise InputError(
            f"pictures need the extra 'pictures' ({error.name or error} is missing); "
            "allowed after: pip install 'palewright[pictures]'"
        ) from error
    if mitsuba.variant() != "scalar_rgb":
        mitsuba.set_variant("scalar_rgb")
    return mitsuba


def shown(linear: Singles, exposure: float = 1.0, warmth: float = 1.0) -> Bytes:
    """Return a linear picture as sRGB bytes: exposed, balanced, highlights rolled off.

    Middle tones stay as they are; light above 0.7 bends towards white and never clips hard.
    """
    colour = np.maximum(linear.astype(np.float64), 0.0) * exposure
    colour = colour * np.array([warmth, 1.0, 1.0 / warmth])
    knee = 0.7
    over = np.maximum(colour - knee, 0.0)
    rolled = np.where(colour > knee, knee + (1 - knee) * (1.0 - np.exp(-over / (1 - knee))), colour)
    curve = np.where(rolled <= 0.0031308, 12.92 * rolled, 1.055 * rolled ** (1 / 2.4) - 0.055)
    return np.asarray(np.clip(curve * 255.0 + 0.5, 0, 255), dtype=np.uint8)


def glowing(linear: Singles, share: float) -> Singles:
    """Return a picture in which what is far brighter than white glows, as in a lens.

    Args:
        linear: (height, width, 3).
        share: of the light above white that is spread round it; 0 for none.
    """
    if share <= 0:
        return linear
    tall, wide, _ = linear.shape
    size = max(tall, wide)
    # a dark margin: else what glows at one edge would shine in at the other
    margin = math.ceil(4.0 * size * max(reach for reach, _ in _HALOS))
    over = np.pad(np.clip(linear - 1.0, 0.0, _BRIGHTEST), ((0, margin), (0, margin), (0, 0)))
    height, width, _ = over.shape
    across = np.fft.rfftfreq(width)[None, :] ** 2 + np.fft.fftfreq(height)[:, None] ** 2
    spread = np.zeros_like(across)
    for reach, weight in _HALOS:
        spread += weight * np.exp(-2.0 * (math.pi * reach * size) ** 2 * across)
    found = linear.astype(np.float64)
    for i in range(3):
        halo = np.fft.irfft2(np.fft.rfft2(over[..., i]) * spread, s=(height, width))
        found[..., i] += share * np.maximum(halo[:tall, :wide], 0.0)
    return found.astype(np.float32)


@dataclass
class _Loader:
    """The path tracer, and a folder that meshes pass through.

    A mesh that is handed over from here stays ten times slower to look at than one that the path
    tracer reads itself (measured with mitsuba 3.9), so meshes go through files.
    """

    mi: Any
    folder: Path
    count: int = 0

    def next_file(self) -> Path:
        """Return where the next mesh goes."""
        self.count += 1
        return self.folder / f"{self.count}.ply"


def _tree(loader: _Loader, scene: Scene, camera: Camera) -> dict[str, Any]:
    """Return the scene as the path tracer's nested table."""
    mi = loader.mi
    tree: dict[str, Any] = {
        "type": "scene",
        "sensor": _sensor(mi, camera),
        "sky": _sky(mi, scene.sky),
    }
    for number, planking in enumerate(planked(scene.woods)):
        tree[f"wood-{number}"] = _wood(loader, planking)
    light = [flock for flock in scene.flocks if not stays_copied(flock)]
    for number, body in enumerate(merged(scene.solids, light)):
        tree[f"body-{number}"] = _body(loader, body)
    for number, flock in enumerate(flock for flock in scene.flocks if stays_copied(flock)):
        tree.update(_flock(loader, flock, number))
    for number, lamp in enumerate(lamp for lamp in scene.lamps if not lamp.ball):
        tree[f"lamp-{number}"] = _lamp(mi, lamp)
    for number, (strength, bulbs) in enumerate(bulbs_of(scene.lamps)):
        tree[f"bulbs-{number}"] = {
            **_body(loader, bulbs),
            "emitter": _light(strength) | {"sampling_weight": _BULBS_WEIGHT},
        }
    return tree


def _sensor(mi: Any, camera: Camera, sampler: str = "independent") -> dict[str, Any]:
    place = mi.ScalarTransform4f().look_at(
        origin=list(camera.at), target=list(camera.towards), up=[0, 0, 1]
    )
    return {
        "type": "perspective",
        "fov": camera.angle,
        "fov_axis": "larger",
        "principal_point_offset_x": camera.shift[0],
        "principal_point_offset_y": camera.shift[1],
        "near_clip": _NEAR,
        "far_clip": 100_000.0,
        "to_world": place,
        "film": {
            "type": "hdrfilm",
            "width": camera.width,
            "height": camera.height,
            "rfilter": {"type": "box"},  # the denoiser must see each pixel's own noise
        },
        "sampler": {"type": sampler},
    }


def _sky(mi: Any, sky: Sky) -> dict[str, Any]:
    """Return the sky as a picture all round: rows from the top down, z up."""
    rows, columns = 128, 256
    height = np.cos((np.arange(rows) + 0.5) / rows * math.pi)
    up = np.clip(height, 0, 1)[:, None] ** 0.5
    colour = np.asarray(sky.horizon) * (1 - up) + np.asarray(sky.top) * up
    ground = np.asarray(sky.ground)
    colour = np.where(height[:, None] < -0.02, ground, colour)
    picture = np.repeat(colour[:, None, :], columns, axis=1)
    if max(sky.sun) > 0:
        picture = picture + _sun(sky, rows, columns)
    turned = mi.ScalarTransform4f().rotate([1, 0, 0], 90)
    bitmap = mi.Bitmap(np.asarray(picture, dtype=np.float32))
    return {"type": "envmap", "bitmap": bitmap, "to_world": turned}


def _sun(sky: Sky, rows: int, columns: int) -> Floats:
    """Return the sun's light on the sky's picture: soft at its rim."""
    polar = (np.arange(rows) + 0.5) / rows * math.pi
    turn = (np.arange(columns) + 0.5) / columns * 2 * math.pi
    # the map's own axes: y up before it is turned, seam where it stands behind -z
    x = np.sin(polar)[:, None] * np.sin(turn)[None, :]
    z = -np.sin(polar)[:, None] * np.cos(turn)[None, :]
    y = np.repeat(np.cos(polar)[:, None], columns, axis=1)
    towards = np.array([sky.sun_from[0], sky.sun_from[2], -sky.sun_from[1]])
    towards = towards / np.linalg.norm(towards)
    cosine = x * towards[0] + y * towards[1] + z * towards[2]
    angle = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    glow = np.exp(-((angle / sky.sun_size) ** 2))
    return np.asarray(glow[..., None] * np.asarray(sky.sun))


def _light(strength: Rgb) -> dict[str, Any]:
    return {"type": "area", "radiance": {"type": "rgb", "value": list(strength)}}


def _lamp(mi: Any, lamp: Lamp) -> dict[str, Any]:
    """Return a glowing sheet."""
    up = [0, 0, 1] if abs(lamp.at[0] - lamp.towards[0]) > 1 else [0, 1, 0]
    place = mi.ScalarTransform4f().look_at(origin=list(lamp.at), target=list(lamp.towards), up=up)
    place = place @ mi.ScalarTransform4f().scale([lamp.half, lamp.half, 1.0])
    return {"type": "rectangle", "to_world": place, "emitter": _light(lamp.strength)}


def _wood(loader: _Loader, wood: Planking) -> Any:
    """Return boards with their picture."""
    surface = {
        "type": "principled",
        "base_color": {"type": "bitmap", "bitmap": loader.mi.Bitmap(wood.picture), "raw": False},
        "roughness": 0.78 - 0.5 * wood.gloss,
        "specular": 0.3,
    }
    return _filled(loader, surface, wood)


def _body(loader: _Loader, body: TexturedMesh) -> Any:
    """Return a mesh with the picture of its colours."""
    picture = {"type": "bitmap", "bitmap": loader.mi.Bitmap(body.picture), "raw": True}
    return _filled(loader, _surface(body.surface, picture), body)


def _surface(surface: Surface, colour: dict[str, Any]) -> dict[str, Any]:
    """Return what a mesh is made of, as the path tracer's table."""
    if surface.clear:
        return {"type": "thindielectric"}
    if surface.through > 0:
        found: dict[str, Any] = {
            "type": "principledthin",
            "base_color": colour,
            "roughness": surface.rough,
            "diff_trans": 2 * surface.through,
            "eta": 1.3,
        }
        return found
    found = {"type": "principled", "base_color": colour, "roughness": surface.rough}
    found["metallic"] = 1.0 if surface.metal else 0.0
    return {"type": "twosided", "material": found} if surface.both else found


def _flock(loader: _Loader, flock: Flock, number: int) -> dict[str, Any]:
    """Return the prototype group and its copies."""
    group = f"group-{number}"
    tree: dict[str, Any] = {group: {"type": "shapegroup"}}
    for i, body in enumerate(merged(flock.group)):
        tree[group][f"part-{i}"] = _body(loader, body)
    for i, place in enumerate(np.asarray(flock.places, dtype=np.float64)):
        tree[f"copy-{number}-{i}"] = {
            "type": "instance",
            "to_world": loader.mi.ScalarTransform4f(place),
            "group": {"type": "ref", "id": group},
        }
    return tree


def _filled(
    loader: _Loader, surface: dict[str, Any], body: TexturedMesh | Planking
) -> dict[str, Any]:
    """Return the path tracer's mesh of some arrays."""
    file = loader.next_file()
    write_ply(file, body.points, body.normals, body.places, body.triangles)
    return {"type": "ply", "filename": str(file), "bsdf": surface}
