"""The panel jig: a plate laid on the staves that sets them in and guides every wall screw.

The panel lies on the bench with its staves up. A side fence finds the stile's outer edge, an end
fence the foot of rail and staves, short fences the feet of the stiles, a flat stop the first stave.
Where staves lap the rail in part, another flat stop finds their ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from palewright.catalogue.lumber import Stock
from palewright.catalogue.screws import ScrewKind
from palewright.geometry.contours import relief_radius
from palewright.jigs.drill_stops import drill_stops
from palewright.jigs.guide_checks import guide_fault
from palewright.jigs.panel_plates import (
    PanelView,
    PlateDraft,
    drafted,
    panel_groups,
    panel_views,
)
from palewright.jigs.panel_poses import other_ways, panel_pose
from palewright.jigs.panel_texts import fixed_numbers, panel_steps, panel_words, panels_text
from palewright.jigs.plates import LEAST_FENCE, SAWDUST, FenceStrip, PlatePlan, plate_parts
from palewright.jigs.records import (
    DrillStop,
    Jig,
    JigNote,
    Reversal,
)
from palewright.jigs.registry import Bench, jig_kind

_BITE = 3.0
"""A fence bears on so much (mm) of an edge at least, in the thickest lumber."""

_GOOD_BITE = 12.0
_AIR = 1.5
"""A fence ends so far (mm) above the bench in the thinnest lumber."""

_LONGEST_LEG = 110.0
"""Longer legs (mm) whip: the feet of the stiles are then measured."""

_LEAST_INSET = 6.0
"""mm: a stop narrower than this breaks off plywood. Judgement."""


def fence_height(stock: Stock) -> float | None:
    """Return how far (mm) fences hang below a plate that lies on the staves of a panel.

    They bite on the frame's edge in thick lumber and stay off the bench in thin; None where the
    lumber varies too much for both.
    """
    low, high = stock.thickest + _BITE, 2 * stock.thinnest - _AIR
    if low > high:
        return None
    return max(low, int(2 * min(high, stock.thickest + _GOOD_BITE)) / 2)


@jig_kind("panel")
def panel_jigs(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield the drilling jigs of the four panels, or why there are none."""
    stock, jig = bench.box.sizes.board, bench.parameters.jig
    wood = bench.parameters.materials.species[stock]
    screw = bench.parameters.materials.screw["wall"].into(wood.gravity)
    stops = drill_stops(
        screw, [(stock.thinnest, stock.thickest)] * 2, jig.thickness, jig.margin, bench.step
    )
    height = fence_height(stock)
    if not stops:
        yield JigNote(
            "panel jigs",
            "the boards are too thin for the wall screw and jig.margin: a drill stop cannot keep "
            "the bit from coming through the face",
        )
        return
    if height is None:
        yield JigNote(
            "panel jigs",
            "the boards vary so much in thickness that no fence bears on thick ones and clears "
            "the bench under thin ones: plane or sort them first",
        )
        return
    strip = FenceStrip(jig.thickness, height, bench.parameters.saw.tool, jig.slack)
    if jig.thickness > stock.thinnest:
        yield JigNote(
            "panel jigs",
            "jig.thickness is more than the thinnest stave: the jigs have no stave stop, so the "
            "staves' inset is measured",
        )
    for views in panel_groups(panel_views(bench.box)):
        yield from _group_jigs(bench, views, strip, stops, screw)


def _group_jigs(
    bench: Bench,
    views: list[PanelView],
    strip: FenceStrip,
    stops: tuple[DrillStop, ...],
    screw: ScrewKind,
) -> Iterator[Jig | JigNote]:
    """Yield the jigs of panels that are alike in kind."""
    about = f"jigs of the panels {' and '.join(view.name for view in views)}"
    for share in _shares(bench, views[0]):
        drafts = drafted(views, share)
        if drafts is None:
            continue
        plans = [_plan(bench, draft, strip) for draft in drafts]
        if any(plan is None or not _on_sheet(bench, plan) for plan in plans):
            continue
        used: dict[str, int] = {}
        for draft, plan in zip(drafts, plans, strict=True):
            if plan is not None:
                yield _jig(bench, draft, plan, stops, screw, used)
        return
    yield JigNote(
        about,
        "no plate that fits jig.sheet_length x jig.sheet_width finds an edge to lie against; "
        "allow a larger sheet",
    )


def _shares(bench: Bench, view: PanelView) -> list[tuple[int, int]]:
    """Return into how many parts (across, up) panels may be divided, the likeliest first."""
    halves = (2, 1) if view.plan.width >= view.height else (1, 2)
    other = (halves[1], halves[0])
    shares = [(1, 1), halves, other, (2, 2)]
    return [*shares[1:3], (2, 2), (1, 1)] if bench.parameters.jig.plate == "half" else shares


def _on_sheet(bench: Bench, plan: PlatePlan) -> bool:
    """Return whether a plate can be cut from a sheet."""
    jig, size = bench.parameters.jig, sorted(plan.size)
    sheet = sorted((jig.sheet_length, jig.sheet_width))
    return size[0] <= sheet[0] and size[1] <= sheet[1]


def _plan(bench: Bench, draft: PlateDraft, strip: FenceStrip) -> PlatePlan | None:
    """Return the plate of a draft, or None where nothing holds its end."""
    foot, stile = draft.view.foot, draft.view.plan.stile
    radius = relief_radius(strip.tool)
    right, top = draft.size
    ends = {end for _, end in draft.corners}
    leg = foot if "foot" in ends and radius + 1.0 <= foot <= _LONGEST_LEG else 0.0
    if stile < LEAST_FENCE + 2 * SAWDUST:
        leg = 0.0
    two_legs = leg > 0 and draft.share[0] == 1
    flush = foot == 0 or ends == {"top"}  # stiles end where the wall does
    if flush:
        end = (SAWDUST, right - SAWDUST)
    else:
        off = stile + radius + SAWDUST
        end = (off, min(right - SAWDUST, draft.view.plan.width - off))
    if end[1] - end[0] < LEAST_FENCE:
        if not leg or "top" in ends:
            return None
        end = (0.0, 0.0)
    inset, rise = draft.view.plan.stave_inset, draft.view.stave_rise
    stock = bench.box.sizes.board
    stopped = stock.thickest - stock.thinnest < strip.thickness <= stock.thinnest
    return PlatePlan(
        right=right,
        top=top,
        side=(SAWDUST - leg, top),
        end=end,
        strip=strip,
        leg=leg,
        leg_width=stile,
        two_legs=two_legs,
        inset=inset if stopped and inset >= _LEAST_INSET else 0.0,
        rise=rise if stopped and rise >= _LEAST_INSET else 0.0,
        faces=2 if draft.turned else 1,
    )


def _jig(
    bench: Bench,
    draft: PlateDraft,
    plan: PlatePlan,
    stops: tuple[DrillStop, ...],
    screw: ScrewKind,
    used: dict[str, int],
) -> Jig | JigNote:
    """Return the jig of a draft."""
    panels = list(dict.fromkeys(view.name for view, _, _ in draft.uses))
    name = f"panel-{'-'.join(panels)}"
    used[name] = used.get(name, 0) + 1
    name = name if used[name] == 1 else f"{name}-{used[name]}"
    asked = bench.parameters.jig.guide
    guide = screw.clearance if asked is None else max(asked, screw.clearance)
    parts = plate_parts(plan, draft.pattern, guide)
    fault = guide_fault(parts[0])
    if fault:
        return JigNote(f"jig {name}", f"{fault}: mark these screws by hand")
    poses = tuple(
        panel_pose(bench, plan, view, corner, served) for view, corner, served in draft.uses
    )
    also = tuple(other_ways(bench, draft, plan))
    reversal = _reversal(draft, bool(also))
    words = panel_words(bench, draft, plan, stops, screw, parts[0], reversal)
    return Jig(
        name=name,
        kind="panel",
        title=f"Drilling jig: {panels_text(panels)}",
        purpose=(
            "sets the staves in from the stile's edge and up from its foot, and guides every "
            "wall screw"
        ),
        parts=(replace(parts[0], words=words), *parts[1:]),
        material=bench.material,
        steps=tuple(panel_steps(bench, draft, plan, stops, panels, reversal)),
        fixed=fixed_numbers(plan, stops),
        guides=tuple(draft.pattern),
        guide=guide,
        screw=screw.label,
        stops=stops,
        poses=poses,
        also=also,
        reversal=reversal,
    )


def _reversal(draft: PlateDraft, also: bool) -> Reversal:
    """Return how the plate is laid the other way round."""
    if draft.turned:
        return "turned over"
    return "half turn" if also or len({end for _, end in draft.corners}) > 1 else ""
