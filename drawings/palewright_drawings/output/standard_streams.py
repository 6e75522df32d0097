"""Standard output and error that never end a command: closed ones, and those whose reader left."""

from __future__ import annotations

import io
import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer


def replace_streams() -> None:
    """Put streams in place that lose what nobody reads, so that the exit code stays the verdict.

    A closed descriptor is opened on the null device first: the next file that is opened would take
    its number, and what the kernel's libraries chat would stand in it.
    """
    for number, name, flag in ((0, "stdin", os.O_RDONLY), (1, "stdout", os.O_WRONLY),
                               (2, "stderr", os.O_WRONLY)):  # fmt: skip
        if getattr(sys, name) is None:
            null = os.open(os.devnull, flag)
            if null != number:
                os.dup2(null, number)
                os.close(null)
            mode = "r" if number == 0 else "w"
            setattr(sys, name, open(number, mode, encoding="utf-8", closefd=False))  # noqa: SIM115
    for number, name in ((1, "stdout"), (2, "stderr")):
        stream = getattr(sys, name)
        if isinstance(stream, io.TextIOWrapper):
            with suppress(BrokenPipeError):
                stream.flush()
            setattr(sys, name, _lossy(number, stream))


def _lossy(number: int, like: io.TextIOWrapper) -> io.TextIOWrapper:
    """Return a text stream on a descriptor, in the manner of another."""
    return io.TextIOWrapper(
        io.BufferedWriter(_LossyFile(number, "w", closefd=False)),
        encoding=like.encoding,
        errors=like.errors,
        newline="\n" if os.linesep == "\n" else None,
        line_buffering=like.line_buffering,
        write_through=like.write_through,
    )


class _LossyFile(io.FileIO):
    """A file that takes all that it is given, and loses it once nobody reads."""

    def write(self, data: ReadableBuffer) -> int:
        """Return how many bytes were taken."""
        try:
            return super().write(data) or 0
        except BrokenPipeError:
            return memoryview(data).nbytes
