"""The second opinion: what the kernel's solids say, measured on their surfaces, against the check.

It needs the CAD kernel, so ``palewright.fit.checks`` does not import it: ``build`` asks for it in
nominal lumber, ``check --solids`` in all. What the two do not agree on is PW801: the tool's fault.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from palewright.catalogue.lumber import LumberCase, piles_of
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board
from palewright.construction.box_layout import lay_out
from palewright.construction.joints import Screw
from palewright.fit.cases import FitCase
from palewright.fit.findings import Finding, merged
from palewright.fit.seats import Seat
from palewright.solids.drilled_boards import drilled
from palewright.solids.kernel_solids import Solids
from palewright.solids.surface_lines import HAIR, SurfaceLines
from palewright.solids.surfaces import Surfaces

VOLUME_SHARE = 1e-6
"""Greatest relative difference of volumes: far above what rounding leaves, far below one hole."""

PLACE_MM = 1e-4
"""Greatest difference (mm) of faces: a thousandth of what the finest tolerance asks."""

SHARED_SHARE = 1e-4
"""Greatest relative difference of shared volumes: the engine takes single precision, 1e-7 of each
corner's place. Tessellation adds nothing to it: flat faces are exact, and facets of a hole leave
wood inside its circle, where the quick check, which knows no holes, has wood anyway."""

_REMEDY = "this is the tool's mistake, not the box's: report it with the variant file"


@dataclass(frozen=True, slots=True)
class SolidOpinion:
    """What the solids say of a box in one lumber case.

    Attributes:
        case: thin, nominal, thick or mixed.
        shared: volume (mm³) that two boards share, for each pair whose bounds meet.
        seats: clearances of the side panels in their lips.
        holes: holes that were sought where a screw runs.
        findings: PW801, one for each board and thing that the quick check sees otherwise.
    """

    case: LumberCase
    shared: Mapping[tuple[str, str], float]
    seats: tuple[Seat, ...]
    holes: int
    findings: tuple[Finding, ...]

    @property
    def clashes(self) -> int:
        """How many pairs of boards share volume."""
        return sum(volume > TOLERANCES.clash_volume for volume in self.shared.values())

    @property
    def seat_least(self) -> float:
        """Least clearance of a side panel, mm."""
        return min(seat.clearance for seat in self.seats)

    @property
    def seat_greatest(self) -> float:
        """Greatest clearance of a side panel, mm."""
        return max(seat.clearance for seat in self.seats)

    @property
    def agrees(self) -> bool:
        """Whether the quick check sees nothing otherwise."""
        return not self.findings


def solid_opinion(fit: FitCase, surfaces: Surfaces, case: LumberCase = "nominal") -> SolidOpinion:
    """Return what the solids say of a box in one lumber case, mixed lumber in all its piles.

    Args:
        fit: the box in nominal lumber.
        surfaces: of its solids.
        case: the lumber to judge it in.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    if case == "nominal":
        return opinion_on(fit, surfaces)
    opinions = []
    for pile in piles_of(case):
        box = lay_out(fit.box.parameters, case, pile).with_holes()
        opinions.append(opinion_on(FitCase(box, case), Surfaces(Solids(box.boards))))
    shared: dict[tuple[str, str], float] = {}
    for opinion in opinions:
        for pair, volume in opinion.shared.items():
            shared[pair] = max(volume, shared.get(pair, 0.0))
    return SolidOpinion(
        case,
        shared,
        tuple(seat for opinion in opinions for seat in opinion.seats),
        sum(opinion.holes for opinion in opinions),
        tuple(merged(finding for opinion in opinions for finding in opinion.findings)),
    )


def opinion_on(fit: FitCase, surfaces: Surfaces) -> SolidOpinion:
    """Return what some solids' surfaces say of a box, held against the quick check's own numbers.

    Args:
        fit: the box as the quick check has it; its boards' holes are laid in.
        surfaces: of a solid for each of its boards.
    """
    shared = _shared_volumes(fit, surfaces)
    seats = tuple(_measured(seat, surfaces) for seat in fit.seats)
    lines = SurfaceLines(surfaces, fit.box.screws)
    found = [
        *_shape_findings(fit, surfaces),
        *_clash_findings(fit, shared),
        *_seat_findings(fit, seats),
        *_line_findings(fit, lines),
        *_hole_findings(fit, lines),
    ]
    holes = sum(len(screw.stack) for screw in fit.box.screws)
    found = [finding.in_case(fit.case) for finding in found]
    return SolidOpinion(fit.case, shared, seats, holes, tuple(found))


def _differs(
    what: str, boards: tuple[str, ...], measured: float, limit: float, unit: str, message: str
) -> Finding:
    """Return PW801; findings of several lumber cases are one where they tell of the same thing."""
    group = f"{what}/{'/'.join(boards)}"
    return Finding("PW801", boards, measured, limit, unit, message, _REMEDY, group=group)


def _shape_findings(fit: FitCase, surfaces: Surfaces) -> Iterator[Finding]:
    """Find surfaces that are open, of another volume than the data's, or elsewhere.

    Volumes are the kernel's own, in mm³, compared once a shape. A solid is where its board is if no
    corner lies before a face of the board and each face has a corner in it.
    """
    seen: set[object] = set()
    normals, reaches = fit.spans.faces
    for i, (name, board) in enumerate(fit.box.boards.items()):
        if board.shape_key not in seen:
            seen.add(board.shape_key)
            yield from _volume_findings(board, surfaces)
        real = np.isfinite(reaches[i])
        away = surfaces.points(name) @ normals[i][real].T
        off = float(np.abs(away.max(axis=0) - reaches[i][real]).max())
        if off > PLACE_MM:
            yield _differs(
                "another place", (name,), off, PLACE_MM, "mm",
                f"the solid of {name} reaches {off:.4f} mm from where the board does",
            )  # fmt: skip


def _volume_findings(board: Board, surfaces: Surfaces) -> Iterator[Finding]:
    """Find a solid whose surface has gaps, or whose volume is not what the closed form says."""
    name = board.name
    if not surfaces.own(name).copy().is_volume:  # a copy: its edges are not kept
        yield _differs(
            "open", (name,), 1.0, 0.0, "count", f"the surface of {name}'s solid is not closed"
        )
    measured, expected = float(surfaces.solids.shape(name).Volume()), drilled(board)
    if abs(measured - expected.volume) > VOLUME_SHARE * expected.volume + expected.unsure:
        yield _differs(
            "another size", (name,), measured, expected.volume, "mm3",
            f"the solid of {name} holds {measured:.1f} mm3; its outline, thickness "
            f"and holes make {expected.volume:.1f} mm3",
        )  # fmt: skip


def _shared_volumes(fit: FitCase, surfaces: Surfaces) -> dict[tuple[str, str], float]:
    """Return the shared volume (mm³) of each pair of boards whose bounds meet.

    Bounds that only touch, to rounding, prove that a pair shares nothing.
    """
    names = list(fit.box.boards)
    low = np.array([surfaces.points(name).min(axis=0) for name in names])
    high = np.array([surfaces.points(name).max(axis=0) for name in names])
    common = np.minimum(high[:, None], high) - np.maximum(low[:, None], low)
    meeting = np.argwhere(np.triu((common > PLACE_MM).all(axis=2), k=1))
    pairs = {(names[i], names[j]) for i, j in [*meeting.tolist(), *fit.prisms.near_pairs]}
    return {pair: surfaces.shared_volume(*pair) for pair in sorted(pairs)}


def _clash_findings(fit: FitCase, shared: dict[tuple[str, str], float]) -> Iterator[Finding]:
    """Find pairs that share more than the quick check says, or less than that and their holes."""
    for (first, second), measured in shared.items():
        found = fit.prisms[first].overlap(fit.prisms[second]).volume
        boards = [fit.box.boards[name] for name in (first, second)]
        bored = sum(board.volume - drilled(board).volume for board in boards)
        room = fit.tolerances.clash_volume + SHARED_SHARE * found
        if not found - bored - room < measured < found + room:
            yield _differs(
                "another clash", (first, second), measured, found, "mm3",
                f"the solids of {first} and {second} share {measured:.1f} mm3; "
                f"the check found {found:.1f} mm3",
            )  # fmt: skip


def _measured(seat: Seat, surfaces: Surfaces) -> Seat:
    """Return a seat with its clearances (mm) as the vertices of its boards have them."""
    away = [np.abs(surfaces.points(name)) for name in seat.boards]
    outer, side, _, stile = ((points.min(axis=0), points.max(axis=0)) for points in away)
    return replace(
        seat,
        frame=float(stile[0][0] - outer[1][0]),
        lip=float(side[0][0] - outer[1][0]),
        setback=float(outer[0][1] - side[1][1]),
    )


def _seat_findings(fit: FitCase, seats: Sequence[Seat]) -> Iterator[Finding]:
    """Find corners where a side panel has another clearance than the quick check says."""
    for said, found in zip(fit.seats, seats, strict=True):
        for what in ("frame", "lip", "setback"):
            limit, measured = float(getattr(said, what)), float(getattr(found, what))
            if abs(measured - limit) > PLACE_MM:
                yield _differs(
                    what, said.boards, measured, limit, "mm",
                    f"at {said.corner} the solids leave {measured:.3f} mm of {what}; "
                    f"the check says {limit:.3f} mm",
                )  # fmt: skip


def _line_findings(fit: FitCase, lines: SurfaceLines) -> Iterator[Finding]:
    """Find boards that a screw's line runs in otherwise than the quick check says.

    Its numbers must lie between those of the solid made a hair smaller and a hair larger, so that
    a line that grazes a face may be seen either way. And no screw may meet the boards of its stack
    in another order: each would have another's hole.
    """
    spans, screws = fit.spans, fit.box.screws
    entered = np.full((len(screws), len(spans.names)), np.inf)
    for b, name in enumerate(spans.names):
        said = np.maximum(spans.enter[:, b], 0.0), np.minimum(spans.leave[:, b], spans.lengths)
        inner, outer = lines.spans(name, -HAIR), lines.spans(name, HAIR)
        hit, sure, may = (ends[1] > ends[0] for ends in (said, inner, outer))
        entered[may, b] = outer[0][may]
        beyond = hit & ~may | hit & ((said[0] < outer[0]) | (said[1] > outer[1]))
        short = sure & ~hit | sure & ((said[0] > inner[0]) | (said[1] < inner[1]))
        wrong = np.flatnonzero(beyond | short)
        if len(wrong):
            s = int(wrong[0])
            measured = lines.spans(name, 0.0)
            seen = (float(measured[0][s]), float(measured[1][s]))
            told = (float(said[0][s]), float(said[1][s]))
            yield _differs(
                "another line", (name,), _length(seen), _length(told), "mm",
                f"screw {screws[s].name} {_run(seen)} the solid of {name}; by the "
                f"check it {_run(told)} it{_more(len(wrong))}",
            )  # fmt: skip
    for s, screw in enumerate(screws):
        places = entered[s, [spans.index[name] for name in screw.stack]].tolist()
        swapped = [pair for pair in pairwise(places) if pair[1] < pair[0] < np.inf]
        if swapped:
            yield _differs(
                "another order", screw.stack, swapped[0][1], swapped[0][0], "mm",
                f"screw {screw.name} does not meet {', '.join(screw.stack)} in "
                "this order",
            )  # fmt: skip


def _hole_findings(fit: FitCase, lines: SurfaceLines) -> Iterator[Finding]:
    """Find boards whose solid is not bored as wide and as far as its screws ask.

    Screws that meet are left out: their holes run into each other, and the quick check says so.
    """
    spans, wrong = fit.spans, dict[str, list[Finding]]()
    meeting = {s for pair in spans.near_screws(fit.tolerances.screw_air) for s in pair[:2]}
    for s, screw in enumerate(fit.box.screws):
        for place, name in enumerate(() if s in meeting else screw.stack):
            enter, leave = (float(at[s, spans.index[name]]) for at in (spans.enter, spans.leave))
            long, last = screw.kind.length, place == len(screw.stack) - 1
            if min(leave, long) - max(enter, 0.0) < HAIR:
                continue  # it misses, or its point ends at the face: no hole to find
            # the shank slides through boards that the thread does not hold in: bored right through
            span = max(enter, 0.0), min(leave, long) if last else leave
            found = _hole_finding(screw, s, place, span, last and leave > long + HAIR, lines)
            wrong.setdefault(name, []).extend(found)
    for one in filter(None, wrong.values()):
        yield replace(one[0], message=one[0].message + _more(len(one)))


def _hole_finding(
    screw: Screw, s: int, place: int, span: tuple[float, float], blind: bool, lines: SurfaceLines
) -> Iterator[Finding]:
    """Find a hole that is not there, is elsewhere, or is narrower, wider, shorter or longer.

    Args:
        screw: the screw, number ``s`` of the box.
        s: its number.
        place: of the board in its stack: the head lies in the first, the thread in the last.
        span: where the hole should be in that board, mm from the head.
        blind: whether the hole ends in the wood.
        lines: the surfaces.
    """
    name, kind, last = screw.stack[place], screw.kind, place == len(screw.stack) - 1
    radius = (kind.pilot if last else kind.clearance) / 2
    head = kind.gauge.head / 2 if place == 0 else 0.0
    bore = lines.bore(name, s, radius, span)
    # below a countersink the bore begins deeper, but never as deep as the head is wide
    begins = bore.first < span[0] + head + HAIR
    ends = bore.last > span[1] - HAIR and (not blind or bore.last < span[1] + HAIR)
    if abs(bore.free - radius) > HAIR or not (begins and ends):
        yield _differs(
            "another hole", (name,), 2 * bore.free, 2 * radius, "mm",
            f"the solid of {name} is not bored {2 * radius:.2f} mm wide from "
            f"{span[0]:.1f} to {span[1]:.1f} mm along screw {screw.name}; it is "
            f"{2 * bore.free:.3f} mm wide there, from {bore.first:.1f} to {bore.last:.1f} mm",
        )  # fmt: skip
    elif head and lines.bore(name, s, head, span).first > span[0] + HAIR:
        yield _differs(
            "another hole", (name,), 0.0, 2 * head, "mm",
            f"the solid of {name} is not sunk {2 * head:.2f} mm wide for the head of "
            f"screw {screw.name}",
        )  # fmt: skip


def _length(span: tuple[float, float]) -> float:
    """Return how long (mm) a span is; 0 for none."""
    return max(span[1] - span[0], 0.0)


def _run(span: tuple[float, float]) -> str:
    """Return how a screw runs in a board, in words."""
    if span[0] >= span[1]:
        return "misses"
    return f"runs from {span[0]:.3f} to {span[1]:.3f} mm in"


def _more(count: int) -> str:
    """Return how many more screws there are that it is true of."""
    return f"; {count - 1} more like it" if count > 1 else ""
