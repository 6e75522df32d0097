"""The pictures of a packet: the box in use, plain, and from above, as PNG."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.design import Design
from palewright_drawings.listing.rendered_picture import PictureRequest, picture_file
from palewright_drawings.listing.shots import scene_for
from palewright_drawings.output.progress import Progress, Shares, within

PIXELS, SAMPLES = 1000, 32
"""Side of a picture, and samples a pixel: judged by eye."""


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
