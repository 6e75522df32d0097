"""Boards against work at the saw: the plan of up to two boards more that is cheapest with both.

A saw setting is paid once, however often it is used: a fixed charge. Linear programs in which each
setting's price is spread over its last uses find good sets of settings in milliseconds (slope
scaling: D. Kim, P. M. Pardalos, "A solution approach to the fixed charge network flow problem using
a dynamic slope scaling procedure", Operations Research Letters 24 (1999) 195-203, cited from
memory). Beside them new patterns are priced from the blocks that are known (`labour_pool`). Then
settings are dropped one by one while that pays. The best set becomes whole boards: a small integer
program over the patterns of the best linear ones. What counts in the end is what is really sawn, so
it is judged finished, and by the caller beside the plan of the fewest boards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from palewright.cutting_stock.master.highs import (
    INFINITY,
    add_columns,
    integer_model,
    is_optimal,
    make_whole,
    quiet_model,
    solve_integer,
)
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem, covers
from palewright.cutting_stock.master.restricted_master import Bound, RestrictedMaster
from palewright.cutting_stock.problem.integer_units import IntegerProblem
from palewright.cutting_stock.problem.records import Labour
from palewright.cutting_stock.problem.work_clock import CALL, CELL, OVER, now, spend
from palewright.cutting_stock.sawing.fewest_settings_mip import (
    TRADE_STEPS,
    Finished,
    cheapest_board,
    finished,
    known_columns,
)
from palewright.cutting_stock.sawing.labour_pool import Pool
from palewright.cutting_stock.sawing.saw_settings import FactBook
from palewright.geometry.arrays import Flags, Floats, Ints

SLOPES = 12
"""Linear programs from one start at most: prices settle in five or so."""

STARTS = 6
"""So many starts, three of them of their own kind, the others kicks."""

KICKS = (0.0, 0.3, 1.0, 1.0, 3.0)
"""The best set's prices times one of these, drawn for each setting, are a start of their own."""

NEAR_BEST = 1.01
"""Sets of settings within so much of the best are thinned out. This and `ALLOWED` were measured on
the 19 demands of the shipped season: with 1.02 and 200 a seventh more work, and no cheaper."""

ROUNDS, LAST_ROUNDS = 3, 12
"""New patterns are priced so often beside a program, and where a set of settings is decided."""

SUPPORTS, ALLOWED = 20, 60
"""Patterns of an integer program: those of so many linear answers, and so many more, the newest,
that need no setting outside the set."""

FEW_BOARDS, NODES_OF_FEW = 12, 20
"""Of so few boards parts of boards say little: then all settings are also weighed at once, in a
longer search."""

GAP = 0.005
"""An integer program ends so near its bound: finishing changes more."""


def cheapest_by_labour(
    problem: IntegerProblem,
    covering: CoveringProblem,
    master: RestrictedMaster,
    bound: Bound,
    best: Cover,
    labour: Labour,
) -> tuple[tuple[Cover, Finished], ...]:
    """Return the best cover, and the one that work at the saw makes cheapest.

    It takes up to two boards more.

    Args:
        problem: parts and boards in whole units.
        covering: what is to be covered.
        master: the columns found so far.
        bound: the linear optimum and its duals.
        best: the best cover so far.
        labour: what work at the saw costs.
    """
    book = FactBook(problem)
    plain = finished(book, best)
    if now() >= OVER:
        return ((best, plain),)
    pool = Pool(book, covering, known_columns(problem, covering, master, bound, best), labour)
    # offcuts are used first, so no other plan may use fewer
    offcuts = sum(uses for column, uses in best.columns if problem.stock[column.kind].on_hand)
    search = _Slopes(pool, best, cheapest_board(problem), offcuts)
    found = search.whole_boards(search.sets())
    done = [(cover, finished(book, cover)) for cover in found]
    return ((best, plain), *sorted(done, key=lambda one: pool.paid(one[1].groups))[:1])


@dataclass(frozen=True)
class _Set:
    """A set of settings.

    What it costs with parts of boards, their uses (n,), the settings (s,) that are used, and how
    many boards go through each (s,).
    """

    cost: float
    uses: Floats
    on: Flags
    passes: Floats


class _Slopes:
    """Linear programs over a pool, its settings' prices spread over their uses."""

    def __init__(self, pool: Pool, start: Cover, board: int, offcuts: int) -> None:
        self.pool, self.start, self.offcuts = pool, start, offcuts
        self.setting = pool.labour.setting
        self.most = start.cost + TRADE_STEPS * board
        # parts of boards leave one for what whole boards waste
        aim = max(start.cost, self.most - board)
        self.model = quiet_model()
        self.model.setOptionValue("presolve", "off")  # each begins where the last ended
        for least, most in zip(*pool.limits(aim, offcuts), strict=True):
            self.model.addRow(least, most, 0, np.zeros(0, np.int32), np.zeros(0))
        self.size = 0
        self._extend()
        self.duals = np.zeros(0)
        self.found: dict[bytes, _Set] = {}

    def _extend(self) -> None:
        """Take the pool's new patterns into the model."""
        new = np.arange(self.size, len(self.pool.columns))
        add_columns(self.model, self.pool.costs[new], self.pool.entries(new).T)
        self.size = len(self.pool.columns)

    def sets(self) -> list[_Set]:
        """Sets of settings, the cheapest first."""
        pool, draws = self.pool, np.random.default_rng(7)
        alone = self.setting / np.maximum(1.0, (pool.needs * pool.caps[:, None]).max(0))
        passes = pool.uses(self.start) @ pool.needs
        best: _Set | None = None
        thinned: set[bytes] = set()
        for number in range(STARTS):
            if number == 0:
                prices = alone
            elif number == 1:
                prices = self._spread(passes, np.full(len(alone), self.setting))
            elif number == 2 or best is None:
                prices = np.zeros(len(alone))
            else:
                prices = self._spread(best.passes, alone) * draws.choice(KICKS, len(alone))
            one = self._settled(prices)
            if one is None or now() >= OVER:
                continue
            near = best is None or one.cost < NEAR_BEST * best.cost
            if near and one.on.tobytes() not in thinned:
                thinned.add(one.on.tobytes())
                one = self._thinned(one)
            if best is None or one.cost < best.cost:
                best = one
        return sorted(self.found.values(), key=lambda one: one.cost)

    def _spread(self, passes: Floats, else_: Floats) -> Floats:
        """Each setting's price, shared by the boards that go through it."""
        return np.where(passes > 1e-6, self.setting / np.maximum(passes, 1e-6), else_)

    def _settled(self, prices: Floats) -> _Set | None:
        """The best set met while prices settle."""
        best, seen, open_ = None, set(), np.zeros(len(prices), bool)
        for number in range(SLOPES):
            one = self._priced(prices, open_, ROUNDS)
            if one is None:
                return best
            if best is None or one.cost < best.cost:
                best = one
            if (one.on.tobytes() in seen and number > 2) or now() >= OVER:
                break
            seen.add(one.on.tobytes())
            more = np.maximum(prices, self.setting / np.maximum(1.0, one.passes + 1.0))
            prices = self._spread(one.passes, more)
        return best

    def _thinned(self, one: _Set) -> _Set:
        """The set without the settings that cost more than they save, taken off one by one."""
        free = np.zeros(len(one.on))
        one = self._fully(one)
        better, hopeless = True, np.zeros(len(one.on), bool)
        while better:
            better = False
            for setting in np.flatnonzero(one.on & ~hopeless):
                closed = ~one.on
                closed[setting] = True
                tried = self._solved(free, closed)
                if tried is None or tried.cost >= one.cost + self.setting:
                    hopeless[setting] = True  # with fewer settings it is missed no less
                    continue
                tried = self._bettered(tried, free, closed, ROUNDS)
                if tried is not None and tried.cost < one.cost - 1e-6:
                    one, better = tried, True
        return self._fully(one)

    def _fully(self, one: _Set) -> _Set:
        """The set with the best patterns that need no other setting."""
        found = self._priced(np.zeros(len(one.on)), ~one.on, LAST_ROUNDS)
        return one if found is None or found.cost >= one.cost else found

    def _priced(self, prices: Floats, closed: Flags, rounds: int) -> _Set | None:
        """As `_solved`, new patterns being priced up to so often."""
        return self._bettered(self._solved(prices, closed), prices, closed, rounds)

    def _bettered(
        self, one: _Set | None, prices: Floats, closed: Flags, rounds: int
    ) -> _Set | None:
        """What was just solved, new patterns being priced up to so often."""
        for _ in range(rounds):
            if one is None or not self._grown(prices, closed):
                break
            one = self._solved(prices, closed)
        return one

    def _grown(self, prices: Floats, closed: Flags) -> bool:
        """Take in new patterns that the last program's duals call for; whether there were any."""
        pool = self.pool
        if pool.book.problem.saw.order == "rip-first":
            return False  # a board is one block then
        news = False
        for k, kind in enumerate(pool.kinds):
            if not kind.recipes or (kind.bare & closed).any():
                continue
            size = len(pool.covering.demand)
            values = kind.counts @ self.duals[:size] - kind.cuts - kind.needs @ prices
            values[(kind.needs & closed).any(1)] = -INFINITY
            sides = float(self.duals[size:] @ pool.sides([k])[:, 0])
            paid = kind.cost + float(kind.bare @ prices) - sides
            found = kind.best(values, max(0.0, paid + 1e-6))
            news |= pool.take((pool.made_of(k, blocks), blocks) for _, blocks in found)
        if news:
            self._extend()
        return news

    def _solved(self, prices: Floats, closed: Flags) -> _Set | None:
        """The parts of boards that cost least, and what they cost in truth; None for none."""
        pool, every = self.pool, np.arange(self.size, dtype=np.int32)
        free = pool.needs @ closed == 0
        if not (pool.makes @ free).all():  # more than half of all that are asked
            return None  # a part that no pattern left makes
        most = np.where(free, INFINITY, 0.0)
        self.model.changeColsCost(self.size, every, pool.costs + pool.needs @ prices)
        self.model.changeColsBounds(self.size, every, np.zeros(self.size), most)
        self.model.run()
        spend(CALL + CELL * self.model.getInfo().simplex_iteration_count * 2 * self.size)
        if not is_optimal(self.model):
            return None
        solution = self.model.getSolution()
        uses, self.duals = np.array(solution.col_value), np.array(solution.row_dual)
        uses[uses < 1e-7] = 0.0
        passes = uses @ pool.needs
        on = passes > 1e-6
        one = _Set(float(pool.costs @ uses + self.setting * on.sum()), uses, on, passes)
        key = np.flatnonzero(uses).tobytes()
        if key not in self.found or one.cost < self.found[key].cost:
            self.found[key] = one
        return one

    def whole_boards(self, sets: Sequence[_Set]) -> list[Cover]:
        """The best set as whole boards; of few boards also the best of all sets. Each once."""
        near = np.zeros(self.size, bool)
        for one in sets[:SUPPORTS]:
            near[: len(one.uses)] |= one.uses > 0
        known = self.pool.uses(self.start)
        found: list[Ints] = []
        for one in sets[:1]:
            uses = self._program(one.on, near)
            if uses is None:  # with what is known there is a plan, but a dear one
                uses = self._program(one.on, near | (known > 0))
            found += [] if uses is None else [uses]
        if known.sum() <= FEW_BOARDS:
            none = np.zeros(self.pool.needs.shape[1], bool)
            uses = self._program(none, known >= 0, NODES_OF_FEW)
            new = uses is not None and not any(np.array_equal(uses, other) for other in found)
            found += [uses] if uses is not None and new else []
        return [self.pool.cover(uses, self.start.lower) for uses in found]

    def _program(self, on: Flags, near: Flags, nodes: int = 1) -> Ints | None:
        """How often each pattern is used (n,); None where nothing is found.

        Settings that are on (s,) are free, each other one has a yes-or-no. near: (n,) patterns to
        choose from, besides those that need no other setting.
        """
        pool = self.pool
        inside = np.flatnonzero(pool.needs @ ~on == 0)[-ALLOWED:]
        here = np.union1d(np.flatnonzero(near), inside)
        needs = pool.needs[here] > 0
        paid = np.flatnonzero(needs.any(0) & ~on)
        number, total = len(here), len(here) + len(paid)
        model = integer_model(nodes)  # what the first node's heuristics find is mostly near GAP
        model.setOptionValue("mip_rel_gap", GAP)
        if nodes == 1:
            # a tenth of the time each, for none, none and .1 %
            model.setOptionValue("mip_heuristic_run_feasibility_jump", False)
            model.setOptionValue("mip_pool_soft_limit", 500)
            model.setOptionValue("mip_heuristic_run_rins", False)
        model.addCols(
            total,
            np.append(pool.costs[here], np.full(len(paid), self.setting)),
            np.zeros(total),
            np.append(pool.caps[here], np.ones(len(paid))), 0,
            np.zeros(total, np.int32), np.zeros(0, np.int32), np.zeros(0),
        )  # fmt: skip
        make_whole(model)
        limits = pool.limits(self.most, self.offcuts)
        for least, most, row in zip(*limits, pool.entries(here), strict=True):
            places = np.flatnonzero(row).astype(np.int32)
            model.addRow(least, most, len(places), places, row[places])
        for place, setting in enumerate(paid, number):
            for i in np.flatnonzero(needs[:, setting]):
                model.addRow(-INFINITY, 0.0, 2, [int(i), place], [1.0, -pool.caps[here[i]]])
        solve_integer(model)
        values = np.array(model.getSolution().col_value)
        if len(values) < number or model.getInfo().primal_solution_status != 2:
            return None
        uses = np.zeros(self.size, np.int64)
        uses[here] = np.rint(values[:number])
        sound = covers(pool.columns, uses, pool.covering) and uses @ pool.boards <= self.most
        return uses if sound else None
