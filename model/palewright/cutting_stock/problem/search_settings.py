"""The numbers that steer the search for boards: what each does, and what set it.

None of them can make a plan wrong or a proof false: they say how much is looked at before the
search tries something else. Seconds are counted work (``problem.work_clock``). "Measured" and
"tried" say where; "judgement", or no word of it, that no measurement is on record. What whole
mechanisms pay is in ``tests/benchmarks/bench_ablation.py``; change a number here only with that
table and ``bench_cut.py`` beside you.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SearchSettings:
    """All numbers of the search; shares are of 1."""

    # The planner: how the work is shared out.
    few_boards_alike: int = 30
    """Boards filled one by one where only a number of boards is asked about: enough to start
    pricing from."""
    greedy_work: float = 0.5
    """Seconds of filling boards one by one; a list of hundreds of parts takes longer so than
    pricing it."""
    fillings: int = 20
    """Times that so many boards are filled one by one, where only that number is asked about and
    blocks are too many to be listed. Of 26 sizes of a tub of spaced staves that are known to be
    made, so many find 20; twice as many, 24 (with 300 blocks looked at)."""
    filling_work: float = 0.2
    """Seconds of that at most. Of 95 questions about that tub 68 are answered by it, 71 in .3 s."""
    fillable: float = 0.97
    """Share of the boards up to which strips (`boards_in_strips`) leave room to fill them again and
    again: of some 100 questions above it, about two variants in many looks, none was answered."""
    filling_blocks: int = 72
    """Best blocks looked at meanwhile; more take longer, so that fewer fillings are tried. Of the
    same questions so many answer 71 in .3 s, 36 answer 66, 300 answer 61."""
    dearer: float = 0.2
    """What parts left over gain in worth, by the share of them that was left. Measured on the same
    sizes: .3 finds 18 of them in 20 rounds, 1 finds 13."""
    cheaper: float = 0.95
    """What is left of the worth of all others."""
    first_look: float = 0.25
    """Seconds of pricing before the bound is rounded for the first time: then a plan is there that
    is near it (measured: within 3 % after a second on the mixes of `bench_cut.py`)."""
    pricing_share: float = 0.4
    """Of the work left after the first look, for pricing on. Judgement."""
    short_look: float = 0.3
    """Seconds of pricing boards before their blocks are looked at. In no longer a look boards that
    are hard to price are only filled."""
    program_share: float = 0.5
    """Of the work that is left, for a look at blocks at most. Judgement."""
    patience: float = 4.2
    """Seconds after which many ripped boards, one above the bound, are good enough; parts of full
    width are simpler, and a proof may come late. Below the 5 s a batch that `bench_cut.py` asks."""
    patient_share: float = 0.14
    """The same as a share of the work given, where that is more. Keeps a longer search longer."""
    first_pricing: float = 0.4
    """Of the patience, for pricing before boards are chosen at most. Judgement."""
    soon: float = 1.0
    """Seconds within which a proof is quick: all of the work for settings is then given to them."""

    # The restricted master: column generation.
    far_from_bound: float = 0.05
    """Gap of the bound above which duals are drawn to the best known ones. Judgement."""
    pulls: tuple[float, ...] = (0.5, 0.8, 0.0)
    """Share of the best known duals, at first and after pricing in vain; the last must be 0, or no
    bound would ever be exact. Measured (`bench_ablation.py`): without it one size of 53 questions
    stays open, but one mix is proven with a board less: worth another look."""
    idle_gain: float = 0.001
    """Of a board: what a quick round must bring the value down by."""
    most_idle: int = 2
    """Quick rounds in a row that may bring less."""
    bound_gain: float = 0.1
    """Of the gap: what a better bound must gain for pricing to count as not in vain. Judgement."""

    # Which ways to a plan are taken, and how far.
    most_near: int = 40_000
    """Patterns within the gap that one integer program is given: its first node then takes 4 s."""
    few_near: int = 1500
    """So few patterns settle soon, so that half of the work left may go to them."""
    first_dive: float = 4.0
    """Seconds of a first dive at most; most end by themselves far sooner. Judgement."""
    sharpening_share: float = 0.3
    """Of the work left, for pricing on to an exact bound. Without it one of 47 questions less is
    decided (measured, `bench_ablation.py`)."""
    few_steps: int = 20
    """Boards up to which no patience ends the search: a board in 20 is worth a late proof."""
    seeds: int = 3
    """Searches of one integer program: short ones before the long one, since how long one takes
    depends on its seed a hundredfold. Judgement."""
    short_search: float = 1.5
    """Seconds of a short one at most. Judgement."""
    no_waste: float = 1e-3
    """Room below the bound, in boards, under which a plan at the bound has no waste to speak of."""
    small_rests: tuple[float, float] = (12.0, 5.0)
    """Boards left in a dive at which an integer program takes over, for the first and the second
    time."""
    dive_patterns: int = 120
    """Partial patterns kept when a dive prices."""
    rests_known: int = 40
    """Rests that dives remember: each holds the strips that are still of use, some MB."""
    repeated_patterns: int = 60
    """Partial patterns kept when one to be repeated is sought. Judgement."""
    area_favour: float = 1.06
    """Power of a part's area when boards are filled one by one: big parts first where the areas
    are alike."""

    # Bounds.
    packing_nodes: int = 4_000
    """Steps of packing block lengths, or of pricing a row, before it is given up. Judgement."""
    packing_rows: int = 200
    """Rows of blocks priced one by one for the weights of block lengths at most. Judgement."""
    blocks_in_program: int = 2500
    """Programs over more blocks take longer than pricing boards does."""
    boards_in_program: int = 12
    """Above so many boards no program over blocks is made. Judgement."""
    program_rounds: int = 100
    """Inequalities added at most; work ends it sooner. Judgement."""
    program_nodes: int = 200
    """Nodes of one program over blocks: a hard one is left to pricing boards."""
    most_to_a_board: int = 8
    """Functions that count parts: up to so many side by side or in a row. Judgement."""
    most_in_a_row: int = 11
    """The same for blocks in a row. Judgement."""

    # Pricing: strips, rip patterns, blocks.
    most_strips: int = 60_000
    """Strips of one width that are listed; above, the best for each length. Memory, some 10 MB."""
    strip_cells: int = 4096
    """Cells of a strip's length where not all are listed: half a millimetre of a 6 ft board."""
    strips_shown: int = 300
    """Strips read off then."""
    most_rips: int = 600
    """Rip patterns that are listed; above, a sample, and others as pricing lacks them."""
    sampled_rips: int = 300
    """Of that sample. Judgement."""
    most_blocks: int = 20_000
    """Blocks that are listed: one product of matrices then costs less than extending labels."""
    most_tried: int = 3_000_000
    """Combinations of strips that may be tried for that list."""
    tried_at_once: int = 20_000
    """The same for a restricted board that is priced again."""
    grid_cells: int = 8192
    """Cells of the board's length in a ceiling: a quarter of a millimetre of a 6 ft board."""
    goal_shares: tuple[float, ...] = (0.02, 0.1, 0.35, 1.0)
    """Shares of the way from the ceiling down to what is asked, tried in turn: the best patterns
    mostly lie near the ceiling, and a high goal prunes most labels. The last must be 1."""
    board_fan: int = 30
    """Partial boards before the shortest of each is kept, a pattern that is asked for."""
    block_fan: int = 6
    """Blocks kept, a pattern that is asked for."""
    pattern_fan: int = 60
    """Rip patterns looked at where not everything need be found."""
    lean_strips: int = 150
    """Strips of a slot in a lean look."""
    least_blocks: int = 300
    """Best blocks looked at in the quick look, at least."""
    near_best_strips: int = 1000
    """Strips among which one is sought where the best would take too many of a part."""
    quick_patterns: int = 12
    """Partial patterns kept when boards are filled one by one."""
    one_stage_cells: int = 24_000_000
    """Cells of the table of rows of parts, 100 MB of four bytes each; a coarser grid above."""
    exact_cells: int = 4_000_000
    """Cells up to which these have eight bytes and hold values exactly."""

    # Pricing: completion bounds.
    price_steps: int = 60
    """Subgradient steps of the parts' prices at most."""
    stale_steps: int = 6
    """Of these without gain, before steps are halved. Usual for subgradients; judgement."""
    shortest_step: float = 0.05
    """Share of the first step below which it is not worth going on. Judgement."""
    step_aim: float = 0.98
    """Steps aim a little below the goal, since at the goal itself nothing is ruled out."""
    most_price: float = 0.99
    """Share of a part's value that its price takes at most, so that it stays worth something."""
    length_cells: int = 400
    """Cells of a block's length in the ceiling over all rip patterns. Judgement."""
    width_cells: int = 1024
    """Cells of the board's width there: an eighth of a millimetre of a 5-1/2 in board."""
    patterns_read_off: int = 12
    """Block lengths of which the best rip pattern is read off."""


SETTINGS = SearchSettings()
"""What the planner uses."""
