"""The shop packet: every file of a design in one folder, whole or not at all.

Files are written into a folder beside the packet's place, the manifest last; then that folder
takes the place in one rename. A run that dies leaves the old packet or none, and its leftovers are
cleared by the next. The same design gives the same bytes, on any day, in any folder.
"""

from __future__ import annotations

import ctypes
import hashlib
import json
import platform
import sys
from collections.abc import Callable, Iterable, Mapping
from importlib.metadata import version
from pathlib import Path

from palewright import __version__
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.output.atomic_folders import (
    MANIFEST,
    TOOL,
    beside,
    clear_leftovers,
    made,
    refuse_taken,
    take_place,
    untold,
)
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest, asked_kinds, usual_kinds

SHAPING = (
    "cadquery", "cadquery-ocp", "ezdxf", "fonttools", "highspy", "manifold3d", "matplotlib",
    "numpy", "segno", "trimesh", "typst",
)  # fmt: skip
"""The libraries whose versions shape the bytes of a packet: with others, other bytes."""


def write_packet(
    asked: PacketRequest,
    folder: Path,
    kinds: Iterable[str] | None = None,
    progress: Progress | None = None,
    tell: Callable[[str], None] = untold,
) -> Path:
    """Write a packet to ``folder/<variant>/`` and return that path.

    Args:
        asked: the box, and what else its files say.
        folder: where the packet's folder goes; made if it is not there.
        kinds: kinds of ``WRITERS`` to write; all usual ones by default. The packet then holds only
            these: it is replaced, not added to; what the maker changed in it is kept beside it.
        progress: told each stage.
        tell: told, in a line, where that is kept.

    Raises:
        InputError: for an unknown kind, a name that is no folder's, parameters that cannot be
            built, a place that is taken by something that is no packet, or a disk that refuses.
    """
    chosen = usual_kinds() if kinds is None else asked_kinds(list(kinds))
    for kind in chosen:
        WRITERS[kind].ready()
    place = folder / _folder_name(asked.design.name)
    asked.design.box  # noqa: B018  (what cannot be laid out must complain before anything is made)
    refuse_taken(place)
    try:
        with made(folder):
            clear_leftovers(place, tell)
            with beside(place) as fresh:
                _fill(fresh, asked, chosen, progress or Silent())
                refuse_taken(place)
                take_place(fresh, place, tell)
    except OSError as error:
        where = str(error.filename or folder)
        raise InputError(f"cannot be written: {error.strerror or error}", file=where) from error
    return place


def _folder_name(name: str) -> str:
    """Return a variant's name if it can name a folder inside another."""
    if not name or name.startswith(".") or any(sign in name for sign in "/\\\0"):
        raise InputError(f"'{name}' cannot name a packet; rename the variant file")
    return name


def _fill(fresh: Path, asked: PacketRequest, kinds: list[str], progress: Progress) -> None:
    """Write the files of some kinds, then the manifest."""
    files: dict[str, dict[str, object]] = {}
    for kind in kinds:
        for path, content in WRITERS[kind].files(asked, progress):
            whole = fresh / path
            whole.parent.mkdir(parents=True, exist_ok=True)
            whole.write_bytes(content)
            files[path] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
            if WRITERS[kind].repeats:
                files[path]["same bytes"] = WRITERS[kind].repeats
        _give_back()
    text = json.dumps(manifest(asked.design, files), indent=2, ensure_ascii=False)
    (fresh / MANIFEST).write_text(f"{text}\n", encoding="utf-8", newline="\n")


def _give_back() -> None:
    """Give the system back what a writer is done with.

    The CAD kernel's many small pieces, 140 MB of a box of 10,000 screws, would lie idle beside the
    next writer's data.
    """
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None
    if trim:
        trim(0)


def manifest(design: Design, files: Mapping[str, Mapping[str, object]]) -> dict[str, object]:
    """Return what ``MANIFEST.json`` says: tool, version, variant, parameters, files by path."""
    return {
        "tool": TOOL,
        "version": __version__,
        "made with": {"python": platform.python_version(), **{n: version(n) for n in SHAPING}},
        "variant": design.name,
        "parameters": parameters_as_json(design.parameters),
        "files": {path: dict(files[path]) for path in sorted(files)},
    }
