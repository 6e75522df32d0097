"""The largest boxes of N boards: a Pareto search.

No size is ruled out because a smaller one was: a wider wall may need fewer boards. It is ruled out
by a quick bound (dual-feasible functions), by a list of one shape (``dominance``, proof in its
docstring), or by its own plan. Where N boards are asked for, pricing boards and the integer program
over listed blocks (``bounds.block_selection_mip``) take turns: each proves what the other finds
hard. ``sure_parts`` says what every higher box needs room for; a floor, wall or face pattern of
which a higher box may have less must leave it. What no board holds, none holds in a higher box.

Where other looks are tried as well, heights over one width and depth get short looks as drawn:
plans that are found at all are mostly found at once. What they leave open is looked at longer, what
is just larger than the largest known first; for several numbers of boards together that is little.
As drawn alone each gets a longer look at once, since what is ruled out rules out others.

Looks are settings laid over the variant (``looks``): an alphabet of widths of which strips and
kerfs fill a board, what only costs wood at its least. A size that a pull tips in every look, were
all of N boards in the box, is left out before any box is laid out (``unsteady_sizes``). Over likely
widths and depths every other height is rated by the quick bound in every look (``look_trials``);
then sizes are tried, a few looks at a time, always where the largest gain times its chance is
(``look_search``). The leanest look is seldom the one that is made: of three boards, looks of one
stile are made by the dozen where twenty leaner ones are not, since their strips fill boards. So
looks are tried in turn by stile and wall, and kinds that were made come first. What one number of
boards leaves of its work, since its largest is proven, the others get; what a short plan left open
is tried again after all else. Larger sizes are ruled out by quick bounds, a width and depth for all
numbers of boards at once: most of that costs laying boxes out. What is not decided stays open and
is told as a bound. What is left of the boards buys back what was spared (``size_trials.enriched``).

Asks are made in a fixed order and a fixed number ahead, so the executor changes nothing;
``tests/benchmarks/bench_size.py`` measures it.
"""
