"""Folders that stand whole or not at all: filled beside their place, put there in one rename.

Each holds a manifest of its files, by which it is known again as ours: nothing else is ever
replaced. A folder that a run fills is locked, and its lock ends with the process.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from palewright.errors import InputError

MANIFEST = "MANIFEST.json"
TOOL = "palewright"
NEW, OLD = ".palewright-new-", ".palewright-old-"
_OLD_ENOUGH = 3600.0
"""Seconds after which leftovers count as dead where folders cannot be locked."""


def refuse_taken(place: Path, what: str = "packet", sign: str = "files") -> None:
    """Complain if what stands at a place is neither empty nor a folder of ours that may go.

    Args:
        place: where a whole folder is to stand.
        what: what such a folder is called.
        sign: a key that its manifest must have.

    Raises:
        InputError: naming what is in the way.
    """
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise InputError("is no folder; move it away", file=str(place))
    if not place.exists() or not any(place.iterdir()):
        return
    listed = listed_files(place, sign)
    if listed is None:
        raise InputError(f"is no {what} (no {MANIFEST} of ours); move it away", file=str(place))
    for path in sorted(place.rglob("*")):
        inside = path.relative_to(place).as_posix()
        if not path.is_dir() and inside not in listed and not path.name.startswith("."):
            raise InputError(
                f"was not written by palewright, and a new {what} would delete it; move it away",
                file=str(path),
            )


def listed_files(place: Path, sign: str = "files") -> set[str] | None:
    """Return the files that a folder's manifest lists, itself included; None if it is not ours."""
    try:
        manifest = json.loads((place / MANIFEST).read_text(encoding="utf-8"))
        ours = manifest["tool"] == TOOL and sign in manifest
        return {MANIFEST, *manifest["files"]} if ours else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


@contextmanager
def made(folder: Path) -> Iterator[None]:
    """Make a folder with its parents; what was made and stays empty is taken away again."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    finally:
        for path in missing:
            with suppress(OSError):
                path.rmdir()


def locked(folder: Path) -> int | None:
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


def unlock(lock: int | None) -> None:
    """Give a lock back."""
    if lock is not None and lock >= 0:
        with suppress(OSError):
            os.close(lock)


def take_place(fresh: Path, place: Path) -> None:
    """Let a whole folder take its place; if that fails, the old one goes back."""
    old = place.with_name(f".{place.name}{OLD}{secrets.token_hex(6)}")
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


@contextmanager
def beside(place: Path) -> Iterator[Path]:
    """Make a folder beside a place for a while; locked, so that no other run clears it away."""
    while True:
        fresh = place.with_name(f".{place.name}{NEW}{secrets.token_hex(6)}")
        fresh.mkdir()
        lock = locked(fresh)
        if lock is not None and fresh.is_dir():
            break
        unlock(lock)
    try:
        yield fresh
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
        unlock(lock)


def clear_leftovers(place: Path) -> None:
    """Clear what dead runs left beside a place; an old folder they had moved away goes back."""
    for left in sorted(place.parent.glob(f".{_globbed(place.name)}{NEW}*")):
        lock = locked(left)
        if lock is not None and (lock >= 0 or _is_old(left)):
            shutil.rmtree(left, ignore_errors=True)
        unlock(lock)
    for old in sorted(place.parent.glob(f".{_globbed(place.name)}{OLD}*")):
        lock = locked(old)
        if lock is not None and (lock >= 0 or _is_old(old)):
            if place.exists():
                shutil.rmtree(old, ignore_errors=True)
            else:
                old.rename(place)
        unlock(lock)


def _globbed(name: str) -> str:
    """Return a name as a pattern that matches only itself."""
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name)


def _is_old(path: Path) -> bool:
    """Return whether nobody has touched a folder for so long that its run must be dead."""
    with suppress(OSError):
        return time.time() - path.stat().st_mtime > _OLD_ENOUGH
    return False
