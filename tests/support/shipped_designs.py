"""Shipped variants as designs, each worked out once in a process for all tests."""

from __future__ import annotations

from functools import cache

from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant


@cache
def shipped(name: str, *typed: str) -> Design:
    """Return a shipped variant with settings typed over it, such as ``plan.paper=a4``."""
    return design(load_variant(name, typed).parameters, name)
