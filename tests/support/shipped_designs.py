"""Shipped variants as designs and plans, each worked out once in a process for all tests."""

from __future__ import annotations

from functools import cache

from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.documents.plan.content import plan_pdf


@cache
def shipped(name: str, *typed: str) -> Design:
    """Return a shipped variant with settings typed over it, such as ``plan.paper=a4``."""
    return design(load_variant(name, typed).parameters, name)


@cache
def sold_plan(name: str) -> bytes:
    """Return the printed plan of a shipped variant as a buyer gets it, without a photograph."""
    return plan_pdf(shipped(name), to_sell=True)
