"""The shop packet: every file of a design in one folder, whole or not at all.

Files are written into a folder beside the packet's place, the manifest last; then that folder
takes the place in one rename. A run that dies leaves the old packet or none, and its leftovers are
cleared by the next. The same design gives the same bytes, on any day, in any folder.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import shutil
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from palewright import __version__
from palewright.design import Design
from palewright.errors import InputError, nearest
from palewright_drawings.parameter_json import parameters_as_json
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.writers import WRITERS

MANIFEST = "MANIFEST.json"
TOOL = "palewright"
_NEW, _OLD = ".palewright-new-", ".palewright-old-"
_OLD_ENOUGH = 3600.0
"""Seconds after which leftovers count as dead where folders cannot be locked."""


def write_packet(
    design: Design,
    folder: Path,
    kinds: Iterable[str] | None = None,
    progress: Progress | None = None,
) -> Path:
    """Write a design's packet to ``folder/<variant>/`` and return that path.

    Args:
        design: what to write.
        folder: where the packet's folder goes; made if it is not there.
        kinds: kinds of ``WRITERS`` to write; all of them by default. The packet then holds only
            these: it is replaced, not added to.
        progress: told each stage.

    Raises:
        InputError: for an unknown kind, a name that is no folder's, parameters that cannot be
            built, a place that is taken by something that is no packet, or a disk that refuses.
    """
    chosen = _chosen(kinds)
    place = folder / _folder_name(design.name)
    design.box  # noqa: B018  (what cannot be laid out must complain before anything is made)
    _refuse_taken(place)
    try:
        with _made(folder):
            _clear_leftovers(place)
            with _beside(place) as fresh:
                _fill(fresh, design, chosen, progress or Silent())
                _refuse_taken(place)
                _take_place(fresh, place)
    except OSError as error:
        where = str(error.filename or folder)
        raise InputError(f"cannot be written: {error.strerror or error}", file=where) from error
    return place


def _chosen(kinds: Iterable[str] | None) -> list[str]:
    """Return the kinds in the order of the table, each once."""
    asked = list(WRITERS) if kinds is None else list(kinds)
    for kind in asked:
        if kind not in WRITERS:
            raise InputError(
                f"no kind '{kind}'{nearest(kind, WRITERS)}; allowed: {', '.join(WRITERS)}"
            )
    return [kind for kind in WRITERS if kind in asked]


def _folder_name(name: str) -> str:
    """Return a variant's name if it can name a folder inside another."""
    if not name or name.startswith(".") or any(sign in name for sign in "/\\\0"):
        raise InputError(f"'{name}' cannot name a packet; rename the variant file")
    return name


def _refuse_taken(place: Path) -> None:
    """Complain if what stands at the packet's place is not a packet of ours and not empty."""
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise InputError("is no folder; move it away", file=str(place))
    if not place.exists() or not any(place.iterdir()):
        return
    listed = _listed_files(place)
    if listed is None:
        raise InputError(f"is no packet (no {MANIFEST} of ours); move it away", file=str(place))
    for path in sorted(place.rglob("*")):
        inside = path.relative_to(place).as_posix()
        if not path.is_dir() and inside not in listed and not path.name.startswith("."):
            raise InputError(
                "was not written by palewright, and a new packet would delete it; move it away",
                file=str(path),
            )


def _listed_files(place: Path) -> set[str] | None:
    """Return the files that a packet's manifest lists, itself included; None if it is no packet."""
    try:
        manifest = json.loads((place / MANIFEST).read_text(encoding="utf-8"))
        return {MANIFEST, *manifest["files"]} if manifest["tool"] == TOOL else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """Make a folder with its parents; what was made and stays empty is taken away again."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    finally:
        for path in missing:
            with suppress(OSError):
                path.rmdir()


@contextmanager
def _beside(place: Path) -> Iterator[Path]:
    """Make a folder beside a place for a while; locked, so that no other run clears it away."""
    while True:
        fresh = place.with_name(f".{place.name}{_NEW}{secrets.token_hex(6)}")
        fresh.mkdir()
        lock = _locked(fresh)
        if lock is not None and fresh.is_dir():
            break
        _unlock(lock)
    try:
        yield fresh
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        _unlock(lock)


def _locked(folder: Path) -> int | None:
    """Return a lock on a folder, which ends with the process; None if another run has it.

    -1 stands for a system or a disk without locks.
    """
    if sys.platform == "win32":
        return -1
    import fcntl

    try:
        descriptor = os.open(folder, os.O_RDONLY)
    except FileNotFoundError:
        return None
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(descriptor)
        return None
    except OSError:  # a file system without locks
        os.close(descriptor)
        return -1
    return descriptor


def _unlock(lock: int | None) -> None:
    """Give a lock back."""
    if lock is not None and lock >= 0:
        with suppress(OSError):
            os.close(lock)


def _clear_leftovers(place: Path) -> None:
    """Clear what dead runs left beside a place; an old packet they had moved away goes back."""
    for left in sorted(place.parent.glob(f".{_globbed(place.name)}{_NEW}*")):
        lock = _locked(left)
        if lock is not None and (lock >= 0 or _is_old(left)):
            shutil.rmtree(left, ignore_errors=True)
        _unlock(lock)
    for old in sorted(place.parent.glob(f".{_globbed(place.name)}{_OLD}*")):
        lock = _locked(old)
        if lock is not None and (lock >= 0 or _is_old(old)):
            if place.exists():
                shutil.rmtree(old, ignore_errors=True)
            else:
                old.rename(place)
        _unlock(lock)


def _globbed(name: str) -> str:
    """Return a name as a pattern that matches only itself."""
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name)


def _is_old(path: Path) -> bool:
    """Return whether nobody has touched a folder for so long that its run must be dead."""
    with suppress(OSError):
        return time.time() - path.stat().st_mtime > _OLD_ENOUGH
    return False


def _fill(fresh: Path, design: Design, kinds: list[str], progress: Progress) -> None:
    """Write the files of some kinds, then the manifest."""
    files: dict[str, dict[str, object]] = {}
    for kind in kinds:
        for path, content in WRITERS[kind].files(design, progress):
            whole = fresh / path
            whole.parent.mkdir(parents=True, exist_ok=True)
            whole.write_bytes(content)
            files[path] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
    text = json.dumps(manifest(design, files), indent=2, ensure_ascii=False)
    (fresh / MANIFEST).write_text(f"{text}\n", encoding="utf-8", newline="\n")


def manifest(design: Design, files: Mapping[str, Mapping[str, object]]) -> dict[str, object]:
    """Return what ``MANIFEST.json`` says: tool, version, variant, parameters, files by path."""
    return {
        "tool": TOOL,
        "version": __version__,
        "variant": design.name,
        "parameters": parameters_as_json(design.parameters),
        "files": {path: dict(files[path]) for path in sorted(files)},
    }


def _take_place(fresh: Path, place: Path) -> None:
    """Let a whole packet take its place; if that fails, the old one goes back."""
    old = place.with_name(f".{place.name}{_OLD}{secrets.token_hex(6)}")
    had = place.exists()
    if had:
        place.rename(old)
    try:
        fresh.rename(place)
    except BaseException:
        if had and not place.exists():
            old.rename(place)
        raise
    if had:
        shutil.rmtree(old, ignore_errors=True)
