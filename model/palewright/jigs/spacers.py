"""Spacers and gauges: a tongue as wide as a gap, a step as deep as the cap's overhang."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.boards import Placement
from palewright.geometry.contours import Contour, relief_radius, relieved
from palewright.geometry.polygons import Point
from palewright.jigs.records import Jig, JigNote, JigPart
from palewright.jigs.registry import Bench, jig_kind
from palewright.jigs.text_places import Room

FLAT = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
"""Where a jig of one flat part lies in its own frame."""

_LEAST_TONGUE = 3.0
"""A thinner tongue of plywood (mm) snaps (common practice, no source)."""

_HEAD_WIDE, _HEAD_HIGH = 46.0, 34.0
_SHORT = 2.0
"""The tongue ends so far (mm) above what the boards lie on, in the thinnest lumber."""

_GRIP, _LIP = 60.0, 22.0
"""Handle to hold it by, and lip that bears on the panel, mm. Judgement."""


@jig_kind("slat")
def slat_spacers(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield the spacer for the drain gap between slats."""
    slats = [board for board in bench.boards.values() if board.role == "slat"]
    if len(slats) > 1:
        text = "holds the slats apart by the drain gap while the floor is laid"
        gap = bench.parameters.floor.gap
        yield from _spacer(bench, "slat-spacer", "Slat spacer", text, "DRAIN GAP", gap)


@jig_kind("stave")
def stave_spacers(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield the spacer for the movement gap between staves."""
    text = "holds the staves apart by their movement gap while the panel is drilled"
    gap = bench.box.sizes.gap
    yield from _spacer(bench, "stave-spacer", "Stave spacer", text, "STAVE GAP", gap)


def _spacer(
    bench: Bench, name: str, title: str, purpose: str, word: str, gap: float
) -> Iterator[Jig | JigNote]:
    """Yield a spacer with a tongue as wide as a gap, or why there is none."""
    if gap <= 0:
        return
    if gap < _LEAST_TONGUE:
        yield JigNote(
            f"jig {name}",
            f"a gap of {bench.length(gap, 64)} is too narrow for a tongue of plywood: use a metal "
            "rule or a drill bit of that size",
        )
        return
    deep = bench.box.sizes.board.thinnest - _SHORT
    contour = tongue(gap, deep, relief_radius(bench.parameters.saw.tool))
    room = Room((-_HEAD_WIDE, 0.0), (gap + _HEAD_WIDE, _HEAD_HIGH), (), 6.0)
    letter = min(bench.parameters.jig.letter, _HEAD_HIGH / 6)
    words = room.write_all(
        [bench.title, f"{word} {bench.engraved(gap)}"],
        letter,
        (gap / 2, _HEAD_HIGH / 2 + letter),
    )
    yield Jig(
        name=name,
        kind=name.partition("-")[0],
        title=title,
        purpose=purpose,
        parts=(JigPart("plate", contour, bench.thickness, FLAT, (), tuple(words)),),
        material=bench.material,
        steps=(
            "Set one near each end of the boards, its tongue between two of them, and push the "
            "boards together on it.",
            "Fix the board, lift the spacers out, and set them to the next gap.",
        ),
        fixed={"gap": gap},
        count=2,
    )


def tongue(gap: float, deep: float, radius: float) -> Contour:
    """Return a T: a tongue ``gap`` wide and ``deep`` long below a head to hold it by, mm.

    The head is hollowed beside the tongue, so that the boards' edges lie on all of the tongue.
    """
    corners: list[tuple[Point, str]] = [
        ((0.0, -deep), ""),
        ((gap, -deep), ""),
        ((gap, 0.0), "after"),
        ((gap + _HEAD_WIDE, 0.0), ""),
        ((gap + _HEAD_WIDE, _HEAD_HIGH), ""),
        ((-_HEAD_WIDE, _HEAD_HIGH), ""),
        ((-_HEAD_WIDE, 0.0), ""),
        ((0.0, 0.0), "before"),
    ]
    return relieved(corners, radius)


@jig_kind("cap")
def cap_gauges(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield the gauge for the cap's overhang."""
    cap = bench.parameters.cap
    if cap.style == "none" or cap.overhang <= 0:
        return
    if cap.overhang < _LEAST_TONGUE:
        yield JigNote(
            "jig cap-gauge",
            f"an overhang of {bench.length(cap.overhang, 64)} is too small for a step in plywood: "
            "measure it",
        )
        return
    radius = relief_radius(bench.parameters.saw.tool)
    lip = bench.box.sizes.cap.thinnest - _SHORT
    contour = step_gauge(cap.overhang, lip, radius)
    if not contour:
        yield JigNote("jig cap-gauge", "the bit, saw.tool, is too thick to relieve its corner")
        return
    wide = cap.overhang + _LIP
    room = Room((0.0, -_GRIP), (wide, -radius), ())
    words = room.write_all(
        [bench.title, "CAP OVERHANG", bench.engraved(cap.overhang, 64)],
        min(bench.parameters.jig.letter, wide / 8),
        (wide / 2, -_GRIP / 2),
        upright=True,
    )
    yield Jig(
        name="cap-gauge",
        kind="cap",
        title="Cap gauge",
        purpose="sets the cap's overhang beyond the panels without measuring",
        parts=(JigPart("plate", contour, bench.thickness, FLAT, (), tuple(words)),),
        material=bench.material,
        steps=(
            "Hold one near each end of a panel, its long edge on the stile's face, its step under "
            "the cap.",
            "Push the cap board against both lips and screw it down.",
        ),
        fixed={"overhang": cap.overhang},
        count=2,
    )


def step_gauge(overhang: float, lip: float, radius: float) -> Contour:
    """Return an L: a block ``overhang`` wide under the cap, beside it a lip ``lip`` high, mm.

    x = 0 bears on the panel, y = 0 on the cap's underside. Empty where neither edge of the inner
    corner is long enough for its relief.
    """
    least = 2 * radius + 1.0
    hollow = "after" if overhang >= least else "before" if lip >= least else ""
    if not hollow:
        return ()
    corners: list[tuple[Point, str]] = [
        ((0.0, -_GRIP), ""),
        ((overhang + _LIP, -_GRIP), ""),
        ((overhang + _LIP, lip), ""),
        ((overhang, lip), ""),
        ((overhang, 0.0), hollow),
        ((0.0, 0.0), ""),
    ]
    return relieved(corners, radius)
