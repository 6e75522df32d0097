"""Jigs: plywood aids that halve the work on a batch, each worked out from the box it serves."""

from __future__ import annotations

from palewright.construction.box_layout import Box
from palewright.jigs import brace_jigs, corner_jigs, panel_jigs, spacers
from palewright.jigs.records import Jig, JigNote, JigSet
from palewright.jigs.registry import JIG_KINDS, Bench

__all__ = ["JIG_KINDS", "brace_jigs", "corner_jigs", "jigs_of", "panel_jigs", "spacers"]


def jigs_of(name: str, box: Box) -> JigSet:
    """Return the jigs that a box needs, with notes on those that cannot be made.

    Args:
        name: of the variant, engraved on each plate.
        box: laid out in nominal lumber.
    """
    bench = Bench(name, box)
    made = [one for make in JIG_KINDS.values() for one in make(bench)]
    return JigSet(
        tuple(one for one in made if isinstance(one, Jig)),
        tuple(one for one in made if isinstance(one, JigNote)),
    )
