"""Folders that stand whole or not at all: filled beside their place, put there in one rename.

Each holds a manifest of its files, by which it is known again as ours: nothing else is ever
replaced, and what the maker changed in it or put into it is kept beside it. A folder that a run
fills is locked, and its lock ends with the process.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import os
import secrets
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from palewright.reading.errors import InputError, one_line

MANIFEST = "MANIFEST.json"
TOOL = "palewright"
NEW, OLD = ".palewright-new-", ".palewright-old-"
KEPT = "-kept"
"""Ends the name of the folder beside a packet that keeps what the maker changed."""
_NOBODYS = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file browsers leave in every folder that they show: common practice, no source."""
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
    if _listed(place, sign) is None:
        raise InputError(f"is no {what} (no {MANIFEST} of ours); move it away", file=str(place))


def _listed(place: Path, sign: str = "files") -> dict[str, str] | None:
    """Return the files that a folder's manifest lists, with their hash; None if it is not ours."""
    try:
        manifest = json.loads((place / MANIFEST).read_text(encoding="utf-8"))
        ours = manifest["tool"] == TOOL and sign in manifest
        files = {str(name): str(one["sha256"]) for name, one in manifest["files"].items()}
        return files if ours else None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
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


def untold(_text: str) -> None:
    """Tell nobody."""


def take_place(fresh: Path, place: Path, tell: Callable[[str], None] = untold) -> None:
    """Let a whole folder take its place; if that fails, the old one goes back.

    Args:
        fresh: the whole folder.
        place: where it is to stand.
        tell: told, in a line, where what the maker had changed in the old one is kept.
    """
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
        _put_away(old, place, tell)


def _put_away(old: Path, place: Path, tell: Callable[[str], None]) -> None:
    """Remove an old folder, but for what the maker changed: that is kept beside the place."""
    ours = _listed(old) or {}
    written = [old / MANIFEST] if ours else []
    written += [old / name for name, was in ours.items() if is_as_written(old / name, was)]
    everything = {path for path in old.rglob("*") if path.is_symlink() or not path.is_dir()}
    written += [path for path in everything if path.name in _NOBODYS]
    theirs = sorted(everything - set(written))
    if not theirs:
        shutil.rmtree(old, ignore_errors=True)
        return
    numbers = (f"-{number}" if number else "" for number in itertools.count())
    names = (place.with_name(f"{place.name}{KEPT}{number}") for number in numbers)
    kept = next(path for path in names if not os.path.lexists(path))
    old.rename(kept)
    for path in set(written):
        (kept / path.relative_to(old)).unlink()
    for path in sorted(kept.rglob("*"), reverse=True):
        if path.is_dir() and not path.is_symlink():
            with suppress(OSError):  # what is not empty stays
                path.rmdir()
    more = f" and {len(theirs) - 1} more" if len(theirs) > 1 else ""
    first = theirs[0].relative_to(old).as_posix()
    tell(f"{one_line(str(kept))}: keeps what you had changed in the old one, {first}{more}")


def is_as_written(path: Path, was: str) -> bool:
    """Return whether a file has the hash that the manifest gives it."""
    if path.is_symlink() or not path.is_file():
        return False
    return hashlib.sha256(path.read_bytes()).hexdigest() == was


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


def clear_leftovers(place: Path, tell: Callable[[str], None] = untold) -> None:
    """Clear what dead runs left beside a place; an old folder they had moved away goes back.

    Args:
        place: where the whole folder stands or is to stand.
        tell: told where what the maker had changed in an old one is kept.
    """
    for left in sorted(place.parent.glob(f".{_globbed(place.name)}{NEW}*")):
        lock = locked(left)
        if lock is not None and (lock >= 0 or _is_old(left)):
            shutil.rmtree(left, ignore_errors=True)
        unlock(lock)
    for old in sorted(place.parent.glob(f".{_globbed(place.name)}{OLD}*")):
        lock = locked(old)
        if lock is not None and (lock >= 0 or _is_old(old)):
            if place.exists():
                _put_away(old, place, tell)
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
