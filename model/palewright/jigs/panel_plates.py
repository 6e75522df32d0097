"""Which plates drill a panel: one over all of it, or halves and quarters laid corner by corner.

A plate is registered on a stile's outer edge and on one end of the wall, seen from the stave side.
A part of the panel whose screws lie as another's do is drilled with the same plate: turned on its
plane where it keeps its handedness, with the other face up where it is the mirror image.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from palewright.construction.boards import Board, Plane, dot, minus
from palewright.construction.box_layout import Box
from palewright.construction.panels import OUTER_PANELS, PANELS, PanelPlan, panel_plan, panel_plane
from palewright.geometry.polygons import Point
from palewright.reading.lengths import noiseless

StileSide = Literal["left", "right"]
WallEnd = Literal["foot", "top"]
Corner = tuple[StileSide, WallEnd]
"""A corner of the panel: its stile as named from outside, and the wall's end."""

LAND = 20.0
"""A plate reaches so far (mm) beyond its last guide hole."""

_SAME = 1e-3
_UNTURNED: tuple[Corner, ...] = (("right", "foot"), ("left", "top"))
"""Corners that a plate embraces with its engraved face up: the panel lies with its staves up."""


@dataclass(frozen=True, slots=True)
class PanelView:
    """A panel as a jig sees it: sizes in mm, and its wall screws as (u, v, name)."""

    plan: PanelPlan
    foot: float
    top: float
    screws: tuple[tuple[float, float, str], ...]

    @property
    def name(self) -> str:
        """Name of the panel."""
        return self.plan.name

    @property
    def height(self) -> float:
        """Height of the wall: from the foot to the top."""
        return self.top - self.foot

    @property
    def stave_rise(self) -> float:
        """How far the staves' ends stand in from the wall's, below as above."""
        return self.plan.stave_ends[0] - self.foot

    def seen(self, corner: Corner) -> list[tuple[float, float, str]]:
        """Return the screws as (from the stile's edge, from the wall's end, name), mm."""
        side, end = corner
        return [
            (
                u if side == "left" else self.plan.width - u,
                v - self.foot if end == "foot" else self.top - v,
                name,
            )
            for u, v, name in self.screws
        ]


def panel_views(box: Box) -> list[PanelView]:
    """Return the four panels of a box, with their screws in the panel's own (u, v)."""
    views = []
    for name in PANELS:
        plan = panel_plan(name, box.parameters, box.sizes)
        plane = plane_of(plan, box.boards)
        screws = []
        for screw in box.screws:
            if screw.use == "wall" and box.boards[screw.stack[0]].panel == name:
                away = minus(screw.head, plane.origin)
                screws.append((dot(away, plane.u), dot(away, plane.v), screw.name))
        views.append(PanelView(plan, box.sizes.foot, box.sizes.top, tuple(screws)))
    return views


def plane_of(plan: PanelPlan, boards: Mapping[str, Board]) -> Plane:
    """Return the plane where a laid-out panel's frame and staves meet."""
    away = abs(boards[f"{plan.name}.rail-top"].placement.origin[1 if plan.outer else 0])
    return panel_plane(plan.name, plan.width / 2, away)


def is_turned(corner: Corner) -> bool:
    """Return whether a plate embraces a corner with its engraved face on the panel."""
    return corner not in _UNTURNED


@dataclass
class PlateDraft:
    """A plate in the making.

    Attributes:
        view: of the first panel it drills.
        corner: that it embraces there.
        share: (parts across, parts up) that its panel is divided into.
        pattern: its guide holes from the stile's edge and the wall's end, mm.
        uses: (panel, corner, screws by index of the guide) of each time it is laid.
    """

    view: PanelView
    corner: Corner
    share: tuple[int, int]
    pattern: list[Point]
    uses: list[tuple[PanelView, Corner, dict[int, str]]] = field(default_factory=list)

    @property
    def size(self) -> tuple[float, float]:
        """How far it reaches from the stile's edge and from the wall's end, mm."""
        return (
            _reach(self.view.plan.width, self.share[0], [a for a, _ in self.pattern]),
            _reach(self.view.height, self.share[1], [b for _, b in self.pattern]),
        )

    @property
    def corners(self) -> set[Corner]:
        """All the corners that it embraces."""
        return {corner for _, corner, _ in self.uses}

    @property
    def turned(self) -> bool:
        """Whether it is laid with its other face up, too."""
        return any(is_turned(corner) for corner in self.corners)

    def fits(self, view: PanelView, share: tuple[int, int], pattern: Sequence[Point]) -> bool:
        """Return whether it drills a part of another panel, too."""
        mine, other = self.view.plan, view.plan
        if share != self.share or not same_points(pattern, self.pattern):
            return False
        pairs = [
            (mine.stile, other.stile),
            (mine.stave_inset, other.stave_inset),
            (self.view.stave_rise, view.stave_rise),
            (self.view.height, view.height),
        ]
        if share[0] == 1:
            pairs.append((mine.width, other.width))
        return mine.outer == other.outer and all(abs(a - b) < _SAME for a, b in pairs)


def _reach(whole: float, parts: int, places: Iterable[float]) -> float:
    """Return how far a plate reaches that covers a share of a length, mm."""
    if parts == 1:
        return whole
    return min(whole, max(whole / 2, *places) + LAND)


def same_points(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Return whether two sets of points are the same to a thousandth of a mm."""
    if len(first) != len(second):
        return False
    rest = list(second)
    for x, y in first:
        match = next((p for p in rest if abs(p[0] - x) < _SAME and abs(p[1] - y) < _SAME), None)
        if match is None:
            return False
        rest.remove(match)
    return True


def symmetries(view: PanelView) -> tuple[str, ...]:
    """Return how a panel's screws may be moved onto themselves.

    ``mirror`` left to right, ``half turn`` about the middle of the wall, ``upside down``.
    """
    here = [(a, b) for a, b, _ in view.seen(("right", "foot"))]
    ways: tuple[tuple[str, Corner], ...] = (
        ("mirror", ("left", "foot")),
        ("half turn", ("left", "top")),
        ("upside down", ("right", "top")),
    )
    return tuple(
        name
        for name, corner in ways
        if same_points(here, [(a, b) for a, b, _ in view.seen(corner)])
    )


def divided(share: tuple[int, int]) -> Iterator[tuple[Corner, ...]]:
    """Yield, for each part of a panel, the corners that a plate may embrace to drill it."""
    across, up = share
    ends: tuple[WallEnd, ...] = ("foot", "top")
    for end in ends if up == 2 else ends[:1]:
        other: WallEnd = "top" if end == "foot" else "foot"
        if across == 2:
            yield from (
                ((("right", end),) if up == 2 else (("right", end), ("right", other))),
                ((("left", end),) if up == 2 else (("left", other), ("left", end))),
            )
        elif up == 2:
            yield (
                (("right", end), ("left", end))
                if end == "foot"
                else (
                    ("left", end),
                    ("right", end),
                )
            )
        else:
            yield (("right", "foot"),)


def drafted(views: Sequence[PanelView], share: tuple[int, int]) -> list[PlateDraft] | None:
    """Return the plates that drill some panels, each divided in the same way.

    None where a part can only be drilled by a plate that would be engraved on the wrong face.
    """
    drafts: list[PlateDraft] = []
    for view in views:
        open_screws = {name for _, _, name in view.screws}
        for corners in divided(share):
            found = _shared(drafts, view, corners, share)
            if found is None:
                corner = next((c for c in corners if not is_turned(c)), None)
                if corner is None:
                    return None
                draft = PlateDraft(view, corner, share, _pattern(view, corner, share))
                drafts.append(draft)
            else:
                draft, corner = found
            served = {
                i: name
                for i, point in enumerate(draft.pattern)
                for a, b, name in view.seen(corner)
                if name in open_screws and same_points([point], [(a, b)])
            }
            open_screws -= set(served.values())
            draft.uses.append((view, corner, served))
    return drafts


def _shared(
    drafts: list[PlateDraft], view: PanelView, corners: tuple[Corner, ...], share: tuple[int, int]
) -> tuple[PlateDraft, Corner] | None:
    """Return a plate that is there already and the corner at which it drills a part, if any."""
    for corner in corners:
        pattern = _pattern(view, corner, share)
        for draft in drafts:
            if draft.fits(view, share, pattern):
                return draft, corner
    return None


def _pattern(view: PanelView, corner: Corner, share: tuple[int, int]) -> list[Point]:
    """Return the screws of the part of a panel at a corner, those on its middle lines included."""
    limits = (
        view.plan.width / share[0] + _SAME if share[0] > 1 else view.plan.width,
        view.height / share[1] + _SAME if share[1] > 1 else view.height,
    )
    points = [(a, b) for a, b, _ in view.seen(corner) if a <= limits[0] and b <= limits[1]]
    return sorted(points, key=lambda p: (noiseless(p[1], 3), noiseless(p[0], 3)))


def panel_groups(views: Sequence[PanelView]) -> list[list[PanelView]]:
    """Return the outer panels together, and the inner ones: their stiles and edges differ."""
    outer = [view for view in views if view.name in OUTER_PANELS]
    return [outer, [view for view in views if view.name not in OUTER_PANELS]]
