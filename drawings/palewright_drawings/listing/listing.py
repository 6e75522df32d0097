"""A listing: its pictures, captions, alt text and a draft of its words, in one folder.

The folder stands whole or not at all. Pictures take long, so each one that is done is kept, whole,
in a hidden folder beside its place: a run that was stopped goes on from there when the same
listing is asked for again, and the hidden folder becomes the listing in one rename.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from palewright import __version__
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.listing.image_encoding import image_file
from palewright_drawings.listing.listing_words import listing_text
from palewright_drawings.listing.pictured_wood import OWN
from palewright_drawings.listing.rendered_picture import pictured
from palewright_drawings.listing.shots import ListingRequest, Shot, shots_of
from palewright_drawings.output.atomic_folders import (
    MANIFEST,
    TOOL,
    clear_leftovers,
    is_as_written,
    locked,
    made,
    refuse_taken,
    take_place,
    unlock,
    untold,
)
from palewright_drawings.output.progress import Told, within

PART = ".palewright-part"
ENDINGS = {"PNG": ".png", "JPEG": ".jpg"}


class PartialListing:
    """A listing that is being made: files that are done, each whole, and the manifest of them."""

    def __init__(self, folder: Path, head: dict[str, Any]) -> None:
        """Go on with what is there if it belongs to the same listing, else begin anew."""
        self.folder, self._head = folder, json.loads(json.dumps(head))
        self.files: dict[str, dict[str, Any]] = {}
        found = _manifest(folder)
        files = found.pop("files", {})
        if found == self._head:
            self.files = {
                name: was
                for name, was in files.items()
                if is_as_written(folder / name, was["sha256"])
            }
        for path in folder.iterdir():
            if path.name not in {MANIFEST, *self.files}:
                path.unlink()
        self._note(self.files)

    def keep(self, name: str, content: bytes) -> None:
        """Keep a file that is done; done is what the manifest names, whenever a run is stopped."""
        self._put(name, content)
        row = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
        self._note({**self.files, name: row})

    def _note(self, files: dict[str, dict[str, Any]]) -> None:
        """Write the manifest of the files that are done."""
        whole = {**self._head, "files": {key: files[key] for key in sorted(files)}}
        self._put(MANIFEST, (json.dumps(whole, indent=2, ensure_ascii=False) + "\n").encode())
        self.files = files

    def _put(self, name: str, content: bytes) -> None:
        """Put a file in its place whole."""
        fresh = self.folder / f".{name}.new"
        fresh.write_bytes(content)
        fresh.replace(self.folder / name)


def write_listing(
    design: Design,
    request: ListingRequest,
    place: Path,
    told: Told,
    tell: Callable[[str], None] = untold,
) -> None:
    """Make a listing's folder at a place, or go on with one that was stopped.

    Args:
        design: what is offered.
        request: how it is pictured.
        place: the folder; one that holds an older listing is replaced when the new one is whole.
        told: told what is being done and which share of all pictures is done.
        tell: told, in a line, where what the maker changed in an older one is kept.

    Raises:
        InputError: for parameters that cannot be built, a place taken by something else, another
            run at work on it, or a disk that refuses.
    """
    if place.name in ("", ".."):
        raise InputError("is no name for a listing's own folder", key="--out", file=str(place))
    refuse_taken(place, "listing", "listing")
    shots = shots_of(design, request)
    head = {
        "tool": TOOL,
        "version": __version__,
        "variant": design.name,
        "parameters": parameters_as_json(design.parameters),
        "listing": asdict(request),
    }
    try:
        with made(place.parent), _part(place, head, tell) as part:
            for name, content in _pictures(design, shots, request, part, told):
                part.keep(name, content)
            for name, text in _words(design, shots, request).items():
                part.keep(name, text.encode())
            refuse_taken(place, "listing", "listing")
            take_place(part.folder, place, tell)
    except OSError as error:
        where = str(error.filename or place)
        raise InputError(f"cannot be written: {error.strerror or error}", file=where) from error


def part_folder(place: Path) -> Path:
    """Return where a listing's files wait until all are done."""
    return place.with_name(f".{place.name}{PART}")


def pictures_kept(place: Path) -> int:
    """Return how many pictures of a stopped listing are done, as its manifest says."""
    files = _manifest(part_folder(place)).get("files", {})
    return sum(name.endswith(tuple(ENDINGS.values())) for name in files)


def _manifest(folder: Path) -> dict[str, Any]:
    """Return what the manifest of a listing says; nothing where there is none of ours."""
    with suppress(OSError, ValueError, KeyError, TypeError, AttributeError):
        found = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        if all(isinstance(was["sha256"], str) for was in found["files"].values()):
            return dict(found)
    return {}


@contextmanager
def _part(
    place: Path, head: dict[str, Any], tell: Callable[[str], None]
) -> Iterator[PartialListing]:
    """Give the folder in which a listing is made; where nothing was done it goes away again."""
    clear_leftovers(place, tell)
    folder = part_folder(place)
    folder.mkdir(exist_ok=True)
    lock = locked(folder)
    if lock is None:
        raise InputError("another run is making this listing; wait for it", file=str(place))
    part = PartialListing(folder, head)
    try:
        yield part
    finally:
        if not part.files:
            shutil.rmtree(folder, ignore_errors=True)
        unlock(lock)


def _pictures(
    design: Design,
    shots: tuple[Shot, ...],
    request: ListingRequest,
    part: PartialListing,
    told: Told,
) -> Iterator[tuple[str, bytes]]:
    """Yield (name, bytes) of each picture that is not there yet."""
    total = sum(shot.cost for shot in shots)
    wanted = {_file_name(shot, request): shot for shot in shots}
    done = sum(shot.cost for name, shot in wanted.items() if name in part.files)
    for name, shot in wanted.items():
        if name in part.files:
            continue
        pictures = []
        for take in shot.takes:
            part_told = within(told, shot.name, done / total, take.cost / total)
            pictures.append(pictured(design, take.request, part_told, take.subject, take.camera))
            done += take.cost
        yield name, image_file(shot.joined(pictures), request.kind)


def _file_name(shot: Shot, request: ListingRequest) -> str:
    return f"{shot.name}{ENDINGS[request.kind]}"


def _words(design: Design, shots: tuple[Shot, ...], request: ListingRequest) -> dict[str, str]:
    """Return the files of words: the draft, captions and alt text to copy and for programs."""
    wood = "" if request.wood == OWN else request.wood
    said = {_file_name(shot, request): {"caption": shot.caption, "alt": shot.alt} for shot in shots}
    rows = [f"{name}\n{words['caption']}\n{words['alt']}\n" for name, words in said.items()]
    return {
        "listing.txt": listing_text(design, request.finish, wood),
        "captions.txt": "\n".join(rows),
        "captions.json": json.dumps(said, indent=2, ensure_ascii=False) + "\n",
    }
