"""The largest boxes of N boards: a Pareto search.

No size is ruled out because a smaller one was: a wider wall may need fewer boards. It is ruled out
by a quick bound (dual-feasible functions), by a list of one shape (``dominance``, proof in its
docstring), or by its own plan. Where N boards are asked for, pricing boards and the integer program
over listed blocks (``bounds.block_selection_mip``) take turns: each proves what the other finds
hard. ``sure_parts`` says what every higher box has too; a floor or wall that depends on height must
leave it.

Looks are settings laid over the variant (``looks``): an alphabet of widths of which strips and
kerfs fill a board, what only costs wood at its least. Their likeliest few are planned at a height
(quick bound plus what a width to rip costs: the first of them is made where any is, mostly); what
is not planned stays open and is told as a bound. Each number of boards is sought near a likely size
first (``look_search``); what is left of its boards buys back what was spared
(``height_search.enriched``).

Asks are made in a fixed order and a fixed number ahead, so the executor changes nothing;
``tests/benchmarks/bench_size.py`` measures it.
"""
