"""The one door to the solver library (HiGHS)."""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from collections.abc import Iterator
from functools import cache

import highspy
import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.problem.work_clock import spend
from palewright.geometry.arrays import Flags, Floats, Ints

INFINITY: float = highspy.kHighsInf

Model = highspy.Highs
"""A linear or integer program of the solver."""

ENTRY, STEP = 5e-6, 5e-8
"""Seconds of work of an integer program: for an entry of its matrix when it is taken in, and for
a row or column in each step of the simplex method. Fits a dozen programs of covers and of settings
within a factor of two."""


def quiet_model() -> Model:
    """An empty model that prints nothing."""
    _greeting_swallowed()
    model: Model = highspy.Highs()  # type: ignore[no-untyped-call]
    model.setOptionValue("output_flag", False)
    model.setOptionValue("log_to_console", False)
    model.setOptionValue("threads", 1)  # a second one only waits, and burns a core meanwhile
    return model


def integer_model(nodes: int, seed: int = 7) -> Model:
    """An empty model of an integer program that ends after so many nodes, never by the clock."""
    model = quiet_model()
    model.setOptionValue("mip_max_nodes", nodes)
    model.setOptionValue("mip_detect_symmetry", False)  # it watches the clock
    model.setOptionValue("random_seed", seed)
    return model


def root_model() -> Model:
    """An empty model of an integer program that ends with its root: what heuristics find there.

    Few cuts, no heuristic of reduced costs and no restart: these take a third of the time and save
    no setting of the saw in the plans of the shipped variants (measured with highspy 1.16).
    """
    model = integer_model(1)
    model.setOptionValue("mip_pool_soft_limit", 200)
    model.setOptionValue("mip_heuristic_run_root_reduced_cost", False)
    model.setOptionValue("mip_allow_restart", False)
    return model


def add_columns(
    model: Model, costs: Floats, entries: Floats | Ints | Flags, most: Floats | None = None
) -> None:
    """Take columns into a model's rows, all at once, which is quicker than one by one.

    Args:
        model: with its rows.
        costs: (n,).
        entries: (n, rows).
        most: (n,) of each; None for any number.
    """
    number = len(entries)
    columns, rows = np.nonzero(entries)
    model.addCols(
        number,
        costs.astype(float),
        np.zeros(number),
        np.full(number, INFINITY) if most is None else most,
        len(rows),
        np.searchsorted(columns, np.arange(number)).astype(np.int32),
        rows.astype(np.int32),
        entries[columns, rows].astype(float),
    )


def make_whole(model: Model) -> None:
    """Let all columns of a model take whole numbers only."""
    number = model.getNumCol()
    every = np.arange(number, dtype=np.int32)
    model.changeColsIntegrality(number, every, np.full(number, highspy.HighsVarType.kInteger))


def is_optimal(model: Model) -> bool:
    """Whether the solver proved what it found."""
    return bool(model.getModelStatus() == highspy.HighsModelStatus.kOptimal)


def is_infeasible(model: Model) -> bool:
    """Whether the solver proved that there is no solution."""
    return bool(model.getModelStatus() == highspy.HighsModelStatus.kInfeasible)


def suggest(model: Model, values: NDArray[np.float64]) -> None:
    """Hand a known solution to the solver, a value a column."""
    solution = highspy.HighsSolution()
    solution.col_value = list(values)
    model.setSolution(solution)


def solve_integer(model: Model) -> None:
    """Run an integer program and count its work by the steps that it tells."""
    model.run()
    steps = max(0, model.getInfo().simplex_iteration_count)
    spend(ENTRY * model.getNumNz() + STEP * steps * (model.getNumRow() + model.getNumCol()))


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
