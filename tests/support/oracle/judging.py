"""Why a box is not sound: the reasons that its files give, one lumber case at a time.

Each limit stands here with its source; none is read from the model.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, pairwise
from typing import Any

import numpy as np

from oracle.screws import Found, find_screws
from oracle.segments import distances
from oracle.solids import Bore, Floats, Solid
from oracle.ties import box_pieces, free_ends, ladder_pieces, panel_of, panel_pieces, role_of

VOLUME = 1.0
"""Shared volume (mm³) below this is rounding: .004 mm over 16 x 16 mm."""

TOUCH = 0.02
"""Faces nearer than this (mm) touch: far below what a saw holds."""

FULL_BITE = 4.0
"""Diameters of bite that hold: a tapered point of 2 D (NDS, Table L3) and 2 D of thread
(judgement); in a board thinner than 8 D half of the board."""

BED = 25.4 / 8 + 0.01
"""Widest gap (mm) over which a cleat or a packer is bedded in adhesive that fills gaps, where the
staves under it differ: the plan says so (common practice, no source)."""

DRAWN = 25.4 / 4
"""Widest gap (mm) over which a thin upright is drawn to what it hangs on (judgement)."""

AIR = 0.5
"""Wood between the surfaces of two screws, in diameters (common practice, no source)."""

UNDER_SCREW = 150.0
"""Contact (mm²) that a screw presses together: its head and as much around (common practice)."""

LEAST_CONTACT = 200.0
"""Contact (mm²) below which boards are not said to be joined (common practice, no source)."""

ASIDE = 12.0
"""Packers come down so far (mm) in front of their wall, and then back."""


@dataclass(frozen=True)
class Reason:
    """One reason why a box is not sound.

    Attributes:
        kind: clash, pieces, panel, end, bite, thread, hole, gap, through, meet, stray, path,
            mitre, slat; or, where asked for, contact.
        case: the lumber case.
        boards: names of the boards concerned.
        measured, limit: both numbers, mm, mm² or mm³ as the kind says.
        told: in words.
    """

    kind: str
    case: str
    boards: tuple[str, ...]
    measured: float
    limit: float
    told: str


@dataclass
class CaseBox:
    """A box in one lumber case, as its STEP file says.

    Attributes:
        case: thin, nominal, thick or mixed.
        boards: by name.
        steps: names of the boards of each step of assembly, in order; none: panel by panel, floor,
            cap, ladder.
    """

    case: str
    boards: dict[str, Solid]
    steps: Sequence[Sequence[str]] = ()
    screws: list[Found] = field(init=False)
    lonely: list[Bore] = field(init=False)

    def __post_init__(self) -> None:
        """Find the screws."""
        self.screws, self.lonely = find_screws(self.boards)

    @cached_property
    def near(self) -> list[tuple[Solid, Solid]]:
        """Pairs of boards whose bounds share volume."""
        every = list(self.boards.values())
        low, high = (np.array([getattr(b, end) for b in every]) for end in ("low", "high"))
        shared = np.minimum(high[:, None], high) - np.maximum(low[:, None], low)
        pairs = np.argwhere(np.triu((shared > 1e-6).all(axis=2), 1))
        return [(every[i], every[j]) for i, j in pairs]

    def across(self, name: str, axis: Floats) -> float:
        """Return how thick a board is along a screw, mm."""
        return float(np.ptp(self.boards[name].points @ axis))


def judge(boxes: Sequence[CaseBox], weak: bool = False) -> list[Reason]:
    """Return every reason why a box is not sound.

    Args:
        boxes: the box in each lumber case that is judged.
        weak: tell contacts too, whose limit is practice and which may explain a refusal.
    """
    found = [reason for box in boxes for reason in reasons(box, boxes)]
    found += _uneven(boxes)
    return found + [reason for box in boxes if weak for reason in contacts(box)]


def reasons(box: CaseBox, boxes: Sequence[CaseBox] = ()) -> Iterator[Reason]:
    """Yield the reasons of one lumber case; ``boxes`` are all cases, for the thinnest boards."""
    yield from _clashes(box)
    holding: list[Found] = []
    for screw in box.screws:
        told = list(_loose(screw, box, boxes or [box]))
        yield from told
        if not told:
            holding.append(screw)
    for bore in box.lonely:
        yield Reason(
            "hole", box.case, (bore.board,), bore.depth, 0.0,
            f"a hole in {bore.board} at {_place(bore.start)} belongs to no screw",
        )  # fmt: skip
    yield from _together(box, holding)
    yield from _strays(box)
    yield from _meetings(box)
    yield from _paths(box)
    yield from _caps(box)
    yield from _slats(box, holding)


def _place(point: Floats) -> str:
    return "(" + ", ".join(f"{x:.1f}" for x in point) + ")"


def _clashes(box: CaseBox) -> Iterator[Reason]:
    """Find boards that share volume."""
    for first, second in box.near:
        volume = (first.body ^ second.body).volume()
        if volume > VOLUME:
            yield Reason(
                "clash", box.case, (first.name, second.name), volume, VOLUME,
                f"{first.name} and {second.name} share {volume:.1f} mm³",
            )  # fmt: skip


def _loose(screw: Found, box: CaseBox, boxes: Sequence[CaseBox]) -> Iterator[Reason]:
    """Find why a screw does not hold."""
    where = f"the screw at {_place(screw.head)} through {' and '.join(screw.boards)}"
    if not screw.threaded:
        yield Reason("thread", box.case, screw.boards, 0.0, 0.0, f"{where} holds in no board")
        return
    spans, last = screw.spans, screw.boards[-1]
    gap = max((begin - end for (_, end), (begin, _) in pairwise(spans)), default=0.0)
    most = _bridged(screw, box.case)
    if gap > max(most, TOUCH):
        yield Reason(
            "gap", box.case, screw.boards, gap, max(most, TOUCH),
            f"{where} crosses {gap:.2f} mm of air",
        )  # fmt: skip
    thick = min(one.across(last, screw.axis) for one in boxes)
    least = min(FULL_BITE * screw.diameter, thick / 2)
    # what is bedded over a thin stave bites less there, by what it bridges: the bed holds it
    bite = screw.bite + min(gap, most)
    if bite < least - 1e-4:
        yield Reason(
            "bite", box.case, screw.boards, bite, least,
            f"{where} bites {bite:.2f} mm; {least:.2f} are needed",
        )  # fmt: skip
    _, leave = box.boards[last].crossed(screw.head, screw.axis)
    if leave - screw.length < 1e-4:
        # the hole ends with the board: the point lies in its face, or beyond it
        yield Reason(
            "through", box.case, screw.boards, leave - screw.length, 0.0,
            f"{where} comes out of {last}",
        )  # fmt: skip
    for bore in screw.bores:
        if bore.turn < 2 * np.pi - 1e-3:
            yield Reason(
                "hole", box.case, screw.boards, bore.turn, 2 * np.pi,
                f"{where} breaks out of {bore.board}'s side",
            )  # fmt: skip


def _uneven(boxes: Sequence[CaseBox]) -> Iterator[Reason]:
    """Find beds under which a thin board beside a thick one leaves too wide a gap, in any pile."""
    known = {box.case: box for box in boxes}
    if not {"thin", "thick"} <= set(known):
        return
    under: dict[str, dict[str, Found]] = {}
    for screw in known["thick"].screws:
        if _bridged(screw, "mixed") == BED:
            under.setdefault(screw.boards[0], {})[screw.boards[-1]] = screw
    for first, onto in under.items():
        for last, screw in onto.items():
            gap = known["thick"].across(last, screw.axis) - known["thin"].across(last, screw.axis)
            if len(onto) > 1 and gap > BED:
                yield Reason(
                    "gap", "mixed", (first, last), gap, BED,
                    f"{first} may lie {gap:.2f} mm over {last}, where its neighbour is thick",
                )  # fmt: skip


def _bridged(screw: Found, case: str) -> float:
    """Return how wide a gap (mm) a screw may bridge: none but in mixed lumber."""
    if case != "mixed":
        return 0.0
    first, last = (role_of(name) for name in (screw.boards[0], screw.boards[-1]))
    if first in ("cleat", "packer"):
        return BED
    return DRAWN if first == "trellis" and last != "trellis" else 0.0


def _together(box: CaseBox, holding: Sequence[Found]) -> Iterator[Reason]:
    """Find what is in pieces, and ends that nothing holds."""
    names = list(box.boards)
    for panel, groups in panel_pieces(names, holding).items():
        if len(groups) > 1:
            yield _apart("panel", f"the {panel} panel", groups, box)
    for what, groups in (
        ("the box", box_pieces(names, holding)),
        ("the ladder", ladder_pieces(names, holding)),
    ):
        if len(groups) > 1:
            yield _apart("pieces", what, groups, box)
    for name, end, far, reach in free_ends(box.boards, holding):
        yield Reason(
            "end", box.case, (name,), far, reach,
            f"nothing holds the {end} end of {name}: its nearest screw is {far:.0f} mm off",
        )  # fmt: skip


def _apart(kind: str, what: str, groups: Sequence[Sequence[str]], box: CaseBox) -> Reason:
    """Return the reason for what is in pieces, naming all but the largest."""
    loose = tuple(name for group in groups[1:] for name in group)
    return Reason(
        kind, box.case, loose, float(len(groups)), 1.0,
        f"{what} is in {len(groups)} pieces: {', '.join(loose[:6])} come loose",
    )  # fmt: skip


def _strays(box: CaseBox) -> Iterator[Reason]:
    """Find screws whose body stands in boards that have no hole for it."""
    import manifold3d

    every = list(box.boards.values())
    low, high = (np.array([getattr(b, end) for b in every]) for end in ("low", "high"))
    for screw in box.screws:
        ends, half = np.array((screw.head, screw.point)), screw.diameter / 2
        reach = ((ends.min(axis=0) - half < high) & (ends.max(axis=0) + half > low)).all(axis=1)
        for board in (every[i] for i in np.flatnonzero(reach)):
            if board.name in screw.boards:
                continue
            rod = manifold3d.Manifold.cylinder(screw.length, half, half, 16)
            turn = np.column_stack((*_beside(screw.axis), screw.axis, screw.head))
            volume = (rod.transform(turn) ^ board.body).volume()
            if volume > VOLUME:
                yield Reason(
                    "stray", box.case, (*screw.boards, board.name), volume, VOLUME,
                    f"the screw at {_place(screw.head)} stands in {board.name}",
                )  # fmt: skip


def _beside(axis: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors that make a right-handed frame with an axis as the third."""
    other = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(other, axis)
    first /= np.linalg.norm(first)
    return first, np.cross(axis, first)


def _meetings(box: CaseBox) -> Iterator[Reason]:
    """Find screws that meet, or leave too little wood between them."""
    screws = box.screws
    if len(screws) < 2:
        return
    heads, tips = (np.array([getattr(s, end) for s in screws]) for end in ("head", "point"))
    sizes = np.array([s.diameter for s in screws])
    first, second = np.triu_indices(len(screws), 1)
    apart = distances(heads[first], tips[first], heads[second], tips[second])
    limit = (sizes[first] + sizes[second]) / 2 + AIR * np.maximum(sizes[first], sizes[second])
    for k in np.flatnonzero(apart < limit - 1e-4):
        one, two = screws[first[k]], screws[second[k]]
        yield Reason(
            "meet", box.case, (*one.boards, *two.boards), float(apart[k]), float(limit[k]),
            f"the screws at {_place(one.head)} and {_place(two.head)} come within "
            f"{apart[k]:.2f} mm",
        )  # fmt: skip


def _order(box: CaseBox) -> list[list[str]]:
    """Return the boards of each step of assembly."""
    if box.steps:
        return [[name for name in step if name in box.boards] for step in box.steps]
    order = ("front", "left", "right", "back", "floor", "packers", "cap", "trellis")
    groups = {key: [n for n in box.boards if panel_of(n) == key] for key in order}
    return [group for group in groups.values() if group]


def _paths(box: CaseBox) -> Iterator[Reason]:
    """Find boards that run into others on their straight way home."""
    size = max(float(np.ptp([b.low for b in box.boards.values()], axis=0).max()), 100.0)
    far = 3 * size
    placed: list[Solid] = []
    for step in _order(box):
        fresh = [box.boards[name] for name in step]
        here = {b.name for b in placed}
        if not fresh or all(b.name in here for b in fresh):
            continue  # what stands already is only carried
        for board in fresh if placed else ():
            for at, by in _ways(board, box, placed, far):
                yield from _met(board, at, by, placed, box)
        placed += fresh


def _ways(
    board: Solid, box: CaseBox, placed: Sequence[Solid], far: float
) -> list[tuple[Floats, Floats]]:
    """Return the legs of a board's way home, each as where it ends and whence it comes, mm."""
    home, up, back = np.zeros(3), np.array((0, 0, far)), np.array((0, far, 0))
    panel = panel_of(board.name)
    if panel in ("left", "right", "back"):
        return [(home, back)]
    if panel == "floor":
        if not any(panel_of(b.name) == "back" for b in placed):
            return [(home, back)]
        hung = any(s.boards[0] == board.name and s.axis[2] > 0.5 for s in box.screws)
        return [(home, -up if hung else up)]
    if panel == "packers":
        aside = np.array((0, -ASIDE, 0))
        return [(home, aside), (aside, up)]
    return [(home, up)]


def _met(
    board: Solid, at: Floats, by: Floats, placed: Sequence[Solid], box: CaseBox
) -> Iterator[Reason]:
    """Find what a board meets on one leg."""
    low = np.minimum(board.low + at, board.low + at + by)
    high = np.maximum(board.high + at, board.high + at + by)
    swept = None
    for other in placed:
        if not (np.minimum(high, other.high) - np.maximum(low, other.low) > 1e-6).all():
            continue
        swept = swept or board.swept(by).translate(at)
        volume = (swept ^ other.body).volume()
        if volume > VOLUME:
            yield Reason(
                "path", box.case, (board.name, other.name), volume, VOLUME,
                f"{board.name} runs into {other.name} on its way",
            )  # fmt: skip


def _pressed(first: Solid, second: Solid, way: Floats) -> float:
    """Return the area (mm²) over which a board touches another that it is pressed on along a way.

    It is pushed in by twice what counts as touching; the volume then shared, over that depth.
    """
    low, high = first.low + np.minimum(way, 0) - TOUCH, first.high + np.maximum(way, 0) + TOUCH
    if not (np.minimum(high, second.high) > np.maximum(low, second.low)).all():
        return 0.0
    moved: Any = first.body.translate(way * TOUCH)
    return float((moved ^ second.body).volume()) / TOUCH


def _caps(box: CaseBox) -> Iterator[Reason]:
    """Find cap boards that do not touch both of their neighbours."""
    caps = [b for b in box.boards.values() if panel_of(b.name) == "cap"]
    for first, second in combinations(caps, 2):
        if {first.name, second.name} in ({"cap.front", "cap.back"}, {"cap.left", "cap.right"}):
            continue
        gap = float(first.body.min_gap(second.body, 5.0))
        if gap > TOUCH:
            yield Reason(
                "mitre", box.case, (first.name, second.name), gap, TOUCH,
                f"{first.name} and {second.name} are {gap:.2f} mm apart",
            )  # fmt: skip


def _slats(box: CaseBox, holding: Sequence[Found]) -> Iterator[Reason]:
    """Find slats that neither lie on two boards nor hang on screws in two."""
    down = np.array((0.0, 0.0, -1.0))
    slats = [b for b in box.boards.values() if role_of(b.name) == "slat"]
    others = [b for b in box.boards.values() if role_of(b.name) != "slat"]
    for slat in slats:
        under = [b.name for b in others if _pressed(slat, b, down) > 0]
        hung = {s.boards[-1] for s in holding if s.boards[0] == slat.name}
        if max(len(under), len(hung)) < 2:
            yield Reason(
                "slat", box.case, (slat.name,), float(max(len(under), len(hung))), 2.0,
                f"{slat.name} lies on {len(under)} boards and hangs on {len(hung)}",
            )  # fmt: skip


def contacts(box: CaseBox) -> Iterator[Reason]:
    """Find screwed boards that touch over little: why a box may be refused, no more."""
    counts: dict[tuple[str, str], list[Found]] = {}
    for screw in box.screws:
        for pair in zip(screw.boards, screw.boards[1:], strict=False):
            counts.setdefault(pair, []).append(screw)
    for (first, second), screws in counts.items():
        area = _pressed(box.boards[first], box.boards[second], screws[0].axis)
        least = max(UNDER_SCREW * len(screws), LEAST_CONTACT)
        if area < least:
            yield Reason(
                "contact", box.case, (first, second), area, least,
                f"{first} and {second} touch over {area:.0f} mm²; {len(screws)} screws press "
                f"{least:.0f} together",
            )  # fmt: skip
