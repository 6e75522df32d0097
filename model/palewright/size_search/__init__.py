"""The largest boxes of N boards: a Pareto search.

No size is ruled out because a smaller one was: a wider wall may need fewer boards. It is ruled out
by a quick bound (dual-feasible functions), by a list of one shape (``dominance``, proof in its
docstring), or by its own plan. Where N boards are asked for, pricing boards and the integer program
over listed blocks (``bounds.block_selection_mip``) take turns: each proves what the other finds
hard. ``sure_parts`` says what every higher box has too; a floor or wall that depends on height must
leave it. Asks are made in a fixed order and a fixed number ahead, so the executor changes nothing;
``tests/benchmarks/bench_size.py`` measures it.
"""
