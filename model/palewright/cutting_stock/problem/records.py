"""What a cut plan is asked with and what it answers: frozen records, no work.

Every length here is in one unit of the caller's choice, the same throughout (the rest of the
tool uses millimetres). Length runs along the grain, width across it; parts are never turned.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, NoReturn

from palewright.reading.errors import InputError

Order = Literal["crosscut-first", "rip-first", "best"]
CutKind = Literal["rip", "crosscut"]
Listener = Callable[[str, float], None]
"""Takes what is being done and the share that is done, 0 to 1."""

ORDERS: tuple[Order, ...] = ("crosscut-first", "rip-first", "best")


class CuttingError(InputError):
    """Something asked of the cut planner that cannot be; the message is one clear line."""


class PartDoesNotFit(CuttingError):
    """A part is longer or wider than every board there is."""


class NotEnoughBoards(CuttingError):
    """The boards and offcuts at hand are too few for the parts."""


class PartsListError(CuttingError):
    """A parts list that cannot be read: names file, line, what is wrong, what is allowed."""


def _refuse(whose: str, what: str) -> NoReturn:
    raise CuttingError(f"{whose}: {what}")


@dataclass(frozen=True)
class PartDemand:
    """A part and how often it is wanted.

    length: long point to long point, along the grain; end_angles: degrees off square of the
    left and the right end, positive where the lower edge (y = 0) is the longer one, so that
    (45, 45) is a cap board and (36, -36) a slanted brace; kit: the panel it belongs to;
    role: what the trade calls it.
    """

    name: str
    length: float
    width: float
    count: int
    end_angles: tuple[float, float] = (0.0, 0.0)
    kit: str = ""
    role: str = ""

    def __post_init__(self) -> None:
        part = f"part {self.name!r}"
        for what, size in (("length", self.length), ("width", self.width)):
            if not (math.isfinite(size) and size > 0):
                _refuse(part, f"{what} is {size}; it must be a number above 0")
        if not (isinstance(self.count, int) and self.count >= 0):
            _refuse(part, f"count is {self.count}; it must be a whole number, 0 or more")
        for angle in self.end_angles:
            if not (math.isfinite(angle) and abs(angle) <= MAX_END_ANGLE):
                _refuse(
                    part,
                    f"end angle is {angle} degrees off square;"
                    f" allowed is -{MAX_END_ANGLE:g} to {MAX_END_ANGLE:g}",
                )
        shorter = min(self.edge_lengths())
        if not shorter > 0:
            _refuse(
                part,
                f"its ends at {self.end_angles} degrees meet before the far edge"
                f" (edge length {shorter:g}); it must be longer or its angles smaller",
            )

    def edge_lengths(self) -> tuple[float, float]:
        """Length of the lower and of the upper edge, in the unit of `length`."""
        if self.end_angles == (0.0, 0.0):  # most parts
            return self.length, self.length
        slants = [self.width * math.tan(math.radians(angle)) for angle in self.end_angles]
        upper = self.length - sum(max(0.0, slant) for slant in slants)
        lower = self.length - sum(max(0.0, -slant) for slant in slants)
        return lower, upper


MAX_END_ANGLE = 75.0
"""Degrees off square: no mitre gauge goes further, and the tangent runs away. Judgement."""


@dataclass(frozen=True)
class StockBoard:
    """A kind of board in the yard.

    length, width: what every board has; price: per board (0 with all others 0 means boards are
    simply counted); available: how many, None for any number; clipped_end: what a dog-eared end
    loses along the grain at full width; clipped_depth: how far each clipped corner reaches across
    the board (default: as much as along); sold_length, sold_width: what a board may measure as it
    comes from the yard, 0 where it is length and width: a wider one is first ripped to `width`.
    """

    name: str
    length: float
    width: float
    price: float = 0.0
    available: int | None = None
    clipped_end: float = 0.0
    clipped_depth: float | None = None
    sold_length: float = 0.0
    sold_width: float = 0.0

    def __post_init__(self) -> None:
        board = f"board {self.name!r}"
        for what, size in (("length", self.length), ("width", self.width)):
            if not (math.isfinite(size) and size > 0):
                _refuse(board, f"{what} is {size}; it must be a number above 0")
        for what, size in (("price", self.price), ("clipped end", self.clipped_end)):
            if not (math.isfinite(size) and size >= 0):
                _refuse(board, f"{what} is {size}; it must be a number, 0 or more")
        if not self.clipped_end < self.length:
            _refuse(
                board,
                f"clipped end {self.clipped_end:g} leaves nothing of its length {self.length:g}",
            )
        depth = self.corner_depth
        if not (math.isfinite(depth) and depth >= 0 and (depth > 0 or self.clipped_end == 0)):
            _refuse(board, f"clipped depth is {depth}; it must be a number above 0")
        if not (self.available is None or self.available >= 0):
            _refuse(board, f"available is {self.available}; it must be 0 or more, or None")

    @property
    def corner_depth(self) -> float:
        """How far the clipped corners reach across, in the unit of `width`."""
        return self.clipped_end if self.clipped_depth is None else self.clipped_depth

    @property
    def too_wide(self) -> bool:
        """Whether a board as sold is ripped to its true width before anything else."""
        return self.sold_width > self.width + 1e-6

    @property
    def too_long(self) -> bool:
        """Whether a board as sold may be longer than is planned with."""
        return self.sold_length > self.length + 1e-6


@dataclass(frozen=True)
class Offcut:
    """A piece kept from earlier work, square at both ends; used before any board."""

    name: str
    length: float
    width: float
    count: int = 1

    def __post_init__(self) -> None:
        StockBoard(self.name, self.length, self.width, available=self.count)


@dataclass(frozen=True)
class SawSettings:
    """How the shop saws.

    kerf: width of a saw cut; end_trim, edge_trim: what squaring takes off each end and each
    edge of a board, kerf included; safe_rip_width: the narrowest strip that may be ripped;
    defect_allowance: share of the boards bought on top for knots and splits, 0 to below 1;
    order: "crosscut-first" crosscuts blocks, rips them into strips and crosscuts those (a
    block may be the whole board), "rip-first" rips whole boards, then crosscuts, "best"
    takes whichever needs less, board by board.
    """

    kerf: float
    end_trim: float = 0.0
    edge_trim: float = 0.0
    safe_rip_width: float = 0.0
    defect_allowance: float = 0.0
    order: Order = "best"

    def __post_init__(self) -> None:
        sizes = {
            "kerf": self.kerf,
            "end trim": self.end_trim,
            "edge trim": self.edge_trim,
            "safe rip width": self.safe_rip_width,
        }
        for what, size in sizes.items():
            if not (math.isfinite(size) and size >= 0):
                _refuse("saw", f"{what} is {size}; it must be a number, 0 or more")
        if not 0 <= self.defect_allowance < 1:
            _refuse("saw", f"defect allowance is {self.defect_allowance}; allowed is 0 to below 1")
        if self.order not in ORDERS:
            _refuse("saw", f"order is {self.order!r}; allowed is {', '.join(ORDERS)}")


@dataclass(frozen=True)
class Piece:
    """A part on a board: its bounding rectangle from the square end and the trued edge.

    turned: laid end for end (half a turn about the face), so that its slanted end meets its
    neighbour's; strip, block: which strip of which block it is crosscut from, from 0.
    """

    part: str
    x: float
    y: float
    length: float
    width: float
    end_angles: tuple[float, float] = (0.0, 0.0)
    turned: bool = False
    kit: str = ""
    block: int = 0
    strip: int = 0
    role: str = ""


@dataclass(frozen=True)
class Cut:
    """One pass of the saw, in the order of sawing.

    position: where the kerf begins, along the grain for a crosscut and across for a rip;
    setting: what the stop block or the rip fence is set to, 0 where a strip's end is cut fresh
    without a stop; angle: of the mitre gauge, degrees off square across the board's face (the
    blade stands upright), positive where the line leans as ``/``; waste: a rip whose waste falls
    free, the block's other edge on the fence; held: the layout's pieces (from 0) in what a last
    crosscut takes off, made: those that it finishes; chained: the cut before it comes first.
    """

    kind: CutKind
    stage: int
    position: float
    setting: float
    block: int = 0
    strip: int = 0
    angle: float = 0.0
    waste: bool = False
    held: tuple[int, ...] = ()
    made: tuple[int, ...] = ()
    chained: bool = False


@dataclass(frozen=True)
class Remnant:
    """An offcut that a layout leaves, as a rectangle.

    usable: no shorter than the shortest part asked, no narrower than the narrowest nor than is
    safe to rip; whole_width: as wide as the board it was cut from.
    """

    x: float
    y: float
    length: float
    width: float
    usable: bool
    whole_width: bool = False


@dataclass(frozen=True)
class Layout:
    """How one board is cut, and how many boards are cut so.

    true_rip: whether it is first ripped to its true width; trim: what squaring takes off an end
    (x counts from there); squared: how many ends are squared, the clipped one last.
    """

    stock: str
    stock_length: float
    stock_width: float
    count: int
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Remnant, ...]
    on_hand: bool = False
    true_rip: bool = False
    trim: float = 0.0
    squared: int = 0


@dataclass(frozen=True)
class SetUp:
    """One setting of the saw and what is cut with it.

    stage: 0 rips boards to their true width, 1 crosscuts blocks, 2 rips strips, 3 crosscuts
    parts; setting: of stop block or rip fence, 0 where a fresh end needs no stop; angle: of the
    mitre gauge, degrees off square; cuts: passes of the saw; parts: what the last crosscut makes;
    places: (layout, block), both from 0, that are cut.
    """

    stage: int
    kind: CutKind
    setting: float
    angle: float
    cuts: int
    parts: tuple[str, ...] = ()
    places: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Labour:
    """What work at the saw costs, in the unit of `price`.

    A setting, a crosscut, a rip, and a board on top of its price, which is fetched and looked over.
    """

    setting: float
    crosscut: float
    rip: float
    board: float


class Trade(NamedTuple):
    """Boards against saw settings: a choice that was found, with its cost in prices."""

    boards: int
    setups: int
    cost: float = 0.0


@dataclass(frozen=True)
class SetUps:
    """All settings of the saw in working order, and what fewer of them would cost.

    trade: the choices that were found, fewest boards first; lines: for each layout and each of
    its cuts, which of the settings (from 0) makes it; squaring: the first pass, which squares
    board ends without a setting; None where boards need none.
    """

    settings: tuple[SetUp, ...]
    trade: tuple[Trade, ...] = ()
    lines: tuple[tuple[int, ...], ...] = ()
    squaring: SetUp | None = None

    @property
    def count(self) -> int:
        """How often a fence, a stop block or the mitre gauge is set."""
        return len(self.settings)

    def passes(self, kind: CutKind | None = None) -> int:
        """How many cuts of one kind, or of both, are made, those that square ends among them."""
        every = (*self.settings, *([self.squaring] if self.squaring else []))
        return sum(one.cuts for one in every if kind in (None, one.kind))


@dataclass(frozen=True)
class CutPlan:
    """The answer: layouts, how good they are, and how to saw them.

    boards: new boards used; lower_bound: no plan uses fewer (for several prices: a bound that
    follows from the price bound); cost, cost_bound: in the unit of `price`; proven: no plan
    costs less; gap: boards above the bound; yield_: part area by board area used;
    spare: boards to buy on top for defects; seconds: counted work of the search; instead: other
    plans that were found beside it, of more boards and fewer settings, or cheapest with the work at
    the saw.
    """

    layouts: tuple[Layout, ...]
    boards: int
    lower_bound: int
    linear_bound: float
    proven: bool
    cost: float
    cost_bound: float
    yield_: float
    kerf: float
    stock: tuple[StockBoard, ...]
    setups: SetUps = field(default_factory=lambda: SetUps(()))
    offcuts_used: int = 0
    spare: int = 0
    seconds: float = 0.0
    instead: tuple[CutPlan, ...] = ()

    @property
    def gap(self) -> int:
        """Boards between the plan and its bound; 0 when proven."""
        return 0 if self.proven else self.boards - self.lower_bound
