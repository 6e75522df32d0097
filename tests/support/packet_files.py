"""The files of a packet as bytes, and which of two packets' files are not the same."""

from __future__ import annotations

from pathlib import Path


def contents(folder: Path) -> dict[str, bytes]:
    """Return all files of a folder by their path in it."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def differing(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    """Return the files that are not the same, by name: pytest takes hours to show where bytes
    differ."""
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))
