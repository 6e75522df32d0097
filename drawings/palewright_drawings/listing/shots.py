"""What a listing shows, as data: each picture with its renderings, its caption, its alt text."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from palewright.design import Design
from palewright.geometry.arrays import Bytes, Floats
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH
from palewright_drawings.listing.picture_grid import PictureGrid
from palewright_drawings.listing.pictured_wood import OWN
from palewright_drawings.listing.rendered_picture import (
    MOST_PIXELS,
    SAMPLES,
    PictureRequest,
    RenderedPicture,
    Shape,
    box_points,
    require_pictures,
    samples_for,
)
from palewright_drawings.listing.size_camera import sized_view
from palewright_drawings.listing.size_graphics import sized
from palewright_drawings.listing.texts import (
    finish_words,
    grows_herbs,
    kind_words,
    name_words,
    overall_size,
    size_line,
    wood_words,
)
from palewright_drawings.rendering.scene.scene import Camera

SHAPES: dict[str, tuple[int, int]] = {"square": (1, 1), "4x5": (4, 5), "16x9": (16, 9)}
"""Shapes of the hero, as width to height."""

FINISHES_SHOWN = ("bare", "walnut-stain", "sage-paint", "ink-paint")
"""Finishes shown side by side."""

WOODS_SHOWN = ("treated-pine", "cedar", "spruce", "weathered")
"""Woods shown side by side; ``weathered`` is any of them after some years outdoors."""

LEAST = 150
"""Bytes of the longer side: pictures side by side get no fewer than a picture may have."""

_DENSE = {"studio": 1.0, "spring-porch": 1.4, "winter-room": 2.1, "garden": 2.1}
"""How long light in a scene takes beside the studio's: measured by ``bench_pictures.py``."""

_PREPARING = 0.25
"""Wood of a picture takes so long a pixel beside its light at ``_OFTEN`` samples, in the studio."""

_PLANTS = 80_000
"""What grows takes about as long as the light of so many pixels of the studio."""

_OFTEN = 32
"""Samples a pixel of a picture of a million pixels."""


IN_SCENE = {
    "spring-porch": "planted with spring flowers on a porch",
    "winter-room": "with a lit conifer in a room in the evening",
    "garden": "planted for summer in a garden, with a climber",
}
"""What the scenes show, for who cannot see them, where flowers grow in the box."""

_DEEP, _WIDE = 9 * INCH, 14 * INCH
"""Least soil (mm) and least side of a box in which a conifer is pictured: a judgement."""


def in_scene(design: Design, scene: str) -> str:
    """Return what a scene shows of a box, for who cannot see it."""
    told = IN_SCENE[scene]
    if grows_herbs(design) and scene != "winter-room":
        told = re.sub("planted with spring flowers|planted for summer", "planted with herbs", told)
    return told if design.parameters.trellis.fit else told.replace(", with a climber", "")


@dataclass(frozen=True, slots=True)
class ListingRequest:
    """How a listing is made.

    Attributes:
        finish, wood: by name, of all pictures but those that set several side by side.
        pixels: of the longer side.
        samples: a pixel.
        kind: of the files: ``PNG`` or ``JPEG``.
    """

    finish: str = "bare"
    wood: str = OWN
    pixels: int = 2000
    samples: int = SAMPLES
    kind: str = "PNG"

    def __post_init__(self) -> None:
        """Refuse what there is none of, before anything is made.

        Raises:
            InputError: naming what is allowed, or that the extra ``pictures`` is missing.
        """
        require_pictures()
        if not LEAST <= self.pixels <= MOST_PIXELS:
            raise InputError(
                f"{self.pixels} pixels is not allowed; allowed: {LEAST} to {MOST_PIXELS}",
                key="--pixels",
            )
        self.of("studio", "hero", (self.pixels, self.pixels))

    def of(self, scene: str, view: str, shape: Shape) -> PictureRequest:
        """Return a picture in the finish and the wood of the listing."""
        return PictureRequest(scene, view, self.finish, shape, self.samples, self.wood)


@dataclass(frozen=True, eq=False)
class Take:
    """One rendering: how, what fills it (None: all), where from (None: where all is seen)."""

    request: PictureRequest
    subject: Floats | None = None
    camera: Camera | None = None

    @property
    def cost(self) -> float:
        """How long it takes beside others."""
        shape, asked = self.request.shape, self.request.samples
        pixels = shape[0] * shape[1]
        light = pixels * (asked or samples_for(shape)) / _OFTEN
        return light * _DENSE[self.request.scene] + _PREPARING * pixels + _PLANTS


@dataclass(frozen=True, eq=False)
class Shot:
    """A picture of a listing with its words: ``alt`` for who cannot see it."""

    name: str
    caption: str
    alt: str
    takes: tuple[Take, ...]
    joined: Callable[[list[RenderedPicture]], Bytes] = lambda pictures: pictures[0].pixels

    @property
    def cost(self) -> float:
        """How long it takes beside others."""
        return sum(take.cost for take in self.takes)


def shape_of(name: str, longer: int) -> Shape:
    """Return width and height in pixels of a shape whose longer side is given."""
    wide, high = SHAPES[name]
    scale = longer / max(wide, high)
    return round(wide * scale), round(high * scale)


def scene_for(design: Design) -> str:
    """Return the scene that shows what a box is for."""
    if design.parameters.box.kind == "tree":
        return "winter-room"
    return "garden" if design.parameters.trellis.fit else "spring-porch"


def seasons_of(design: Design) -> tuple[tuple[str, str], ...]:
    """Return (season, scene) of the scenes that a box can stand in: one for a tree box."""
    if design.parameters.box.kind == "tree":
        return (("winter", "winter-room"),)
    soil, sizes = design.loads.weights.soil, design.box.sizes
    deep = soil.height >= _DEEP and min(sizes.width, sizes.depth) >= _WIDE
    # a conifer would stand in a trellis, and does not live in a trough of herbs or on a sill
    if design.parameters.trellis.fit or grows_herbs(design) or not deep:
        return (("spring", "spring-porch"), ("summer", "garden"))
    return (("spring", "spring-porch"), ("winter", "winter-room"))


def shots_of(design: Design, request: ListingRequest) -> tuple[Shot, ...]:
    """Return the pictures of a listing, the one that sells first.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    return (
        *_heroes(design, request),
        *_plain(design, request),
        _sizes(design, request),
        _side_by_side(design, request, "woods"),
        _side_by_side(design, request, "finishes"),
        *_seasons(design, request),
    )


def _what(design: Design, request: ListingRequest, finished: bool = True) -> str:
    """Return what is pictured, in its wood and, unless left out, its finish: not what is sold."""
    wood = wood_words(design) if request.wood == OWN else name_words(request.wood)
    if request.wood == "weathered":
        wood = "weathered wood"
    finish = finish_words(request.finish) if finished else ""
    return f"{kind_words(design)} of {wood}" + (f", finished in {finish}" if finish else "")


def _heroes(design: Design, request: ListingRequest) -> tuple[Shot, ...]:
    """Return the box in use, in each shape that markets ask for."""
    scene, title = scene_for(design), design.parameters.product.title
    caption = f"{title}: {overall_size(design)}"
    alt = (
        f"A {_what(design, request)}: in use, {in_scene(design, scene)}. It is {size_line(design)}."
    )
    return tuple(
        Shot(f"hero-{name}", caption, alt,
             (Take(request.of(scene, "hero", shape_of(name, request.pixels))),))
        for name in SHAPES
    )  # fmt: skip


def _plain(design: Design, request: ListingRequest) -> tuple[Shot, ...]:
    """Return the empty box on a plain floor: from the right, close by, from above."""
    title, what = design.parameters.product.title, _what(design, request)
    square = (request.pixels, request.pixels)
    right, left, above = (
        request.of("studio", view, square) for view in ("three-quarter", "hero", "above")
    )
    return (
        Shot("three-quarter", f"{title}, seen from the right",
             f"The empty {what}: from the front right, on a plain floor.", (Take(right),)),
        Shot("corner", "The corner: how the boards meet",
             f"Close view of the upper front corner of the {what}: its boards.",
             (Take(left, corner_points(design)),)),
        Shot("above", f"{title}, from above",
             f"The empty {what}: from above, its top and the inside.", (Take(above),)),
    )  # fmt: skip


def corner_points(design: Design) -> Floats:
    """Return points round the upper front left corner, where boards meet, mm."""
    points = box_points(design)
    low, high = points.min(axis=0), points.max(axis=0)
    top = min(float(high[2]), design.box.sizes.height + 20.0)
    reach = 0.55 * float(min(high[0] - low[0], high[1] - low[1], top))
    x, y = float(low[0]), float(low[1])
    return np.array([[a, b, c] for a in (x, x + reach) for b in (y, y + 0.4 * reach)
                     for c in (top - reach, top)])  # fmt: skip


def _sizes(design: Design, request: ListingRequest) -> Shot:
    """Return the picture with the overall sizes over it."""
    points = box_points(design)
    camera, spans = sized_view(
        points, request.pixels, request.pixels, design.parameters.product.units
    )
    asked = request.of("studio", "three-quarter", (request.pixels, request.pixels))
    title, size = design.parameters.product.title, size_line(design)
    return Shot(
        "sizes",
        f"{title}: {overall_size(design)}",
        f"The {_what(design, request)}: with its sizes, {size}.",
        (Take(asked, points, camera),),
        lambda pictures: sized(pictures[0].pixels, camera, spans),
    )


def _side_by_side(design: Design, request: ListingRequest, what: str) -> Shot:
    """Return the box four times in one square: in several ``woods``, or ``finishes``."""
    grid = PictureGrid(request.pixels, request.pixels, 2, 2)
    asked = request.of("studio", "hero", grid.shape)
    if what == "woods":
        shown, same = WOODS_SHOWN, kind_words(design)
        takes = tuple(Take(replace(asked, wood=name, finish="bare")) for name in shown)
    else:
        shown, same = FINISHES_SHOWN, _what(design, request, finished=False)
        takes = tuple(Take(replace(asked, finish=name)) for name in shown)
    names = [name.replace("-", " ") for name in shown]
    return Shot(
        what,
        f"{what.capitalize()}: {', '.join(names)}",
        f"The same {same} four times, in different {what}: {', '.join(names)}.",
        takes,
        lambda pictures: grid.filled([one.pixels for one in pictures], names),
    )


def _seasons(design: Design, request: ListingRequest) -> tuple[Shot, ...]:
    """Return the box in two seasons, where it can stand in two."""
    seasons = seasons_of(design)
    if len(seasons) < 2:
        return ()
    grid = PictureGrid(request.pixels, round(0.75 * request.pixels), len(seasons), 1)
    takes = tuple(Take(request.of(scene, "hero", grid.shape)) for _, scene in seasons)
    names = [season for season, _ in seasons]
    said = " and ".join(f"in {name}, {in_scene(design, scene)}" for name, scene in seasons)
    shot = Shot(
        "seasons",
        " and ".join(names).capitalize(),
        f"The same {_what(design, request)}: {said}.",
        takes,
        lambda pictures: grid.filled([one.pixels for one in pictures], names),
    )
    return (shot,)
