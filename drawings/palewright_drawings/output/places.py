"""Places for files, looked at before the work that fills them."""

from __future__ import annotations

import os
from pathlib import Path

from palewright.reading.errors import InputError

CHARTS = (".svg", ".png")
"""How the file of a chart ends."""


def require_place(option: str, place: Path | None, endings: tuple[str, ...] = ()) -> None:
    """Refuse a file that cannot be written, before minutes of work are done for it.

    Args:
        option: what was typed, such as ``--chart``.
        place: the file to write; none asks for nothing.
        endings: how it may end, in small letters; any way by default.

    Raises:
        InputError: if it ends otherwise, is a folder, or its folder is not there or is closed.
    """
    if place is None:
        return
    if endings and place.suffix.lower() not in endings:
        raise InputError(f"ends in {' or '.join(endings)}, not '{place.suffix}'", key=option)
    if place.is_dir():
        raise InputError("is a folder; name a file", key=option, file=str(place))
    if not place.parent.is_dir():
        told = "no such folder; allowed: a folder that is there"
        raise InputError(told, key=option, file=str(place.parent))
    if not os.access(place.parent, os.W_OK):
        raise InputError("cannot be written to", key=option, file=str(place.parent))


def require_folder(option: str, folder: Path) -> None:
    """Refuse a folder that cannot be there or be written to, before any work is done for it.

    Args:
        option: what was typed, such as ``--out``.
        folder: it and its parents may still have to be made.

    Raises:
        InputError: if something else is in the way, or the disk is closed to us.
    """
    there = next(path for path in (folder, *folder.absolute().parents) if os.path.lexists(path))
    if not there.is_dir():
        raise InputError("is no folder; name another place", key=option, file=str(there))
    if not os.access(there, os.W_OK):
        raise InputError("cannot be written to", key=option, file=str(there))
