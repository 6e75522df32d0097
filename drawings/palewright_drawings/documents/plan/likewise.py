"""Panels that are an earlier one without some boards: the plan tells them by that one.

A back that lacks the front's brace has its frame, its staves, its cleat and every screw but those
into the brace: one map and one set of steps serve both.
"""

from __future__ import annotations

from dataclasses import dataclass

from palewright.assembly.assembly_steps import lies_on_panel, panel_kinds
from palewright.design import Design
from palewright.reading.lengths import noiseless
from palewright_drawings.figures.panel_maps import MappedScrew, mapped_screws

Panels = tuple[str, ...]
"""Panels that are made alike, as a step names them."""


@dataclass(frozen=True, slots=True)
class Likewise:
    """How a kind of panel is told by an earlier one.

    Attributes:
        first: the panels that are told in full.
        without: names of their boards, on the first of them, that this kind lacks.
    """

    first: Panels
    without: tuple[str, ...]


def told_likewise(design: Design) -> dict[Panels, Likewise]:
    """Return the kinds of panel that are an earlier kind without some boards."""
    full: list[Panels] = []
    found: dict[Panels, Likewise] = {}
    for kind in panel_kinds(design.box):
        like = next((one for first in full if (one := _likewise(design, first, kind))), None)
        if like is None:
            full.append(kind)
        else:
            found[kind] = like
    return found


def _likewise(design: Design, first: Panels, kind: Panels) -> Likewise | None:
    """Return how a kind is told by another; None where it is not that one without some boards."""
    lies, others = (
        {lies_on_panel(board, panel): name
         for name, board in design.box.boards.items() if board.panel == panel}
        for panel in (first[0], kind[0])
    )  # fmt: skip
    screws, other_screws = (
        {_place(one) for one in mapped_screws(design, panel)} for panel in (first[0], kind[0])
    )
    if not (others.keys() <= lies.keys() and other_screws <= screws):
        return None
    return Likewise(first, tuple(name for lie, name in lies.items() if lie not in others))


def _place(one: MappedScrew) -> tuple[str, float, float]:
    """Return a screw's kind and its place on the map to a hundredth of a mm."""
    return one.screw.kind.label, noiseless(one.across, 2), noiseless(one.up, 2)
