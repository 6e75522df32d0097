"""The cut plan: fewest boards (or least price) for a demand, with bound, layouts and set-ups."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from palewright.cutting_stock.bounds.block_selection_mip import BlockProgram, block_program
from palewright.cutting_stock.bounds.dual_feasible_functions import boards_weighed
from palewright.cutting_stock.bounds.strip_relaxation import boards_in_strips
from palewright.cutting_stock.master.diving_heuristic import Memory, dive
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem, Tell
from palewright.cutting_stock.master.restricted_master import (
    Bound,
    Column,
    Kind,
    RestrictedMaster,
    column_of,
    rounded_bound,
)
from palewright.cutting_stock.master.search_strategy import best_cover
from palewright.cutting_stock.master.sequential_heuristic import greedy_cover, insistent_cover
from palewright.cutting_stock.pricing.one_stage import OneStagePricing
from palewright.cutting_stock.pricing.pricing_problem import NoPricing, pricing_of
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.integer_units import (
    PRICE_STEP,
    IntegerProblem,
    fits,
    integer_problem,
)
from palewright.cutting_stock.problem.records import (
    CutPlan,
    Labour,
    Layout,
    Listener,
    NotEnoughBoards,
    Offcut,
    PartDemand,
    SawSettings,
    SetUps,
    StockBoard,
    Trade,
)
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import counted, now, unbroken
from palewright.cutting_stock.sawing.fewest_settings_mip import finished, thriftiest
from palewright.cutting_stock.sawing.labour_search import cheapest_by_labour
from palewright.cutting_stock.sawing.layouts import layouts_of
from palewright.cutting_stock.sawing.saw_settings import FactBook, set_ups
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup, exact_groups
from palewright.geometry.arrays import Floats

WORK = 12.0
"""For proving the boards of one demand. Of the first 100 batches and mixes of bench_cut.py, 97 are
proven in a third of it; the others are a board above their bound."""
SETUP_WORK = 2.0
"""For fewer saw settings, what fewer would cost, and longer offcuts."""


def plan_cuts(
    demand: Sequence[PartDemand],
    stock: Sequence[StockBoard | Offcut],
    saw: SawSettings,
    *,
    time_limit: float = WORK,
    setup_time: float = SETUP_WORK,
    labour: Labour | None = None,
    enough: int | None = None,
    progress: Listener | None = None,
) -> CutPlan:
    """Return the cut plan for a demand; lengths in one unit throughout (millimetres).

    The same question has the same plan on every machine: times are counted work, in seconds of a
    quiet core (`work_clock`). Within `broken_off` the best plan so far is returned when the break
    comes; it is never worse than `first_plan`.

    Args:
        demand: the parts.
        stock: boards to buy, and offcuts at hand, which are used first.
        saw: kerf, trims, order of cuts, least rip.
        time_limit: for finding and proving the boards. It ends as soon as the plan is proven, and
            after a seventh, from 4.2 s on, where a large batch that is ripped is no more than a
            board above its bound.
        setup_time: for fewer set-ups and longer offcuts, down to half of it where the proof took
            long; 0 leaves them as they come, `FEWER_SETTINGS` looks at settings alone.
        labour: what work at the saw costs: then a plan that is cheapest with it is sought too
            (`CutPlan.instead`), instead of one with fewer set-ups.
        enough: a plan of at most so many new boards of one kind ends the search, and so does a
            bound above it (then the plan is only the first that was found; lower_bound says why).
        progress: told what is being done and the share that is done.

    Raises:
        CuttingError: where the demand cannot be met.
    """
    with counted() as work:
        plan = _planned(demand, stock, saw, time_limit, setup_time, labour, enough, progress)
    return replace(plan, seconds=work[0])


def _planned(
    demand: Sequence[PartDemand],
    stock: Sequence[StockBoard | Offcut],
    saw: SawSettings,
    time_limit: float,
    setup_time: float,
    labour: Labour | None,
    enough: int | None,
    progress: Listener | None,
) -> CutPlan:
    """As `plan_cuts`; work counts from 0."""
    problem = integer_problem(demand, stock, saw)
    if not problem.parts:
        return _empty_plan(problem)
    covering = _covering(problem, time_limit, progress)
    if _is_ripped(covering):
        covering.patience = max(SETTINGS.patience, SETTINGS.patient_share * time_limit)
    if enough is not None:
        return _decided(problem, covering, enough)
    master, bound, best = _chosen(problem, covering)
    if any(column.kind >= len(problem.stock) for column, _ in best.columns):
        raise NotEnoughBoards(
            "no plan was found that makes all parts from the boards and offcuts at hand"
        )
    if labour is not None:
        found = cheapest_by_labour(problem, covering, master, bound, best, labour)
    else:
        some = max(setup_time / 2, setup_time - max(0.0, now() - SETTINGS.soon))
        found = thriftiest(problem, covering, master, bound, best, some)
    plans = [_plan(problem, cover, bound, done.groups) for cover, done in found]
    trade = tuple(Trade(one.boards, one.setups.count, one.cost) for one in plans)
    return replace(
        plans[0],
        setups=replace(plans[0].setups, trade=trade if setup_time > 0 else ()),
        instead=tuple(plans[1:]),
    )


def _chosen(
    problem: IntegerProblem, covering: CoveringProblem
) -> tuple[RestrictedMaster, Bound, Cover]:
    """The best cover that the work allows; there always is one that is near its bound.

    Boards filled one by one, then the bound rounded: neither is broken off. What is left is worked
    out anew from there.
    """
    memory = Memory()
    with unbroken():
        master, first = _started(problem, covering)
        look = now() + SETTINGS.first_look
        bound = master.bound(look, step=covering.step, near=_areas(problem))
        if bound is None:
            raise NotEnoughBoards("the boards at hand are too few for the parts")
        lower = max(_sure_cost(problem, covering), rounded_bound(bound.lower, covering.step))
        best = replace(first, lower=lower)
        if not best.proven:
            best = _rounded(covering, master, bound, best, memory)
    covering.tell(best, 0.0)
    if now() > look and not best.proven:
        end = now() + min(  # the rest is for choosing
            SETTINGS.pricing_share * covering.left(),
            SETTINGS.first_pricing * (covering.patience - now()),
        )
        more = master.bound(end, step=covering.step, near=bound.duals)
        if more is not None and more.lower >= bound.lower:
            bound, memory = more, Memory()
    return master, bound, best_cover(master, bound, covering, best, memory)


def _rounded(
    covering: CoveringProblem, master: RestrictedMaster, bound: Bound, best: Cover, memory: Memory
) -> Cover:
    """The better of a choice and the bound rounded to whole boards."""
    found = dive(covering, master, bound, None, 0, math.inf, memory)
    if found is None or found.cost >= best.cost:
        return best
    return replace(found, lower=best.lower)


def _decided(problem: IntegerProblem, covering: CoveringProblem, boards: int) -> CutPlan:
    """Return a plan of so many boards, or the first plan with the bound that rules so many out.

    Where neither is found in time, the best plan and bound. First boards are filled one by one:
    once, or where pricing is hard again and again if strips leave some room, and in a short look
    nothing else. Pricing boards and a program over blocks find different things hard: each has a
    short look before either has a long one.
    """
    aim, sure = boards * max(kind.cost for kind in problem.stock), _sure_cost(problem, covering)
    if sure <= aim and len(covering.kinds) == 1 and covering.kinds[0].available is None:
        begun, looked = now(), covering.left()
        hard, short = _is_hard_to_price(covering), looked <= SETTINGS.short_look
        again = hard and boards_in_strips(problem) <= SETTINGS.fillable * boards
        work = min(looked, SETTINGS.filling_work) if again else 0.0
        filled = insistent_cover(covering, _areas(problem), boards, work)
        if filled is not None and (filled.cost <= aim or (hard and short)):
            best = replace(filled, lower=sure)
            return _plan(problem, best, _no_bound(sure), exact_groups(best, problem.counts))
        if looked > 2 * SETTINGS.short_look:  # then pricing finds what it finds without
            covering.deadline += now() - begun
    master, first = _started(problem, covering, SETTINGS.few_boards_alike)
    best = replace(first, lower=sure)
    bound, program, end = _no_bound(best.lower), None, covering.deadline
    for seconds in (SETTINGS.short_look, math.inf):
        if best.cost <= aim or best.lower > aim or now() >= end:
            break
        covering.deadline = min(now() + SETTINGS.program_share * (end - now()), now() + seconds)
        best, bound = _priced(problem, covering, master, best, aim)
        if program is None and best.cost > aim >= best.lower:
            program = _block_program(problem, covering, boards)
        if program is not None and best.cost > aim >= best.lower:
            seconds = min(1.5 * seconds, SETTINGS.program_share * (end - now()))
            best = _looked(program, now() + seconds, best)
    _require_enough(problem, best)
    return _plan(problem, best, bound, exact_groups(best, problem.counts))


def _priced(
    problem: IntegerProblem,
    covering: CoveringProblem,
    master: RestrictedMaster,
    best: Cover,
    aim: int,
) -> tuple[Cover, Bound]:
    """The best plan and bound after pricing boards: a plan of cost up to `aim` is good enough."""
    bound = master.bound(covering.deadline, step=covering.step, hopeless=aim, near=_areas(problem))
    if bound is None:
        raise NotEnoughBoards("the boards at hand are too few for the parts")
    lower = max(best.lower, rounded_bound(bound.lower, covering.step))
    best = replace(best, lower=lower)
    if lower <= aim:
        # a plan that is good enough is taken for the best, so that nothing better is sought
        best = best_cover(master, bound, covering, replace(best, lower=aim))
        if best.lower <= aim:
            best = replace(best, lower=lower)
    return best, bound


def _block_program(
    problem: IntegerProblem, covering: CoveringProblem, boards: int
) -> BlockProgram | None:
    """The program over blocks, where there is one."""
    kind = covering.kinds[0]
    if len(covering.kinds) > 1 or kind.available is not None:
        return None
    return block_program(kind.pricing, problem.counts, kind.cost, boards)


def _looked(program: BlockProgram, end: float, best: Cover) -> Cover:
    """The best plan and bound after a look at blocks."""
    program.look(end)
    found = program.cover or best
    lower = (program.boards + 1) * program.cost if program.impossible else 0
    return replace(found, lower=max(best.lower, lower))


def _sure_cost(problem: IntegerProblem, covering: CoveringProblem) -> int:
    """What no plan costs less than, by area and by weights."""
    return rounded_bound(max(_area_bound(problem), _weighed_bound(problem)), covering.step)


def _require_enough(problem: IntegerProblem, cover: Cover) -> None:
    """Refuse a choice with boards that only stand for missing ones."""
    if any(column.kind >= len(problem.stock) for column, _ in cover.columns):
        raise NotEnoughBoards("the boards and offcuts at hand are too few for the parts")


def _no_bound(lower: int) -> Bound:
    """A bound without a linear program."""
    none = np.zeros(0)
    return Bound(float(lower), float(lower), none, none, none, exact=False)


def first_plan(
    demand: Sequence[PartDemand], stock: Sequence[StockBoard | Offcut], saw: SawSettings
) -> CutPlan:
    """Return a good plan found board by board, at once and without proof.

    Units and errors as for `plan_cuts`.
    """
    problem = integer_problem(demand, stock, saw)
    if not problem.parts:
        return _empty_plan(problem)
    covering = _covering(problem, math.inf)
    _, first = _started(problem, covering, full_work=math.inf)
    _require_enough(problem, first)
    lower = rounded_bound(_area_bound(problem), covering.step)
    best = Cover(first.columns, first.cost, lower)
    return _plan(problem, best, _no_bound(lower), finished(FactBook(problem), best).groups)


def _teller(problem: IntegerProblem, progress: Listener | None) -> Tell:
    """What passes on how many boards the best plan takes, and how many are needed at least."""
    dearest = max((kind.cost for kind in problem.stock), default=1) or 1

    def tell(best: Cover, share: float) -> None:
        if progress is not None:
            boards = sum(number for column, number in best.columns if column.cost)
            progress(f"{boards} boards, at least {-(-best.lower // dearest)}", share)

    return tell


def _covering(
    problem: IntegerProblem, deadline: float, progress: Listener | None = None
) -> CoveringProblem:
    kinds = [Kind(pricing_of(problem, kind), kind.cost, kind.available) for kind in problem.stock]
    step = math.gcd(*(kind.cost for kind in problem.stock)) or 1
    return CoveringProblem(problem.counts, kinds, step, deadline, _teller(problem, progress))


def _is_ripped(covering: CoveringProblem) -> bool:
    """Whether strips are ripped from any of the boards."""
    return not all(isinstance(kind.pricing, OneStagePricing) for kind in covering.kinds)


def _is_hard_to_price(covering: CoveringProblem) -> bool:
    """Whether there are more blocks of the first kind of board than can be listed."""
    pricing = covering.kinds[0].pricing
    return isinstance(pricing, ThreeStagePricing) and pricing.listing is None


def _started(
    problem: IntegerProblem,
    covering: CoveringProblem,
    most: float = math.inf,
    full_work: float = SETTINGS.greedy_work,
) -> tuple[RestrictedMaster, Cover]:
    """The covering problem with one pattern a part and kind, and a first cover from those.

    most, full_work: how many boards alike are filled one by one, for how much work.

    Where boards are few, a costly board that is not there stands in for what is missing.
    """
    size = len(problem.parts)
    ample = any(kind.available is None for kind in problem.stock)

    fitting = [[k for k in problem.stock if fits(part, k)] for part in problem.parts]
    missing = not all(any(k.available is None for k in kinds) for kinds in fitting)
    if missing or not ample:
        dear = covering.step * (1000 * (1 + max(kind.cost for kind in problem.stock)))
        covering.kinds = [*covering.kinds, Kind(NoPricing(size), dear, None)]
    master = RestrictedMaster(covering.demand, covering.kinds)
    chosen: list[tuple[Column, int]] = []
    for part in range(size):
        columns = _alone(part, size, covering, len(problem.stock))
        for column in columns:
            master.add(column)
        free = [c for c in columns if covering.kinds[c.kind].available is None]
        cheapest = min(free, key=lambda c: c.cost / int(c.counts[part]))
        copies = int(cheapest.counts[part])
        chosen.append((cheapest, -(-int(covering.demand[part]) // copies)))
    alone = Cover(tuple(chosen), sum(c.cost * n for c, n in chosen), 0)
    only = [column for column, _ in chosen]
    full = greedy_cover(covering, _areas(problem), only, full_work, most)
    if full is None:
        return master, alone
    for column, _ in full.columns:
        master.add(column)
    return master, min(full, alone, key=lambda cover: cover.cost)


def _alone(part: int, size: int, covering: CoveringProblem, real: int) -> list[Column]:
    """Patterns with nothing but one part, one for each kind that it fits on."""
    duals = np.zeros(size)
    duals[part] = 1.0
    columns = []
    for k, kind in enumerate(covering.kinds):
        if k >= real:
            counts = np.zeros(size, dtype=np.int64)
            counts[part] = 1
            columns.append(Column(counts, k, kind.cost, lambda: ()))
            continue
        bounds = np.where(duals > 0, covering.demand, 0)
        found = kind.pricing.restricted(bounds).best(duals, 1.0, 4)
        if len(found.values):
            columns.append(column_of(found, 0, k, kind.cost))
    return columns


def _areas(problem: IntegerProblem) -> Floats:
    """The parts' areas with kerf, slanted corners not taken off; shape (m,)."""
    return (problem.lengths * problem.widths).astype(np.float64)


def _area_bound(problem: IntegerProblem) -> float:
    """Cost of the boards' area that the parts take with their kerf; 0 where that is no bound."""
    slanted = any(slope for part in problem.parts for slope in part.ends.slopes)
    if slanted or any(kind.cost == 0 for kind in problem.stock):
        return 0.0
    area = sum(float(part.length) * part.width * part.count for part in problem.parts)
    rate = min(kind.cost / (float(kind.length) * kind.width) for kind in problem.stock)
    return area * rate * (1 - 1e-9)


def _weighed_bound(problem: IntegerProblem) -> float:
    """Cost of the boards that dual-feasible functions ask for; 0 where boards differ."""
    return boards_weighed(problem) * problem.stock[0].cost if len(problem.stock) == 1 else 0.0


def _plan(
    problem: IntegerProblem,
    best: Cover,
    bound: Bound,
    groups: Sequence[BoardGroup],
) -> CutPlan:
    layouts = layouts_of(problem, groups)
    boards = sum(layout.count for layout in layouts if not layout.on_hand)
    fresh = [kind for kind in problem.stock if not kind.on_hand]
    on_hand = [kind for kind in problem.stock if kind.on_hand]
    priced = any(kind.source.price > 0 for kind in fresh)
    cost = sum(problem.stock[g.kind].cost * g.count for g in groups)
    dearest = max((kind.cost for kind in fresh), default=1) or 1
    return CutPlan(
        layouts=layouts,
        boards=boards,
        lower_bound=min(boards, -(-best.lower // dearest)),
        linear_bound=bound.lower / dearest,
        proven=best.proven or cost <= best.lower,
        cost=cost / PRICE_STEP if priced else 0.0,
        cost_bound=min(cost, best.lower) / PRICE_STEP if priced else 0.0,
        yield_=_yield(layouts),
        kerf=problem.saw.kerf,
        stock=tuple(kind.source for kind in (*fresh, *on_hand)),
        setups=set_ups(layouts),
        offcuts_used=sum(layout.count for layout in layouts if layout.on_hand),
        spare=math.ceil(boards * problem.saw.defect_allowance - 1e-9),
    )


def _yield(layouts: Sequence[Layout]) -> float:
    """Area of the parts by area of the boards, mitred triangles counted as the part's."""
    parts = sum(
        layout.count * sum(piece.length * piece.width for piece in layout.pieces)
        for layout in layouts
    )
    boards = sum(layout.count * layout.stock_length * layout.stock_width for layout in layouts)
    return parts / boards if boards else 0.0


def _empty_plan(problem: IntegerProblem) -> CutPlan:
    """The plan for no parts at all."""
    return CutPlan(
        layouts=(),
        boards=0,
        lower_bound=0,
        linear_bound=0.0,
        proven=True,
        cost=0.0,
        cost_bound=0.0,
        yield_=0.0,
        kerf=problem.saw.kerf,
        stock=tuple(kind.source for kind in problem.stock),
        setups=SetUps(()),
    )
