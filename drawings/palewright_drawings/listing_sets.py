"""A listing: pictures in the shapes that markets ask for, captions, alt text, a draft of words."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.design import Design
from palewright_drawings.listing_texts import kind_words, listing_text, size_line, wood_words
from palewright_drawings.picture_files import (
    PictureRequest,
    box_points,
    pictured,
    png,
)
from palewright_drawings.pictures.wood_looks import finish_of
from palewright_drawings.progress import Progress
from palewright_drawings.size_graphics import overall_spans, side_by_side, sized, span_points

Floats = NDArray[np.float64]
Pixels = NDArray[np.uint8]

SHAPES: dict[str, tuple[int, int]] = {"square": (1, 1), "4x5": (4, 5), "16x9": (16, 9)}
"""Shapes of the hero, as width to height."""

CHOICES = ("bare", "walnut-stain", "sage-paint", "ink-paint")
"""Finishes shown side by side."""


@dataclass(frozen=True, slots=True)
class ListingRequest:
    """How a listing is made: finish by name, pixels of the longer side, samples a pixel."""

    finish: str = "bare"
    pixels: int = 2000
    samples: int = 48


@dataclass(frozen=True, eq=False)
class Shot:
    """A picture of a listing with its words: ``alt`` for who cannot see it."""

    name: str
    pixels: Pixels
    caption: str
    alt: str


def shape_pixels(name: str, longer: int) -> tuple[int, int]:
    """Return width and height in pixels of a shape whose longer side is given."""
    wide, high = SHAPES[name]
    scale = longer / max(wide, high)
    return round(wide * scale), round(high * scale)


def scene_for(design: Design) -> str:
    """Return the scene that shows what a box is for."""
    if design.parameters.box.kind == "tree":
        return "winter-room"
    return "garden" if design.parameters.trellis.fit else "spring-porch"


def corner_points(design: Design) -> Floats:
    """Return points round the upper corner at the front right, where boards meet, mm."""
    points = box_points(design)
    low, high = points.min(axis=0), points.max(axis=0)
    top = min(float(high[2]), design.parameters.box.height + 20.0)
    reach = 0.52 * float(min(high[0] - low[0], high[1] - low[1], top))
    x, y = float(high[0]), float(low[1])
    return np.array([[a, b, c] for a in (x - reach, x) for b in (y, y + 0.6 * reach)
                     for c in (top - reach, top)])  # fmt: skip


def shots(design: Design, request: ListingRequest, progress: Progress) -> Iterator[Shot]:
    """Yield the pictures of a listing, each as soon as it is done.

    Raises:
        InputError: if the extra ``pictures`` is not installed, or the finish is unknown.
    """
    finish_of(request.finish)
    title = design.parameters.product.title
    what = f"{kind_words(design)} of {wood_words(design)}"
    size = size_line(design)
    main = scene_for(design)
    square = (request.pixels, request.pixels)

    def taken(
        scene: str,
        view: str,
        shape: tuple[int, int] = square,
        finish: str = request.finish,
        subject: Floats | None = None,
    ) -> Pixels:
        asked = PictureRequest(scene, view, finish, samples=request.samples)
        return pictured(design, asked, shape, progress, subject).pixels

    place = main.replace("-", " ")
    for name in SHAPES:
        yield Shot(f"hero-{name}", taken(main, "hero", shape_pixels(name, request.pixels)),
                   f"{title}: {size}", f"A {what} in use: {place}. It is {size}.")  # fmt: skip
    yield Shot("three-quarter", taken("studio", "three-quarter"), f"{title}, seen from the right",
               f"The empty {what} from the front right, on a plain floor.")  # fmt: skip
    yield Shot("corner", taken("studio", "three-quarter", subject=corner_points(design)),
               "The corner: how boards, brace and cap meet",
               "Close view of the upper front corner with the grain of the boards.")  # fmt: skip
    yield Shot("above", taken("studio", "above"), f"{title}, from above",
               f"The {what} from above: the cap's corners and the inside.")  # fmt: skip
    yield _sizes(design, request, progress, title, what, size)
    half = (round(request.pixels / 2), round(request.pixels / 2))
    each = [taken("studio", "hero", half, finish) for finish in CHOICES]
    names = [finish.replace("-", " ") for finish in CHOICES]
    yield Shot("choices", side_by_side(each, names), f"Finishes: {', '.join(names)}",
               f"The same {what} in {len(names)} finishes: {', '.join(names)}.")  # fmt: skip
    tall = shape_pixels("4x5", request.pixels)
    seasons = [taken(scene, "hero", tall) for scene in ("spring-porch", "winter-room")]
    yield Shot("seasons", side_by_side(seasons, ["spring", "winter"]), "Spring and winter",
               f"The {what} twice: planted in spring, and with a lit tree in winter.")  # fmt: skip


def _sizes(
    design: Design, request: ListingRequest, progress: Progress, title: str, what: str, size: str
) -> Shot:
    """Return the picture with the overall sizes over it."""
    points = box_points(design)
    spans = overall_spans(points)
    asked = PictureRequest("studio", "three-quarter", request.finish, samples=request.samples)
    subject = np.concatenate([points, span_points(spans)])
    shape = (request.pixels, request.pixels)
    picture = pictured(design, asked, shape, progress, subject)
    return Shot("sizes", sized(picture.pixels, picture.camera, spans), f"{title}: overall {size}",
                f"The {what} with its sizes: {size}.")  # fmt: skip


def listing_files(
    design: Design, request: ListingRequest, progress: Progress
) -> Iterator[tuple[str, bytes]]:
    """Yield (name, bytes): the words first, then pictures, last captions and alt text.

    Raises:
        InputError: if the extra ``pictures`` is not installed, or the finish is unknown.
    """
    yield "listing.txt", listing_text(design).encode()
    said: dict[str, dict[str, str]] = {}
    for shot in shots(design, request, progress):
        yield f"{shot.name}.png", png(shot.pixels)
        said[f"{shot.name}.png"] = {"caption": shot.caption, "alt": shot.alt}
    yield "captions.json", (json.dumps(said, indent=2, ensure_ascii=False) + "\n").encode()
