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
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from palewright import __version__
from palewright.reading.errors import InputError
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
from palewright_drawings.packet.writers import PacketRequest, asked_kinds, usual_kinds

if TYPE_CHECKING:
    from palewright_drawings.packet.batch_writers import BatchRequest

SHAPING = (
    "cadquery", "cadquery-ocp", "ezdxf", "fonttools", "highspy", "manifold3d", "matplotlib",
    "numpy", "trimesh", "typst", "zxing-cpp",
)  # fmt: skip
"""The libraries whose versions shape the bytes of a packet: with others, other bytes."""


def write_packet(
    asked: PacketRequest | BatchRequest,
    folder: Path,
    kinds: Iterable[str] | None = None,
    progress: Progress | None = None,
    tell: Callable[[str], None] = untold,
) -> Path:
    """Write a packet to ``folder/<name>/`` and return that path.

    Args:
        asked: the box or the batch, and what else its files say.
        folder: where the packet's folder goes; made if it is not there.
        kinds: kinds of its writers to write; all usual ones by default. The packet then holds only
            these: it is replaced, not added to; what the maker changed in it is kept beside it.
        progress: told each stage.
        tell: told, in a line, where that is kept.

    Raises:
        InputError: for an unknown kind, a name that is no folder's, parameters that cannot be
            built, a place that is taken by something that is no packet, or a disk that refuses.
    """
    table = asked.table
    chosen = usual_kinds(table) if kinds is None else asked_kinds(list(kinds), table=table)
    for kind in chosen:
        table[kind].ready()
    place = folder / _folder_name(asked.name)
    asked.require()
    asked = replace(asked, kinds=tuple(chosen))
    refuse_taken(place)
    try:
        with made(folder):
            clear_leftovers(place, tell)
            with beside(place) as fresh:
                _fill(fresh, asked, progress or Silent())
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


def _fill(fresh: Path, asked: PacketRequest | BatchRequest, progress: Progress) -> None:
    """Write the files of the kinds asked for, then the manifest."""
    files: dict[str, dict[str, object]] = {}
    for kind in asked.kinds:
        writer = asked.table[kind]
        for path, content in writer.files(asked, progress):
            whole = fresh / path
            whole.parent.mkdir(parents=True, exist_ok=True)
            whole.write_bytes(content)
            files[path] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
            if told := writer.repeats(asked):
                files[path]["same bytes"] = told
        _give_back()
    text = json.dumps(manifest(asked.subject(), files), indent=2, ensure_ascii=False)
    (fresh / MANIFEST).write_text(f"{text}\n", encoding="utf-8", newline="\n")


def _give_back() -> None:
    """Give the system back what a writer is done with.

    The CAD kernel's many small pieces, 140 MB of a box of 10,000 screws, would lie idle beside the
    next writer's data.
    """
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None
    if trim:
        trim(0)


def manifest(
    subject: Mapping[str, object], files: Mapping[str, Mapping[str, object]]
) -> dict[str, object]:
    """Return what ``MANIFEST.json`` says: tool, version, what was asked, files by path."""
    return {
        "tool": TOOL,
        "version": __version__,
        "made with": {"python": platform.python_version(), **{n: version(n) for n in SHAPING}},
        **subject,
        "files": {path: dict(files[path]) for path in sorted(files)},
    }
