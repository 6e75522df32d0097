"""A picture of a design as PNG bytes: scene, camera, samples, denoised, in sRGB."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.design import Design
from palewright.errors import InputError, nearest
from palewright_drawings.pictures.cameras import VIEWS, framed
from palewright_drawings.pictures.gardens import garden
from palewright_drawings.pictures.porches import spring_porch
from palewright_drawings.pictures.renderers import Rendering, renderer, shown
from palewright_drawings.pictures.scene_parts import Camera, Scene
from palewright_drawings.pictures.studios import studio
from palewright_drawings.pictures.winter_rooms import winter_room
from palewright_drawings.pictures.wood_looks import Finish, finish_of
from palewright_drawings.progress import Progress

Floats = NDArray[np.float64]

SCENES: dict[str, Callable[[Design, Finish, float], Scene]] = {
    "studio": studio,
    "spring-porch": spring_porch,
    "winter-room": winter_room,
    "garden": garden,
}
"""Scenes by name: (design, finish, pixels a mm) to what stands in the picture."""

LEAST_PIXELS, MOST_PIXELS = 64, 4000
PREVIEW_SAMPLES, SAMPLES = 8, 48


@dataclass(frozen=True, slots=True)
class PictureRequest:
    """What a picture is to show.

    Attributes:
        scene, view, finish: by name.
        pixels: width and height.
        samples: a pixel.
    """

    scene: str = "studio"
    view: str = "hero"
    finish: str = "bare"
    pixels: int = 1000
    samples: int = SAMPLES

    def __post_init__(self) -> None:
        """Refuse what there is none of.

        Raises:
            InputError: naming what is allowed.
        """
        for key, value, known in (("scene", self.scene, SCENES), ("view", self.view, VIEWS)):
            if value not in known:
                allowed = ", ".join(known)
                raise InputError(
                    f"no {key} '{value}'{nearest(value, known)}; allowed: {allowed}",
                    key=f"--{key}",
                )
        if not LEAST_PIXELS <= self.pixels <= MOST_PIXELS:
            raise InputError(
                f"{self.pixels} pixels is not allowed; allowed: {LEAST_PIXELS} to {MOST_PIXELS}",
                key="--pixels",
            )


def picture_file(design: Design, request: PictureRequest, progress: Progress) -> bytes:
    """Return a picture as PNG.

    Raises:
        InputError: if the extra ``pictures`` is not installed, or the finish is unknown.
    """
    shape = (request.pixels, request.pixels)
    return png(pictured(design, request, shape, progress).pixels)


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture and where it was taken from: ``pixels`` (height, width, 3), sRGB."""

    pixels: NDArray[np.uint8]
    camera: Camera


def box_points(design: Design) -> Floats:
    """Return the corners of all boards, (n, 3), mm."""
    return np.array([c for board in design.box.boards.values() for c in board.corners()])


def pictured(
    design: Design,
    request: PictureRequest,
    shape: tuple[int, int],
    progress: Progress,
    subject: Floats | None = None,
) -> Picture:
    """Return a picture of a shape of its own.

    Args:
        design: what to show.
        request: how; its ``pixels`` are not read.
        shape: width and height.
        progress: told how far it is.
        subject: points (n, 3), mm, that fill the picture; None for the box and what grows in it.

    Raises:
        InputError: if the extra ``pictures`` is not installed, or the finish is unknown.
    """
    renderer()
    finish = finish_of(request.finish)
    points = box_points(design) if subject is None else subject
    progress.begin("wood", 1)
    across = float(np.ptp(points[:, :2], axis=0).max())
    scene = SCENES[request.scene](design, finish, 1.3 * min(shape) / (1.4 * across))
    progress.advance()
    if scene.subject is not None and subject is None:
        points = np.concatenate([points, scene.subject])
    camera = framed(points, VIEWS[request.view], *shape)
    progress.begin("light", 100)
    rendering = Rendering(scene, camera)
    done = 0

    def told(share: float, left: float) -> None:
        nonlocal done
        step = int(100 * share)
        progress.note(f"light, {left:.0f} s left")
        progress.advance(step - done)
        done = step

    linear = rendering.traced(request.samples, told)
    return Picture(shown(linear, scene.exposure, scene.warmth), camera)


def png(pixels: NDArray[np.uint8]) -> bytes:
    """Return pixels (height, width, 3) as PNG that says it is sRGB."""
    from PIL import Image, PngImagePlugin

    said = PngImagePlugin.PngInfo()
    said.add(b"sRGB", b"\x00")
    content = io.BytesIO()
    Image.fromarray(pixels).save(content, "PNG", pnginfo=said, optimize=False)
    return content.getvalue()
