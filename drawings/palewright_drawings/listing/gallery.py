"""A folder of variants as a page to look through: ``README.md`` with a small picture of each.

A picture carries the mark of the parameters that it was made from in its comment, so that it is
known when it no longer shows what its variant says.
"""

from __future__ import annotations

import hashlib
import html
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Vector
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright_drawings.listing.image_encoding import image_file
from palewright_drawings.listing.rendered_picture import PictureRequest, pictured
from palewright_drawings.listing.shots import in_scene, scene_for
from palewright_drawings.listing.texts import grows_herbs, kind_words, overall_size, wood_words
from palewright_drawings.output.progress import Told, within

PAGE, PICTURES = "README.md", "pictures"
PIXELS, SAMPLES = 480, 24
"""Side of a picture, and samples a pixel: small and quick (judged by eye)."""

LARGEST = 40_000
"""Bytes of one picture: all together stay small enough to be kept beside the variants."""

_QUALITIES = (88, 84, 80, 75, 70, 60, 50, 40, 30)
"""JPEG qualities that are tried, the best first, until a picture is small enough."""

_OURS = "palewright "
_FIRST = "<!-- written by: palewright gallery -->"
_ABOUT = """\
# Variants

Each box is one parameter file; what it does not say comes from its base or from the defaults.
Pictures are computed from the files and differ from real boards in grain and colour. Sizes are over
everything. `palewright gallery FOLDER` writes this page anew and renders what has changed.
"""


@dataclass(frozen=True, eq=False)
class Entry:
    """One variant of a gallery: its file, its design, what its file says it shows."""

    path: Path
    design: Design
    says: str

    @property
    def name(self) -> str:
        """The variant's."""
        return self.path.stem

    @property
    def mark(self) -> str:
        """What is kept in the picture: a digest of what is seen of the box, not of its price."""
        box, parameters = self.design.box, self.design.parameters
        seen = [
            [_planted(self.design), parameters.lumber.seed, parameters.tree.model_dump_json()],
            [[name, board.stock.species, [_tenths(corner) for corner in board.corners]]
             for name, board in box.boards.items()],
            [[_tenths(screw.head), screw.kind.label] for screw in box.screws],
            parameters.screws.coating,
        ]  # fmt: skip
        return _OURS + hashlib.sha256(json.dumps(seen).encode()).hexdigest()[:16]

    @property
    def picture(self) -> Path:
        """Where its picture is."""
        return self.path.parent / PICTURES / f"{self.name}.jpg"


def _planted(design: Design) -> str:
    """Return in which scene a box stands, and what grows there."""
    return f"{scene_for(design)}{', herbs' if grows_herbs(design) else ''}"


def _tenths(point: Vector) -> list[int]:
    """Return a place in tenths of a millimetre; no size in inches lies where rounding may tip."""
    return [round(10 * value + 0.137) for value in point]


def entries_of(folder: Path) -> list[Entry]:
    """Return the variants of a folder by name.

    Raises:
        InputError: if there is no such folder, it holds none, or one of them cannot be built.
    """
    if not folder.is_dir():
        raise InputError("is a file; name a folder" if folder.exists() else "no such folder",
                         file=str(folder))  # fmt: skip
    paths = sorted(folder.glob("*.toml"))
    if not paths:
        raise InputError("holds no variant file (*.toml)", file=str(folder))
    return [_entry(path) for path in paths]


def _entry(path: Path) -> Entry:
    found = load_variant(str(path))
    made = design(found.parameters, found.name)
    try:
        made.box  # noqa: B018  (lay it out here, where a complaint can be given its place)
    except InputError as error:
        raise found.located(error) from None
    return Entry(path, made, first_remark(path.read_text(encoding="utf-8")))


def first_remark(text: str) -> str:
    """Return the remark that a variant file begins with, as one line; empty if there is none."""
    lines = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("# ").strip())
    return " ".join(lines)


def is_stale(entry: Entry) -> bool:
    """Whether a variant's picture is missing or was made from other parameters."""
    return kept_mark(entry.picture) != entry.mark


def kept_mark(picture: Path) -> str:
    """Return what a picture's comment says; empty where there is no such picture."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(picture) as image:
            comment = image.info.get("comment", b"")
    except (OSError, UnidentifiedImageError):
        return ""
    return comment.decode("ascii", "replace") if isinstance(comment, bytes) else str(comment)


def gallery_text(entries: list[Entry]) -> str:
    """Return the page: a row a variant, with picture, words, size, boards, how to build it."""
    rows = [f"| {_picture(entry)} | {'<br>'.join(_words(entry))} |" for entry in entries]
    table = "\n".join(["| | |", "| --- | --- |", *rows])
    return f"{_FIRST}\n\n{_ABOUT}\n{table}\n"


def _picture(entry: Entry) -> str:
    made = entry.design
    what = f"{kind_words(made)} of {wood_words(made)}, {in_scene(made, scene_for(made))}"
    place = f"{PICTURES}/{entry.picture.name}"
    return f'<img src="{place}" width="240" alt="{_escaped(entry.name)}: a {what}">'


def _words(entry: Entry) -> Iterator[str]:
    made, shipped = entry.design, shipped_variants().get(entry.name)
    yield f"**{_escaped(made.parameters.product.title)}**"
    if entry.says:
        yield _escaped(entry.says)
    yield overall_size(made)
    bought = [(one.plan.boards, one.demand.name) for one in made.board_plans]
    boards = ", ".join(f"{count} {name}" for count, name in bought)
    yield f"{len(made.box.boards)} parts from {boards}; {len(made.box.screws)} screws"
    ours = shipped is not None and shipped.resolve() == entry.path.resolve()
    asked = entry.name if ours else entry.path.name
    yield f"[{entry.path.name}]({entry.path.name}): `palewright build {asked}`"


def _escaped(text: str) -> str:
    """Return text that no cell of a table and no attribute stumbles over."""
    return html.escape(text).replace("|", "&#124;")


def require_ours(folder: Path) -> None:
    """Complain if the page's place holds a page that somebody wrote.

    Raises:
        InputError: naming the file.
    """
    page = folder / PAGE
    if page.exists() and not page.read_text(encoding="utf-8", errors="replace").startswith(_FIRST):
        raise InputError("was not written by palewright; move it away", file=str(page))


def left_over(folder: Path, entries: list[Entry]) -> list[Path]:
    """Return pictures that this made for variants that are no more."""
    wanted = {entry.picture for entry in entries}
    found = sorted((folder / PICTURES).glob("*.jpg"))
    return [path for path in found if path not in wanted and kept_mark(path).startswith(_OURS)]


def gallery_pictures(entries: list[Entry], told: Told) -> Iterator[tuple[Path, bytes]]:
    """Yield (place, bytes) of each variant's picture: in use, small, with its mark.

    Raises:
        InputError: if the extra ``pictures`` is not installed.
    """
    for i, entry in enumerate(entries):
        asked = PictureRequest(scene_for(entry.design), shape=(PIXELS, PIXELS), samples=SAMPLES)
        part = within(told, entry.name, i / len(entries), 1 / len(entries))
        yield entry.picture, small_file(pictured(entry.design, asked, part).pixels, entry.mark)


def small_file(pixels: NDArray[np.uint8], remark: str) -> bytes:
    """Return a JPEG of at most ``LARGEST`` bytes: the best quality that is small enough."""
    for quality in _QUALITIES:
        content = image_file(pixels, "JPEG", quality, remark)
        if len(content) <= LARGEST:
            break
    return content
