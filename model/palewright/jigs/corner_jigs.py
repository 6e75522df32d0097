"""The corner jig: a narrow plate on the box's outside that guides one row of corner screws.

Its side fence hooks round the corner's arris, its end fence over the stile's end. Rows whose
heights agree share a jig: laid with its other end first, or with its other face up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from palewright.construction.boards import Vector, cross, dot
from palewright.construction.corners import CORNERS, CornerPlace
from palewright.construction.joints import Screw
from palewright.construction.panels import PANELS
from palewright.geometry.polygons import Point
from palewright.jigs.drill_stops import drill_stops, thicknesses
from palewright.jigs.drill_texts import drill_steps, stop_lines
from palewright.jigs.guide_checks import guide_fault
from palewright.jigs.panel_plates import LAND, same_points
from palewright.jigs.plates import SAWDUST, FenceStrip, PlatePlan, plate_parts
from palewright.jigs.records import Drill, DrillStop, Jig, JigNote, Pose, Reversal, Touch, Words
from palewright.jigs.registry import Bench, jig_kind
from palewright.jigs.text_places import Room

_BITE = 12.0
"""The side fence reaches so far (mm) beyond the thickest board, on to its neighbour's face."""

_LEAST_WIDTH = 70.0
"""A narrower plate (mm) rocks, and has no room for its words."""

_UP: Vector = (0.0, 0.0, 1.0)
_DOWN: Vector = (0.0, 0.0, -1.0)


@dataclass(frozen=True, slots=True)
class ScrewRow:
    """The screws that go through one stile, and where a jig finds them.

    Attributes:
        corner: name of the corner.
        stile: the board that the heads sit in: the plate lies on it.
        hook: the outer panel's stile, whose edge or face the side fence bears on.
        across: direction from the side fence over the plate.
        outward: direction out of the box, towards the maker.
        screws: in order of height.
    """

    corner: str
    stile: str
    hook: str
    across: Vector
    outward: Vector
    screws: tuple[Screw, ...]

    def turned(self, top: bool) -> bool:
        """Return whether a jig that hooks on an end lies with its engraved face on the stile."""
        return dot(cross(self.across, _DOWN if top else _UP), self.outward) < 0


@dataclass
class _CornerDraft:
    """A corner jig in the making: its holes from the fences, mm, and each time it is laid."""

    pattern: list[Point]
    stops: tuple[DrillStop, ...]
    uses: list[tuple[ScrewRow, bool]] = field(default_factory=list)

    @property
    def is_turned(self) -> bool:
        """Whether it is laid with its other face up, too."""
        return any(row.turned(top) for row, top in self.uses)


def rows_of(bench: Bench) -> list[ScrewRow]:
    """Return the rows of corner screws of a box."""
    found = []
    for corner in CORNERS:
        for stile in (corner.outer_stile, corner.inner_stile):
            screws = tuple(
                screw
                for screw in bench.box.screws
                if screw.use in ("corner", "post") and screw.stack[0] == stile
            )
            if screws:
                found.append(_row(corner, stile, screws))
    return found


def _row(corner: CornerPlace, stile: str, screws: tuple[Screw, ...]) -> ScrewRow:
    """Return one row of a corner."""
    outer = stile == corner.outer_stile
    sign = -float(corner.x_sign if outer else corner.y_sign)
    across: Vector = (sign, 0.0, 0.0) if outer else (0.0, sign, 0.0)
    axis = screws[0].axis
    outward = (0.0 - axis[0], 0.0 - axis[1], 0.0 - axis[2])
    return ScrewRow(corner.name, stile, corner.outer_stile, across, outward, screws)


@jig_kind("corner")
def corner_jigs(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield the jigs for the corner screws, or why there are none."""
    drafts: list[_CornerDraft] = []
    # rows that a jig hooked over the top reaches with its engraved face up come first
    for row in sorted(rows_of(bench), key=lambda row: row.turned(top=True)):
        if not _drafted(bench, row, drafts):
            yield JigNote(
                f"corner jig of {row.stile}",
                "the boards are too thin for the corner screw and jig.margin: a drill stop cannot "
                "keep the bit from coming through",
            )
    for number, (draft, told) in enumerate(zip(drafts, _told_apart(drafts), strict=True), start=1):
        yield _jig(bench, draft, f"corner-{number}" if len(drafts) > 1 else "corner", told)


def _told_apart(drafts: Sequence[_CornerDraft]) -> list[str]:
    """Return what tells each jig from the others: its corners, its faces, or all its stiles."""
    rows = [[row for row, _ in draft.uses] for draft in drafts]
    if len(drafts) == 1:
        return [_listed(row.corner for row in rows[0]) if len(rows[0]) < len(CORNERS) else ""]
    for told in (
        [_listed(row.corner for row in some) for some in rows],
        [f"{_faces(row.stile.partition('.')[0] for row in some)} faces" for some in rows],
    ):
        if len(set(told)) == len(told):
            return told
    return [_listed(row.stile.replace(".", " ") for row in some) for some in rows]


def _faces(panels: Iterable[str]) -> str:
    """Return panels as a maker calls them: ``front and back``."""
    found = set(panels)
    return " and ".join(panel for panel in PANELS if panel in found)


def _listed(words: Iterable[str]) -> str:
    """Return words in order, each once: ``back-left, front-right``."""
    return ", ".join(sorted(set(words)))


def _drafted(bench: Bench, row: ScrewRow, drafts: list[_CornerDraft]) -> bool:
    """Give a row to a jig that drills it too, or to a new one; False if no drill stop is safe."""
    screw, jig = row.screws[0], bench.parameters.jig
    stops = drill_stops(
        screw.kind, thicknesses(screw, bench.boards), jig.thickness, jig.margin, bench.step
    )
    if not stops:
        return False
    ends = sorted((True, False), key=row.turned)  # engraved face up first
    for top in ends:
        pattern = _pattern(bench, row, top)
        for draft in drafts:
            if draft.stops == stops and same_points(draft.pattern, pattern):
                draft.uses.append((row, top))
                return True
    drafts.append(_CornerDraft(_pattern(bench, row, ends[0]), stops, [(row, ends[0])]))
    return True


def _pattern(bench: Bench, row: ScrewRow, top: bool) -> list[Point]:
    """Return a row's screws as (from the side fence, from the stile's end), mm."""
    side = min(dot(point, row.across) for point in bench.boards[row.hook].corners)
    heights = [point[2] for point in bench.boards[row.stile].corners]
    return [
        (
            dot(screw.head, row.across) - side,
            max(heights) - screw.head[2] if top else screw.head[2] - min(heights),
        )
        for screw in row.screws
    ]


def _plan(bench: Bench, draft: _CornerDraft) -> PlatePlan:
    """Return the plate of a corner jig."""
    row, jig = draft.uses[0][0], bench.parameters.jig
    stile = bench.boards[row.stile]
    strip = FenceStrip(
        jig.thickness,
        int(2 * (bench.box.sizes.board.thickest + _BITE)) / 2,
        bench.parameters.saw.tool,
        jig.slack,
    )
    wide = max(_LEAST_WIDTH, max(a for a, _ in draft.pattern) + LAND)
    long = min(stile.length, max(b for _, b in draft.pattern) + LAND)
    return PlatePlan(
        right=wide,
        top=long,
        side=(SAWDUST, long),
        end=(SAWDUST, wide - SAWDUST),
        strip=strip,
        faces=2 if draft.is_turned else 1,
    )


def _jig(bench: Bench, draft: _CornerDraft, name: str, told: str) -> Jig | JigNote:
    """Return the jig of a draft; ``told`` tells it from the others."""
    plan, jig = _plan(bench, draft), bench.parameters.jig
    if plan.size[1] > max(jig.sheet_length, jig.sheet_width):
        return JigNote(
            f"jig {name}", "it is longer than jig.sheet_length: measure these screws, or join it"
        )
    screw = draft.uses[0][0].screws[0].kind
    guide = screw.clearance if jig.guide is None else max(jig.guide, screw.clearance)
    parts = plate_parts(plan, draft.pattern, guide)
    fault = guide_fault(parts[0])
    if fault:
        return JigNote(f"jig {name}", f"{fault}: mark these screws by hand")
    reversal = _reversal(draft)
    words = _words(bench, draft, plan, parts[0].drills, reversal, told)
    return Jig(
        name=name,
        kind="corner",
        title=f"Corner jig: {told}" if told else "Corner jig",
        purpose="guides the corner screws through the stile at their heights, square to its face",
        parts=(replace(parts[0], words=words), *parts[1:]),
        material=bench.material,
        steps=tuple(_steps(bench, draft, reversal)),
        fixed={
            "from the arris": draft.pattern[0][0],
            **{f"{stop.use} stop": stop.stop for stop in draft.stops},
        },
        guides=tuple(draft.pattern),
        guide=guide,
        screw=screw.label,
        stops=draft.stops,
        poses=tuple(_pose(row, top, draft.pattern, bench) for row, top in draft.uses),
        reversal=reversal,
    )


def _reversal(draft: _CornerDraft) -> Reversal:
    """Return how the jig is laid the other way round."""
    if draft.is_turned:
        return "turned over"
    return "half turn" if len({top for _, top in draft.uses}) > 1 else ""


def _pose(row: ScrewRow, top: bool, pattern: Sequence[Point], bench: Bench) -> Pose:
    """Return how a jig lies on one corner."""
    turned = row.turned(top)
    upper = "upper " if turned else ""
    places = _pattern(bench, row, top)
    served = [
        (i, screw.name)
        for i, point in enumerate(pattern)
        for screw, place in zip(row.screws, places, strict=True)
        if same_points([point], [place])
    ]
    return Pose(
        on=f"{row.corner} corner",
        where=f"{row.stile} and its {'top' if top else 'foot'}",
        x=row.across,
        y=_DOWN if top else _UP,
        turned=turned,
        rests_on=tuple(dict.fromkeys((row.stile, row.hook))),
        side=row.hook,
        end=row.stile,
        touches=(
            Touch(f"{upper}side fence", (row.hook,)),
            Touch(f"{upper}end fence", (row.stile,)),
        ),
        served=tuple(served),
    )


def _words(
    bench: Bench,
    draft: _CornerDraft,
    plan: PlatePlan,
    drills: Sequence[Drill],
    reversal: Reversal,
    told: str,
) -> tuple[Words, ...]:
    """Return what is engraved, up the plate beside the holes."""
    letter = min(bench.parameters.jig.letter, plan.right / 11)
    room = Room((0.0, 0.0), (plan.right, plan.top), drills)
    ends = {top for _, top in draft.uses}
    below = "TOP OR FOOT" if len(ends) > 1 else "TOP" if ends == {True} else "FOOT"
    words = room.write([below], letter, (plan.right, 0.0))
    words += room.write(["ARRIS"], letter, (0.0, 0.0), upright=True)
    turn = {
        "": "THIS FACE UP",
        "half turn": "OTHER END FIRST FOR OTHER CORNERS",
        "turned over": "TURN OVER FOR OTHER CORNERS",
    }[reversal]
    lines = [
        bench.title,
        told.upper().replace(", ", " + ") or "ALL CORNERS",
        f"SCREWS {draft.uses[0][0].screws[0].kind.label.upper()}",
        *stop_lines(bench, draft.stops),
        turn,
    ]
    middle = (plan.right * 0.7, plan.top / 2)
    words += room.write_all(lines, letter, middle, upright=True)
    return tuple(words)


def _steps(bench: Bench, draft: _CornerDraft, reversal: Reversal) -> Iterator[str]:
    """Yield how the jig is used."""
    ends = "top or foot" if reversal == "half turn" else "top" if draft.uses[0][1] else "foot"
    yield (
        "With the panels clamped together and before the cap goes on, hook the jig round the "
        f"corner: side fence on the arris, end fence on the stile's {ends}. Clamp it."
    )
    yield from drill_steps(bench, draft.stops)
    if reversal == "turned over":
        yield "At the other corners the jig lies with its other face up."
    if draft.uses[0][0].screws[0].use == "corner":
        spread = bench.box.sizes.board.thickness_spread / 2
        yield (
            "The holes aim at the middle of a side stile of "
            f"{bench.length(bench.box.sizes.board.thickness)}; thin and thick boards are met "
            f"{bench.length(spread)} off their middle. See that the side stile is flush with "
            "the arris before drilling."
        )
