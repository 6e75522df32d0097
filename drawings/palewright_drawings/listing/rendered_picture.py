"""A picture of a design: scene, camera, finish, wood; path-traced, denoised, in sRGB."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright.reading.errors import InputError, nearest
from palewright_drawings.listing.image_encoding import image_file
from palewright_drawings.listing.pictured_wood import OWN, seen_in, wood_known
from palewright_drawings.output.progress import Told
from palewright_drawings.rendering.places.garden import garden
from palewright_drawings.rendering.places.porch import spring_porch
from palewright_drawings.rendering.places.studio import studio
from palewright_drawings.rendering.places.winter_room import winter_room
from palewright_drawings.rendering.scene.scene import Camera, Scene
from palewright_drawings.rendering.tracer.cameras import (
    VIEWS,
    Framing,
    framed,
    framing_of,
    held_still,
)
from palewright_drawings.rendering.tracer.path_tracer import Rendering, glowing, renderer, shown
from palewright_drawings.rendering.wood.species_looks import FINISHES, SurfaceFinish

Shape = tuple[int, int]
"""Width and height in pixels."""

SCENES: dict[str, Callable[[Design, SurfaceFinish, float, Framing], Scene]] = {
    "studio": studio,
    "spring-porch": spring_porch,
    "winter-room": winter_room,
    "garden": garden,
}
"""Scenes by name: (design, finish, pixels a mm, framing) to what stands in the picture."""

SCENE_WORDS = {
    "studio": "the box alone on a plain backdrop",
    "spring-porch": "planted with bulbs and trailing plants, on a porch",
    "winter-room": "with a cut conifer and its lights, indoors in the evening",
    "garden": "planted for summer before a hedge, with a climber on a trellis",
}
"""What each scene shows."""

LEAST_PIXELS, MOST_PIXELS = 64, 4000
"""Least and greatest side of a picture: a judgement."""

LONGEST = 4
"""The longer side is at most so many times the shorter: beyond it a box is a speck."""

PREVIEW_SAMPLES = 4
"""Samples a pixel of a quick picture: grainy, but it shows shapes and light (judged by eye)."""

SAMPLES = 0
"""As many samples as a picture of its size needs: ``samples_for``."""

_PREPARING = 0.08
"""Share of the time that goes into wood and plants before light is traced: measured, roughly."""


@dataclass(frozen=True, slots=True)
class PictureRequest:
    """What a picture is to show.

    Attributes:
        scene, view, finish: by name.
        shape: width and height in pixels.
        samples: a pixel; 0 for as many as a picture of this shape needs.
        wood: that all boards are pictured in, by name; ``own`` for what they are of.
    """

    scene: str = "studio"
    view: str = "hero"
    finish: str = "bare"
    shape: Shape = (1000, 1000)
    samples: int = SAMPLES
    wood: str = OWN

    def __post_init__(self) -> None:
        """Refuse what there is none of.

        Raises:
            InputError: naming what is allowed.
        """
        for key, value, known in (
            ("scene", self.scene, SCENES),
            ("view", self.view, VIEWS),
            ("finish", self.finish, FINISHES),
        ):
            if value not in known:
                allowed = ", ".join(known)
                raise InputError(
                    f"no {key} '{value}'{nearest(value, known)}; allowed: {allowed}",
                    key=f"--{key}",
                )
        wood_known(self.wood)
        if not all(LEAST_PIXELS <= side <= MOST_PIXELS for side in self.shape):
            raise InputError(
                f"{' x '.join(map(str, self.shape))} pixels is not allowed; "
                f"allowed: {LEAST_PIXELS} to {MOST_PIXELS}",
                key="--pixels",
            )
        if max(self.shape) > LONGEST * min(self.shape):
            raise InputError(
                f"{' x '.join(map(str, self.shape))} pixels is not allowed; allowed: the longer "
                f"side at most {LONGEST} times the shorter",
                key="--pixels",
            )


def require_suited(design: Design, scene: str) -> None:
    """Complain if a box cannot stand in a scene: a conifer would stand in its trellis.

    Raises:
        InputError: naming the scenes that it can stand in.
    """
    if scene == "winter-room" and design.parameters.trellis.fit:
        allowed = ", ".join(name for name in SCENES if name != scene)
        raise InputError(
            f"'{scene}' is not for a box with a trellis: a conifer would stand in it; "
            f"allowed: {allowed}",
            key="--scene",
        )


def samples_for(shape: Shape) -> int:
    """Return how many samples a pixel a picture needs: 32 for a million pixels.

    What noise is left after denoising is seen at one distance from any picture, so a picture of
    four times the pixels needs half as many samples a pixel for the same look (judged by eye).
    """
    return int(np.clip(round(32.0 * (1e6 / (shape[0] * shape[1])) ** 0.5), 12, 48))


def read_shape(text: str) -> Shape:
    """Return width and height from ``1000`` (a square) or ``1600x900``.

    Raises:
        InputError: if it is neither.
    """
    found = re.fullmatch(r"\s*(\d{1,6})\s*(?:[xX×]\s*(\d{1,6})\s*)?", text, re.ASCII)
    if found is None:
        raise InputError(
            f"'{text}' is no number of pixels; allowed: such as 1000, or 1600x900", key="--pixels"
        )
    return int(found[1]), int(found[2] or found[1])


def require_pictures() -> None:
    """Complain at once if pictures cannot be made here.

    Raises:
        InputError: if the extra ``pictures`` is not installed.
    """
    tracer = renderer()
    tracer.set_log_level(tracer.LogLevel.Error)  # it would tell of Ctrl-C in words of its own
    try:
        import PIL  # noqa: F401
    except ImportError as error:
        raise InputError(
            "pictures need the extra 'pictures' (PIL is missing); "
            "allowed after: pip install 'palewright[pictures]'"
        ) from error


def picture_file(design: Design, request: PictureRequest, told: Told, kind: str = "PNG") -> bytes:
    """Return a picture as a file of a kind of ``image_files.KINDS``.

    Args:
        design: the box.
        request: scene, view, finish, size.
        told: how far the work is.
        kind: ``PNG`` or ``JPEG``.

    Raises:
        InputError: if the extra ``pictures`` is not installed.
    """
    require_pictures()
    return image_file(pictured(design, request, told).pixels, kind)


@dataclass(frozen=True, eq=False)
class RenderedPicture:
    """A picture and where it was taken from: ``pixels`` (height, width, 3), sRGB."""

    pixels: NDArray[np.uint8]
    camera: Camera


def box_points(design: Design) -> Floats:
    """Return the corners of all boards, (n, 3), mm."""
    return np.array([c for board in design.box.boards.values() for c in board.corners])


def pictured(
    design: Design,
    request: PictureRequest,
    told: Told,
    subject: Floats | None = None,
    camera: Camera | None = None,
) -> RenderedPicture:
    """Return a picture.

    Args:
        design: what to show.
        request: how.
        told: told what is being done and which share is done.
        subject: points (n, 3), mm, that fill the picture; None for the box and what grows in it.
        camera: where to look from; None for where the subject fills the picture.

    Raises:
        InputError: if the extra ``pictures`` is not installed, or the scene is not for the box.
    """
    renderer()
    require_suited(design, request.scene)
    told("wood", 0.0)
    points = box_points(design) if subject is None else subject
    across = float(np.ptp(points[:, :2], axis=0).max())
    # a third finer than the picture, in which the box takes the middle 1 / 1.4 (judged by eye)
    density = 1.3 * min(request.shape) / (1.4 * across)

    frame = (points, VIEWS[request.view], *request.shape)
    framing = framing_of(*frame)
    if camera or subject is not None:
        framing = held_still(camera or framed(*frame))
    wood, finish = seen_in(design, request.wood), FINISHES[request.finish]
    scene = SCENES[request.scene](wood, finish, density, framing)
    seen_from = framing(scene.subject)
    told("light", _PREPARING)
    rendering = Rendering(scene, seen_from)
    linear = rendering.traced(
        request.samples or samples_for(request.shape),
        lambda share, _: told("light", _PREPARING + (1 - _PREPARING) * share),
    )
    glow = glowing(linear, scene.glow)
    return RenderedPicture(shown(glow, scene.exposure, scene.warmth), seen_from)
