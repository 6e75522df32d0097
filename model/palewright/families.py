"""Which variants are of one family: those whose bases lead to the same first variant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from palewright.errors import InputError
from palewright.parameters import Parameters
from palewright.toml_records import read_table
from palewright.variant_files import DEEPEST_CHAIN, find_variant, load_variant

Relatives = Callable[[], Sequence[tuple[str, Parameters]]]
"""Gives the variants of one family, by name, when somebody asks for them."""

MOST_RELATIVES = 8
"""So many relatives are told of at most: the plan's page holds them."""


def relatives_of(path: Path) -> tuple[tuple[str, Parameters], ...]:
    """Return (name, parameters) of the variants in a file's folder that share its first base.

    The file itself is left out, and so is whatever cannot be read: it is not what was asked for.
    By name, at most `MOST_RELATIVES`.
    """
    root = _root(path)
    if root is None:
        return ()
    found = []
    for other in sorted(path.resolve().parent.glob("*.toml")):
        if other == path.resolve() or _root(other) != root:
            continue
        try:
            found.append((other.stem, load_variant(str(other)).parameters))
        except InputError:
            continue
    return tuple(found[:MOST_RELATIVES])


def _root(path: Path) -> Path | None:
    """Return the file at which a variant's bases end: itself where it has none."""
    current = path.resolve()
    try:
        for _ in range(DEEPEST_CHAIN):
            base = read_table(current)[0].get("base")
            if base is None:
                return current
            current = find_variant(str(base), beside=current.parent).resolve()
    except InputError:
        pass
    return None
