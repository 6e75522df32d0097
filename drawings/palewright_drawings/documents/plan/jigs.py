"""The jigs of a box as the plan tells them: drawings, parts, guide holes, and who needs which."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from palewright.assembly.assembly_steps import AssemblyStep
from palewright.assembly.step_facts import boards_in_hand
from palewright.design import Design
from palewright.jigs.records import Jig
from palewright_drawings.documents.plan.pictures import (
    fitted,
    fitted_at,
    picture_of,
    scale_text,
)
from palewright_drawings.figures.jigs import JigPictures, engraved, jig_pictures
from palewright_drawings.output.json_data import Json
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Placed, TextMark
from palewright_drawings.paper.overlap_check import boxes_meet

_SERVED_ROLES = {"slat-spacer": "slat", "stave-spacer": "stave", "cap-gauge": "cap"}
"""Jigs that place no screws, by name, and the role of the boards that they set."""

_MOVE, _MOST_MOVES = 1.0, 30
"""A label moves by so much (mm of paper), so often at most."""

_PLAIN = 0.45
"""The drawings of a jig without guide holes are so much lower."""


def jigs(design: Design, width: float, height: float) -> list[Json]:
    """Return the jigs.

    Args:
        design: the box.
        width: mm of paper that the two drawings of a jig may take side by side.
        height: mm of paper that they may take.
    """
    return [_jig(one, width, height) for one in jig_pictures(design)]


def _jig(one: JigPictures, width: float, height: float) -> Json:
    """Return one jig."""
    jig = one.jig
    count = "a set of two" if jig.count == 2 else f"{jig.count} of it" if jig.count > 1 else "one"
    parts = [(name, size.replace(" x ", " × "), str(number)) for name, size, number in one.parts]
    holes = [(row, f"{', '.join(across)} {row.split()[1]}") for row, across in one.holes]
    if not jig.guides:
        height *= _PLAIN
    above = fitted_at(
        one.above.bounds, lambda scale: engraved(one.above, jig, scale), width / 2 - 4, height
    )
    return {
        "title": jig.title,
        "purpose": f"{jig.purpose[0].upper()}{jig.purpose[1:]}. {jig.material}, {count}.",
        "steps": list(jig.steps),
        "parts": parts,
        "holes": holes,
        "above": picture_of(above).as_json(),
        "above-scale": scale_text(above.scale),
        "laid": picture_of(_cleared(fitted(one.laid, width / 2 - 4, height))).as_json(),
    }


def _cleared(placed: Placed) -> Placed:
    """Return a figure whose upright labels are moved down until they meet no other letters."""
    figure, scale = placed.figure, placed.scale
    for _ in range(_MOST_MOVES):
        texts = [mark for mark in placed.marks if isinstance(mark, TextMark)]
        if not any(boxes_meet(a.box, b.box) for a, b in combinations(texts, 2)):
            break
        labels = (
            replace(one, at=(one.at[0], one.at[1] - _MOVE / scale)) if one.angle else one
            for one in figure.labels
        )
        figure = replace(figure, labels=tuple(labels))
        placed = place(figure, scale)
    return placed


def jig_notes(design: Design) -> list[str]:
    """Return what is to be said about jigs that are missing, a sentence each."""
    return [f"{note.about[0].upper()}{note.about[1:]}: {note.text}" for note in design.jigs.notes]


def jigs_for(design: Design, step: AssemblyStep) -> str:
    """Return the titles of the jigs that a step is done with; empty for none."""
    names = {screw.name for screw in step.screws}
    taken = boards_in_hand(step, design.box)
    roles = {_role(design.box.boards[name].role) for name in taken}
    found = [jig.title for jig in design.jigs.jigs if _serves(jig, names, roles)]
    return "; ".join(found)


def _serves(jig: Jig, screws: set[str], roles: set[str]) -> bool:
    """Return whether a jig places some screws, or sets boards of some roles."""
    placed = {name for pose in jig.poses for _, name in pose.served}
    return bool(placed & screws) or _SERVED_ROLES.get(jig.name, "none") in roles


def _role(role: str) -> str:
    """Return the word for a board that a jig knows: a filler is a stave."""
    return "stave" if role == "filler" else role
