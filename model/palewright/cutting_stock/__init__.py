"""The cut planner: the fewest boards for a list of parts, with the order of sawing.

It knows no box. ``plan_cuts`` covers the demand with patterns of boards: a linear program over
patterns by column generation (``master``), each priced by dynamic programming over strips, blocks
and rip widths (``pricing``), then dives that round it, then enumeration of every pattern whose
reduced cost lies within the gap, which proves the plan or finds a better one. Inside it counts in
whole units (1/1600 mm, exact for 1/64 in and 0.01 mm). Neighbouring slanted ends share a cut where
their angles allow.

The model. Parts i = 1..m are wanted d_i times; kinds of boards k cost c_k and are there u_k times.
A pattern p of kind k(p) makes a_ip of part i; x_p is how often it is cut::

    covering problem     min sum_p c_k(p) x_p,   sum_p a_ip x_p >= d_i,   sum_{p of k} x_p <= u_k,
    (``CoveringProblem``)                        x_p whole and >= 0; an answer is a ``Cover``
    restricted master    the same without "whole", over the patterns found so far; its duals are
    (``RestrictedMaster``)                       y_i >= 0 of the parts and z_k <= 0 of the kinds
    pricing problem      max_p sum_i y_i a_ip    over every pattern of kind k: above c_k - z_k it is
    (``PricingProblem``)                         taken in; where none is, the master is exact
    bound                sum_i y_i d_i + sum_k u_k z_k for any y >= 0 and z <= 0 for which no
                         pattern is worth more than c_k - z_k; y that are too high are scaled
                         down by what the best pattern exceeds (Farley's bound)
    reduced cost         c_k - z_k - sum_i y_i a_ip: no cover cheaper than C uses a pattern whose
                         reduced cost exceeds C - bound, so listing the others proves the plan
    pattern, three stages  a board is crosscut into blocks, a block ripped into strips, a strip
                         crosscut into parts. Blocks of length l are worth at most f(l), the sum
                         over strips of a rip pattern of their knapsacks at l; the whole board is
                         a knapsack over block lengths, f at the dog-eared end being another

A pattern is found by label extension: slot after slot, each label with the length left and its
worth. A label goes where its worth and the most that is still to come (completion bound) stay below
what is asked, or where another with equal parts is shorter (dominance).

Work. Every search ends by work (``problem.work_clock``): loops ``spend`` seconds of a quiet core by
what they do (cells, rows, steps), deadlines are such seconds (``time_limit``, ``setup_time``,
``seconds`` everywhere), and HiGHS ends after nodes and is counted by its simplex steps; it is never
given a clock. One budget (``WORK``) serves the packet, ``cut``, ``price`` and ``season``, so that
they say the same of one batch. Only ``broken_off`` (``--seconds``) reads the machine's clock: from
then on ``now()`` is later than every deadline, and each search returns what it has. The planner is
one process on purpose: two that race would make the layouts of a proven plan depend on which of
them was quicker.

A good plan at once (``planner._chosen``): boards filled one by one, a short look at the bound, and
that rounded by a dive without a target, which always ends in a cover. None of the three is
broken off. The dives that follow share its ``Memory`` (what was left after each step, its columns
and its bound), so little is done twice. After a second of work it is within 3 % of the bound on the
benchmark's mixes, or three boards of a small batch, and no worse than the batches one by one.

Few boards (``enough``). Whether N boards do is asked by the size search, a thousand times. Boards
are filled one by one first; where that is enough, nothing is priced. Where blocks are too many to
be listed, pricing is slow and rounding finds little: there boards are filled again and again, what
was left over worth more each time (``insistent_cover``), and a short look does nothing else. Of 13
sizes of a tub of spaced staves that pricing finds in a second, that finds all but a few in .3.

Pricing. Where a board's blocks are few they are listed once (``block_enumeration``), and pricing is
one product of matrices. Where the patterns of a board are known, the lengths at which a block's
completion bound rises are known once; pricing first tries the best block at each
(``block_heuristic``). A block at the dog-eared end is as short as any order and place of its strips
allows (``dog_ears``); patterns there only carry the least each strip can lose, so bounds and proofs
hold. A plain block beside one at the dog-eared end has the board's whole length to reach, not the
plain length: every bound must allow for that. Of more than 600 rip patterns a sample is listed;
``RipBound`` bounds the board over all of them and reads off the patterns that pricing lacks. Only
the pricing of the whole board finds patterns so.

Bounds of a board whose blocks are not listed: repeating the best block counts a part that is wanted
once as often as it goes in; where full pricing could look at all that is left under that no longer,
prices of the parts (Lagrange multipliers) bring it down, and labels are extended again under the
lower one, complete for the real values. A herb trough of 49 parts that 50 s could not bound is
ruled out in 2. Not first: its patterns are poorer columns.

A dive fixes all that is nearly whole at once, prices anew what is left, and takes back what left
too little; later attempts fix less. Pricing in a dive ends where two rounds gain less than a
thousandth of a board. Where the bound leaves no waste, the pattern that can be repeated most often
is taken first (``repeated_patterns``): no shipped batch needs it, of the open data one does.
Large ripped batches (more than 20 boards) stop a
board above the bound after a seventh of the work, from 4.2 s; full-width parts get all of it.

Sawing. ``fewest_settings_mip`` picks among plans of one cost: fewest settings, then the longest
offcut of whole width. ``FactBook`` reads both off the layout itself, so that what is counted is
what is sawn. The fewest settings come from ``few_settings``: slope scaling names some forty
patterns, and an integer program over these alone takes a fraction of what one over 300 takes. On
the shipped variants 15 s of processor time for 25, none with a setting more; on 30 boxes drawn at
random half the time, 842 settings for 840. Patterns that another beats are left out first, or the
small pools fill up with them. Finishing may add a setting to a cover that makes parts too many, so
each better cover is finished. ``crosscuts`` turns a strip into cuts: the angles one by one, with
the stop of each.

The numbers of the search stand in one record (``problem.search_settings``), each with what set it.
``tests/benchmarks/bench_ablation.py`` tables what each mechanism pays: one that saves no board, no
proof and no third of the work on any question goes (regrouping, thrifty dives and integer programs
over all columns priced did; the last took an open case four fifths of its work for nothing).
``tests/benchmarks/bench_cut.py`` tables variant × count; the open data sets and their sources are
in ``tests/data/cutting``.
"""

from palewright.cutting_stock.bounds.dual_feasible_functions import quick_bound, whole_boards
from palewright.cutting_stock.bounds.strip_relaxation import strip_bound
from palewright.cutting_stock.planner import SETUP_WORK, WORK, first_plan, plan_cuts
from palewright.cutting_stock.problem.parts_csv import parts_from_text, read_parts
from palewright.cutting_stock.problem.records import (
    Cut,
    CutKind,
    CutPlan,
    CuttingError,
    Labour,
    Layout,
    NotEnoughBoards,
    Offcut,
    PartDemand,
    PartDoesNotFit,
    PartsListError,
    Piece,
    Remnant,
    SawSettings,
    SetUp,
    SetUps,
    StockBoard,
    Trade,
)
from palewright.cutting_stock.sawing.fewest_settings_mip import FEWER_SETTINGS
from palewright.cutting_stock.sawing.plan_json import plan_as_json

__all__ = [
    "FEWER_SETTINGS",
    "SETUP_WORK",
    "WORK",
    "Cut",
    "CutKind",
    "CutPlan",
    "CuttingError",
    "Labour",
    "Layout",
    "NotEnoughBoards",
    "Offcut",
    "PartDemand",
    "PartDoesNotFit",
    "PartsListError",
    "Piece",
    "Remnant",
    "SawSettings",
    "SetUp",
    "SetUps",
    "StockBoard",
    "Trade",
    "first_plan",
    "parts_from_text",
    "plan_as_json",
    "plan_cuts",
    "quick_bound",
    "read_parts",
    "strip_bound",
    "whole_boards",
]
