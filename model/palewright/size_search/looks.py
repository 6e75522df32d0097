"""Looks: the widths that may change in a box that stays the same design.

A look is settings laid over the variant: stiles, rails, braces, cap, slats, how walls are divided.
The frames in question are not a blind grid: they are widths of which so many strips and the kerfs
between them fill a board, mixes of a stile with the narrower one around the corner, and what is
left of a board beside such strips. What only ever costs wood (cap, overhang, braces, laps) is
tried at its least and beside that as wide as the rails. `Likeness` says which looks still are
the same design.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import TypeVar

from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.derived_sizes import sizes_of
from palewright.construction.face_patterns import is_braced
from palewright.construction.panels import PANELS, pattern_of
from palewright.cutting_stock import quick_bound
from palewright.cutting_stock.problem.work_clock import spend
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH, down_to_shop, to_shop, up_to_shop
from palewright.sawing.stock_demands import demands_of_one, saw_of

Value = float | str | None
"""Of a setting: mm, a choice, or None for ``auto``."""

Look = tuple[tuple[str, Value], ...]
"""Settings that differ from the variant's, by key."""

Kind = tuple[Value, ...]
"""What looks of one kind have in common."""

DRAWN: Look = ()
"""The look that the variant says."""

_FRAMES = 7
"""So many pairs of stile and rail are tried, the leanest of each stile in turn: which stile lets
strips fill a board, no bound tells. Judgement."""

_STRIPS = 5
"""A board is ripped into so many equal strips at most: narrower ones are trim, no frame."""

_LESS, _MORE = 0.5, 4 / 3
"""Of the drawn width: how much slimmer or broader a stile or rail may be. Judgement: beyond that
it is another design, and the fit check ends slim ones long before."""

_SLENDER_STILE = 1 / 8
"""Of the box's width: a slimmer stile looks like a lath. Judgement."""

_RAIL_SHARE = (0.7, 1.15)
"""Of the stile: a rail outside looks top-light or heavy. Judgement."""

_BRACE_SHARE = (0.55, 0.85)
"""Of the stile: braces are the lighter boards of a face. Judgement."""

_OPENING = 0.55
"""Of the face, each way multiplied: less of it is all frame. Judgement."""

_CAP_SHOWS = 3 / 8 * INCH
"""A cap shows so much (mm) inside the frame that it covers. Judgement."""

_LATH = 1.5 * INCH
"""Narrower staves and slats (mm) look like laths, and are many to rip. Judgement."""

_MORE_STAVES = 5
"""Equal staves are tried in so many numbers, from the fewest: more are laths. Judgement."""

_OVERHANG = 1 / 4 * INCH
"""Least overhang (mm) that still throws a shadow line. Judgement."""

_OVERHANG_SHARE = 1 / 3
"""Of the cap: a wider overhang looks like a lid. Judgement."""

_FLOOR_GAP = 1 / 2 * INCH
"""Widest gap (mm) between slats that holds pots and lined soil. Judgement."""

_NEAR = 1e-6


def looked(parameters: Parameters, look: Look) -> Parameters:
    """Return the variant in another look."""
    new: dict[str, dict[str, Value]] = {}
    for key, value in look:
        table, _, field = key.partition(".")
        new.setdefault(table, {})[field] = value
    tables = {
        table: getattr(parameters, table).model_copy(update=fields) for table, fields in new.items()
    }
    return parameters.model_copy(update=tables)


def lean_looks(parameters: Parameters, deeper: int = 1) -> list[Look]:
    """Return the leanest looks, walls divided as drawn, the variant's own among them.

    Lean is what takes little of a board at the variant's own size and has few widths to rip. Of
    each of the leanest frames trim and slats are varied. deeper: so many times as many frames, and
    one look more of each.

    Raises:
        InputError: if the lumber is not kept, or the box cannot be built.
    """
    if parameters.size.looks == "drawn":
        return [DRAWN]
    rated, widths = _Rated(parameters), _Widths(parameters)
    frames = [frame for frame in widths.frame_looks() if rated.rate(frame) < math.inf]
    frames = in_turn(sorted(frames, key=rated.rate), lambda frame: widths.frame_of(frame)[0])
    kept: list[Look] = []
    for frame in frames[: deeper * _FRAMES]:
        looks = [
            widths.look({**dict(frame), **trim, **slat})
            for trim in widths.trims(frame)
            for slat in (NOTHING, *widths.slats(frame))
        ]
        looks = [look for look in dict.fromkeys(looks) if rated.rate(look) < math.inf]
        kept += sorted(looks, key=rated.rate)[: deeper + 1]
    kept = sorted(dict.fromkeys(kept), key=rated.rate)
    return kept if DRAWN in kept else [*kept, DRAWN]


def looks_of(parameters: Parameters, lean: Iterable[Look]) -> list[Look]:
    """Return looks, each with the walls divided in every way that there is at this size."""
    try:
        widths = _Widths(parameters)
    except InputError:  # too small for its own frame
        return list(lean)
    return list(
        dict.fromkeys(
            widths.look({**dict(look), **wall})
            for look in lean
            for wall in (NOTHING, *widths.walls(look))
        )
    )


def _wall_of(look: Look) -> tuple[Value, Value]:
    """Return how a look divides walls."""
    said = dict(look)
    return said.get("wall.layout"), said.get("wall.stave_width")


def kinds_of(look: Look) -> tuple[Kind, Kind]:
    """Return what of a look decides how strips fill a board: the stile, and how walls divide."""
    return ("stile", dict(look).get("panel.stile_width")), ("wall", *_wall_of(look))


One = TypeVar("One")


def in_turn(ordered: Iterable[One], kind: Callable[[One], object]) -> list[One]:
    """Return the first of each kind, then the second of each, and so on."""
    kinds: dict[object, list[One]] = {}
    for one in ordered:
        kinds.setdefault(kind(one), []).append(one)
    turns = zip_longest(*kinds.values())
    return [one for turn in turns for one in turn if one is not None]


def leanest(parameters: Parameters) -> float:
    """Return the least quick bound (boards) of the frames that may be tried at a size."""
    if parameters.size.looks == "drawn":
        return _Rated(parameters).rate(DRAWN)
    rated = _Rated(parameters)
    return min(map(rated.rate, _Widths(parameters).frame_looks()), default=math.inf)


def richer(parameters: Parameters, look: Look, key: str) -> list[Look]:
    """Return looks with one setting less spare: as the variant has it, else half the way there."""
    said, system = dict(look), parameters.product.units
    if key not in said:
        return []
    table, _, field = key.partition(".")
    slim, own = said[key], getattr(getattr(parameters, table), field)
    rest = tuple((other, value) for other, value in look if other != key)
    if not (isinstance(slim, float) and isinstance(own, float)):
        return [rest]
    return [rest, tuple(sorted([*rest, (key, to_shop((slim + own) / 2, system))]))]


SPARED = (
    "cap.width", "cap.overhang", "face.brace_width", "floor.gap", "wall.rail_lap", "wall.stile_lap",
    "box.foot",
)  # fmt: skip
"""What only costs wood: first what an eye misses most; an overhang asks for a wide cap."""


NOTHING: Mapping[str, Value] = {}
"""No setting."""


class _Rated:
    """How lean looks are: boards that they take at least, and widths to rip; lower is leaner."""

    def __init__(self, parameters: Parameters) -> None:
        self.parameters, self.alike = parameters, Likeness(parameters)
        self._rates: dict[Look, float] = {}

    def rate(self, look: Look) -> float:
        """Return the rate of a look; infinite where it is no look of this design."""
        if look not in self._rates:
            self._rates[look] = self._rate(looked(self.parameters, look))
        return self._rates[look]

    def _rate(self, tried: Parameters) -> float:
        if not self.alike.holds(tried):
            return math.inf
        spend(LAID_OUT)
        try:
            demand = demands_of_one(tried)[0]
            bound = quick_bound(demand.parts, demand.board, saw_of(tried))
        except InputError:
            return math.inf
        return bound + RIP * len({part.width for part in demand.parts})


LAID_OUT = 0.002
"""Counted work, in seconds, of laying out a box."""

RIP = 0.02
"""Boards that one width less to rip is worth: strips of many widths leave more beside them."""


class Likeness:
    """Says of a box whether it still reads as the design that was drawn.

    Where the drawn look would itself be beyond a limit at that size, it is the limit.
    """

    def __init__(self, drawn: Parameters) -> None:
        self._drawn = drawn
        self._own: dict[tuple[float, float, float], dict[str, float]] = {}

    def holds(self, tried: Parameters) -> bool:
        """Return whether a box is within the limits; one too small for its own frame is not."""
        try:
            found = _proportions(tried)
        except InputError:
            return False
        own = self._own_at(tried)
        return all(
            found[key] >= min(limit, own.get(key, limit)) - _NEAR for key, limit in _LEAST.items()
        ) and all(
            found[key] <= max(limit, own.get(key, limit)) + _NEAR for key, limit in _MOST.items()
        )

    def _own_at(self, tried: Parameters) -> dict[str, float]:
        """Return the proportions of the drawn look at a size; empty where that is no box."""
        sides = tried.box.width, tried.box.depth, tried.box.height
        if sides not in self._own:
            try:
                self._own[sides] = _proportions(self._drawn.model_copy(update={"box": tried.box}))
            except InputError:
                self._own[sides] = {}
        return self._own[sides]


_LEAST = {
    "stile": _SLENDER_STILE, "rail": _RAIL_SHARE[0], "brace": _BRACE_SHARE[0],
    "opening": _OPENING, "cap": 1.0, "shown": _CAP_SHOWS,
}  # fmt: skip
_MOST = {"rail": _RAIL_SHARE[1], "brace": _BRACE_SHARE[1], "overhang": _OVERHANG_SHARE}
"""The limits of what `_proportions` tells."""


def _proportions(parameters: Parameters) -> dict[str, float]:
    """Return what of a box an eye compares: shares, and what shows of the cap inside in mm."""
    sizes, cap = sizes_of(parameters), parameters.cap
    brace = share = parameters.face.brace_width / sizes.stile
    if not _braced(parameters):  # a cap is held against the slimmest that there might be
        share = _BRACE_SHARE[0]
        brace = min(brace, share)
    clear = sizes.top - sizes.foot - sizes.rail - sizes.rail
    face_area = sizes.width * (sizes.top - sizes.foot)
    return {
        "stile": sizes.stile / sizes.width,
        "rail": sizes.rail / sizes.stile,
        "brace": share,
        "opening": (sizes.width - 2 * sizes.stile) * clear / face_area,
        "cap": cap.width / sizes.stile / brace if cap.style != "none" else math.inf,
        "shown": cap.width - cap.overhang - sizes.board.thickness,
        "overhang": cap.overhang / cap.width,
    }


def _braced(parameters: Parameters) -> bool:
    """Return whether a face of a box has braces."""
    return any(is_braced(pattern_of(panel, parameters)) for panel in PANELS)


class _Widths:
    """The widths in question for each setting. All mm."""

    def __init__(self, parameters: Parameters) -> None:
        self.parameters, self.size = parameters, parameters.size
        self.sizes = sizes_of(parameters)
        self.board, self.kerf = self.sizes.board.true_width, parameters.saw.kerf
        self.covered = self.sizes.stile - self.sizes.side_stile
        self.safe = parameters.wall.safe_rip
        self.system = parameters.product.units

    def look(self, said: dict[str, Value]) -> Look:
        """Return settings as a look: only what differs from the variant's, ordered by key."""
        panel = self.parameters.panel
        if panel.side_stile_width is not None and "panel.stile_width" in said:
            side = _number(said["panel.stile_width"]) - self.covered
            said["panel.side_stile_width"] = side
        if panel.side_rail_width is not None and "panel.rail_width" in said:
            more = self.sizes.side_rail - self.sizes.rail
            said["panel.side_rail_width"] = _number(said["panel.rail_width"]) + more
        said |= self.raised_floor(said)
        own = {key: self.own(key) for key in said}
        return tuple((key, said[key]) for key in sorted(said) if said[key] != own[key])

    def raised_floor(self, said: Mapping[str, Value]) -> dict[str, Value]:
        """Return how high the floor lies, so that its cleats are on staves: no lower than drawn."""
        floor = self.parameters.floor
        rail, lap = (said.get(key, self.own(key)) for key in ("panel.rail_width", "wall.rail_lap"))
        free = _number(rail) - (_number(rail) if lap is None else _number(lap))
        return {"floor.rise": max(floor.rise, up_to_shop(floor.cleat_width + free, self.system))}

    def own(self, key: str) -> Value:
        """Return what the variant says."""
        table, _, field = key.partition(".")
        value: Value = getattr(getattr(self.parameters, table), field)
        return value

    def bounds(self, name: str, low: float, high: float) -> tuple[float, float]:
        """Return the least and greatest width of one setting: what the table says, or these."""
        least = getattr(self.size, f"least_{name}", None)
        most = getattr(self.size, f"most_{name}", None)
        return max(low if least is None else least, 0.0), high if most is None else most

    def frames(self, name: str, *others: float) -> list[float]:
        """Return stiles or rails: widths that fill a board, the drawn one, and some others."""
        own = _number(self.own(f"panel.{name}_width"))
        low, high = self.bounds(name, max(own * _LESS, self.safe), own * _MORE)
        fill = [self.shop(width) for width in (*self.strips(), *self.mixes())]
        return _within([own, *others, *fill], low, high)

    def strips(self) -> list[float]:
        """Return widths of which k strips and the kerfs between them fill a board."""
        kerfs = [(count - 1) * self.kerf for count in range(1, _STRIPS + 1)]
        return [(self.board - kerf) / count for count, kerf in enumerate(kerfs, start=1)]

    def mixes(self) -> list[float]:
        """Return stiles that fill a board together with some of the narrower side stiles."""
        return [
            (self.board - (wide + slim - 1) * self.kerf + slim * self.covered) / (wide + slim)
            for wide in range(1, _STRIPS)
            for slim in range(1, _STRIPS + 1 - wide)
        ]

    def frame_looks(self) -> Iterator[Look]:
        """Yield stiles with rails, the trim at its least and the rest as drawn."""
        for stile in self.frames("stile"):
            for rail in self.frames("rail", stile - self.covered, stile):
                frame: dict[str, Value] = {"panel.stile_width": stile, "panel.rail_width": rail}
                trims = self.trims(self.look(frame))[0]
                yield self.look({**frame, **trims, **self.least_costs(stile)})

    def frame_of(self, look: Look) -> tuple[float, float]:
        """Return the stile and the rail of a look."""
        said, keys = dict(look), ("panel.stile_width", "panel.rail_width")
        stile, rail = (_number(said.get(key, self.own(key))) for key in keys)
        return stile, rail

    def trims(self, look: Look) -> list[dict[str, Value]]:
        """Return braces and caps: both at their least, or one or both as wide as a rail.

        Caps alone where no face has braces, as wide as if it had.
        """
        stile, rail = self.frame_of(look)
        face, cap = self.parameters.face, self.parameters.cap
        low = max(_BRACE_SHARE[0] * stile, self.safe)
        least, most = self.bounds("brace", min(low, face.brace_width), face.brace_width)
        braces = _within([up_to_shop(least, self.system), rail, stile], least, max(most, least))
        found: list[dict[str, Value]] = []
        braced = _braced(self.parameters)
        for brace in braces[:2]:
            said: dict[str, Value] = {"face.brace_width": brace} if braced else {}
            low = max(brace, self.overhang() + self.sizes.board.thickness + _CAP_SHOWS, self.safe)
            least, most = self.bounds("cap", min(low, cap.width), cap.width)
            caps = _within([up_to_shop(least, self.system), rail, stile], least, max(most, least))
            found += [{**said, "cap.width": width} for width in caps[:2]]
        return found or [{}]

    def slats(self, look: Look) -> list[dict[str, Value]]:
        """Return the widest slat: whole boards, half ones, as a frame's, or what is left beside."""
        stile, rail = self.frame_of(look)
        low, high = self.bounds("slat", max(self.safe, _LATH), self.board)
        beside = self.board - 2 * (rail + self.kerf)
        widths = [stile, rail, *map(self.shop, (self.board, self.strips()[1], beside))]
        return [{"floor.slat_width": width} for width in _within(widths, low, high)]

    def walls(self, look: Look) -> Iterator[dict[str, Value]]:
        """Yield other ways to divide walls: a filler, or equal staves, the fewest and some more."""
        if "drawn" in (self.size.walls, self.size.looks):
            return
        own = self.parameters.wall
        try:
            sizes = sizes_of(looked(self.parameters, look))
        except InputError:  # too small for its frame
            return
        if own.layout == "equal":
            yield {"wall.layout": "filler", "wall.stave_width": None}
        least, most = self.bounds("stave", max(self.safe, _LATH), self.board)
        span = sizes.width - 2 * sizes.lip
        fewest = max(1, math.ceil((span + sizes.gap) / (most + sizes.gap) - _NEAR))
        for count in range(fewest, fewest + _MORE_STAVES):
            width = (span - (count - 1) * sizes.gap) / count
            if width >= least:
                cap = up_to_shop(width, self.system) if count > fewest else own.stave_width
                yield {"wall.layout": "equal", "wall.stave_width": cap}

    def laps(self, stile: float) -> dict[str, Value]:
        """Return how far staves run over rails and stiles at least: as their screws ask."""
        wall = self.parameters.wall
        diameter = self.parameters.materials.screw["wall"].diameter
        edge, end = (part * diameter for part in TOLERANCES.tied[-1])
        said: dict[str, Value] = {}
        for name, need, post in (
            ("rail_lap", edge + end, 0.0), ("stile_lap", 2 * edge, self.post_lap(stile)),
        ):  # fmt: skip
            own = getattr(wall, name)
            least = up_to_shop(need, self.system)
            low = self.bounds(name, least if own is None else min(own, least), 0.0)[0]
            said[f"wall.{name}"] = max(low, up_to_shop(post, self.system))
        if self.parameters.panel.lip is not None or self.parameters.panel.setback is not None:
            del said["wall.stile_lap"]  # the variant says it by these
        return said

    def post_lap(self, stile: float) -> float:
        """Return the least lap over a stile through which a screw finds the post in the corner.

        It goes down the middle of the lap, or as far from its edge as is advised where that is
        more (`corners.corner_post`). A wide stile begins beyond the post: the lap makes up for it.
        """
        if self.parameters.corner.style != "post":
            return 0.0
        post, board = self.parameters.materials.stock["post"], self.sizes.board
        diameter = self.parameters.materials.screw["post"].diameter
        edge, advised = TOLERANCES.edge_cover * diameter, TOLERANCES.edge_advised * diameter
        # from the outside to the post's inner edge, and from a side panel's edge
        outer, inner = 2 * board.thinnest + post.true_width, board.thinnest + post.thinnest
        beyond = max(stile - outer, stile - self.covered - inner, 0.0)
        return 2 * edge + beyond + min(beyond, advised - edge)

    def overhang(self) -> float:
        """Return the least overhang."""
        own = self.parameters.cap.overhang
        return self.bounds("overhang", min(own, _OVERHANG), own)[0]

    def least_costs(self, stile: float) -> dict[str, Value]:
        """Return what only ever costs wood at its least: panels above the foot, overhang, gaps."""
        floor, wall = self.parameters.floor.gap, self.parameters.wall.gap
        gap = self.bounds("stave_gap", 0.0, wall if wall is not None else -1.0)[1]
        bar = self.parameters.face.bar_width
        foot = self.parameters.box.foot
        said: dict[str, Value] = {
            "box.foot": max(foot, self.bounds("foot", foot, foot)[1]),
            "face.bar_width": min(bar, self.bounds("bar", bar, bar)[0]),
            "cap.overhang": self.overhang(),
            "floor.gap": self.bounds("floor_gap", 0.0, max(floor, _FLOOR_GAP))[1],
            "wall.gap": gap if gap >= 0 else None,
            **self.laps(stile),
        }
        return said

    def shop(self, width: float) -> float:
        """Return a width as a fence is set: rounded down, so that strips still fill a board."""
        return down_to_shop(width, self.system)


def _number(value: Value) -> float:
    """Return a width that is no choice and not left to the tool."""
    if not isinstance(value, float):
        raise TypeError(f"{value!r} is no width")
    return value


def _within(widths: Sequence[float], low: float, high: float) -> list[float]:
    """Return widths in a range, each once, in order."""
    kept: list[float] = []
    for width in widths:
        near = any(abs(width - other) < _SAME for other in kept)
        if low - _NEAR <= width <= high + _NEAR and not near:
            kept.append(width)
    return kept


_SAME = 0.3
"""Widths (mm) nearer than that are one setting of a fence."""
