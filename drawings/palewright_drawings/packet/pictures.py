"""The pictures of a packet: the box in use, plain, and from above, as PNG."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.documents.plan.cover import Photo
from palewright_drawings.listing.rendered_picture import (
    PictureRequest,
    picture_file,
    require_pictures,
)
from palewright_drawings.listing.shots import in_scene, scene_for
from palewright_drawings.listing.texts import kind_words, wood_words
from palewright_drawings.output.progress import Progress, Shares, within

PIXELS, SAMPLES = 1000, 32
"""Side of a picture, and samples a pixel: judged by eye."""

COVER, COVER_SAMPLES = (960, 622), 4
"""Pixels of the cover's picture (113 an inch of Letter), and samples: in seconds, and clean after
denoising (judged by eye)."""


def cover_photo(design: Design, progress: Progress) -> Photo | None:
    """Return the picture on the cover of a plan that is sold; None without the extra."""
    try:
        require_pictures()
    except InputError:
        return None
    scene = scene_for(design)
    asked = PictureRequest(scene, "hero", shape=COVER, samples=COVER_SAMPLES)
    alt = f"A {kind_words(design)} of {wood_words(design)}, {in_scene(design, scene)}"
    return Photo(picture_file(design, asked, Shares(progress, "cover"), "JPEG"), alt)


def packet_pictures(
    design: Design, progress: Progress, pixels: int = PIXELS
) -> Iterator[tuple[str, bytes]]:
    """Yield (name, PNG) of each picture.

    Raises:
        InputError: if the extra ``pictures`` is not installed.
    """
    shape = (pixels, pixels)
    asked = {
        "hero": PictureRequest(scene_for(design), "hero", shape=shape, samples=SAMPLES),
        "three-quarter": PictureRequest("studio", "three-quarter", shape=shape, samples=SAMPLES),
        "above": PictureRequest("studio", "above", shape=shape, samples=SAMPLES),
    }
    told = Shares(progress, "pictures")
    for number, (name, request) in enumerate(asked.items()):
        part = within(told, name, number / len(asked), 1 / len(asked))
        yield name, picture_file(design, request, part)
