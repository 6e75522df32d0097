"""The clock of a search is its work: what its loops do, in seconds that a quiet core takes for it.

A search that the machine's clock ended would find less on a busy machine. So every deadline is
counted work: loops `spend` what they do, and the same question has the same answer on every
machine and at every load. The machine's clock may only break a search off, where that was asked
for (`broken_off`): then every deadline has passed, and the best that is known is the answer.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

CELL, ROW, CALL = 3.5e-9, 3.5e-7, 1.8e-4
"""Seconds of work: a number of a large array, a row that is sorted or unpacked, a small step.
Measured as processor time of pricing on a quiet core of 2020's make."""

OVER = 1e18
"""Later than every deadline, and not infinity, since shares of what is left are reckoned with."""


@dataclass
class Break:
    """When a search is broken off, and whether it was."""

    due: Callable[[], bool]
    came: bool = False

    def asked(self) -> bool:
        """Return whether it is due; once it came it stays."""
        self.came = self.came or self.due()
        return self.came


_work: ContextVar[list[float] | None] = ContextVar("counted work", default=None)
_break: ContextVar[Break | None] = ContextVar("break", default=None)


def now() -> float:
    """Return the work so far, in seconds; `OVER` once the search is broken off.

    Where nobody counts no time passes.
    """
    work, one = _work.get(), _break.get()
    if one is not None and one.asked():
        return OVER
    return 0.0 if work is None else work[0]


def spend(seconds: float) -> None:
    """Note work that was done."""
    work = _work.get()
    if work is not None:
        work[0] += seconds


@contextmanager
def counted() -> Iterator[list[float]]:
    """Count work meanwhile, from 0; yields a list whose one number is the work so far.

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


@contextmanager
def broken_off(due: Callable[[], bool]) -> Iterator[Break]:
    """Break off what is searched meanwhile as soon as `due` says so; yields whether it came."""
    one = Break(due)
    token = _break.set(one)
    try:
        yield one
    finally:
        _break.reset(token)


def clock_of(seconds: float) -> Callable[[], bool]:
    """Return what says whether so many seconds of the machine's clock have passed since now."""
    end = time.monotonic() + seconds
    return lambda: time.monotonic() > end


@contextmanager
def unbroken() -> Iterator[None]:
    """Let nothing break off what is done meanwhile: a first answer that there always is."""
    token = _break.set(None)
    try:
        yield
    finally:
        _break.reset(token)
