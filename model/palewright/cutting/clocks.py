"""The time that a search takes, read off the machine's clock or off the work that was done.

A search that the machine's clock ends finds less on a busy machine. Inside `counted` every time is
counted work instead: loops tell how much they do, in seconds that a quiet machine takes about so
long for, so that the same question has the same answer on every machine and at every load.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

CELL, ROW, CALL = 3.5e-9, 3.5e-7, 1.8e-4
"""Seconds of work: a number of a large array, a row that is sorted or unpacked, a small step."""

_work: ContextVar[list[float] | None] = ContextVar("counted work", default=None)


def now() -> float:
    """Return the seconds on the clock: of the machine, or of work where that is counted."""
    work = _work.get()
    return time.monotonic() if work is None else work[0]


def is_counted() -> bool:
    """Return whether work is counted, so that no answer may depend on the machine's clock."""
    return _work.get() is not None


def spend(seconds: float) -> None:
    """Note work that was done."""
    work = _work.get()
    if work is not None:
        work[0] += seconds


@contextmanager
def counted() -> Iterator[list[float]]:
    """Count work instead of time meanwhile; yields a list whose one number is the work so far.

    Within another such count the work is the outer one's as well.
    """
    outer, work = _work.get(), [0.0]
    token = _work.set(work)
    try:
        yield work
    finally:
        _work.reset(token)
        if outer is not None:
            outer[0] += work[0]
