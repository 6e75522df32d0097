"""The one door to the solver library (HiGHS)."""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from collections.abc import Iterator
from functools import cache

import highspy

INFINITY: float = highspy.kHighsInf


def quiet_model() -> highspy.Highs:
    """An empty model that prints nothing."""
    _greeting_swallowed()
    model: highspy.Highs = highspy.Highs()  # type: ignore[no-untyped-call]
    model.setOptionValue("output_flag", False)
    model.setOptionValue("log_to_console", False)
    return model


@cache
def _greeting_swallowed() -> bool:
    """Lets the library print its greeting, which no option stops, to nowhere, once."""
    with contextlib.suppress(OSError, AttributeError, TypeError), _silent_stdout():
        highspy.Highs()  # type: ignore[no-untyped-call]
        ctypes.CDLL(None).fflush(None)
    return True


@contextlib.contextmanager
def _silent_stdout() -> Iterator[None]:
    """The process's standard output goes nowhere meanwhile; what was written before is kept."""
    with contextlib.suppress(ValueError):
        sys.stdout.flush()
    ctypes.CDLL(None).fflush(None)
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
