"""What the quick tests try of many cases, and what waits for the thorough ones."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from hypothesis import settings

KINDS = ("stoop-tub", "bean-tower", "winter-tub", "terrace-crate")
"""Shipped variants that differ in kind: a tub, a trellis, one round a tree, a metric one."""


def mostly_thorough(cases: Iterable[Any], *quick: Any) -> list[Any]:
    """Return all cases for ``parametrize``; those that are not named are marked thorough."""
    listed = list(cases)
    assert all(one in listed for one in quick), "a quick case is none of the cases"
    return [case if case in quick else thorough(case) for case in listed]


def thorough(case: Any) -> Any:
    """Return one case (a value, or a tuple of values) marked thorough."""
    values = case if isinstance(case, tuple) else (case,)
    return pytest.param(*values, marks=pytest.mark.thorough)


def tried(many: int) -> int:
    """Return how many examples Hypothesis tries where it is so many in the thorough tests."""
    return max(5, many * settings().max_examples // 100)
