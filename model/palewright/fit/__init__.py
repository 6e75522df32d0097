"""One box in one lumber case, what the checks measure on it, the verdict, and what cures it.

What holds a box together: ``ties.Ties`` is a graph. A screw that reaches its last board, over gaps
that the plan closes, ties all boards of its stack. Bearing and glue tie nothing. Each panel is one
piece when it leaves the bench, the box after its last step; rails and staves have a wall screw near
both ends, stiles one of the corner too. Every screw bites ``least_bite`` where boards are thick.
Mixed lumber is tried as three piles; what one joint can meet at worst does not hang on a pile: it
is worked out from the thinnest and thickest board.

Cleats and packers lie over staves of unequal thickness (joint kind ``bed``): the plan beds them in
gap-filling adhesive, up to an eighth of an inch. Their bite is counted as if the boards lay close,
since 5/8 in boards have no room for a longer screw: over a gap the adhesive carries them (a
judgement). A trellis's thin uprights are drawn to their packers by their screws.

Two opinions. The quick check works on the Board records alone. Every board is a convex prism, so
``Prism`` is that, and two of them that are prisms along one axis share a clipped polygon times a
length, exactly. Swept paths of convex boards are hulls too. Contact is measured by
pressing a board 0.02 mm along its joint and dividing the shared volume by that. Holes are left out:
a clash inside a hole is still a clash. The whole verdict takes about a tenth of the time that
kernel prisms, their meshes and their booleans take (``tests/benchmarks/bench_verdict.py``). What
many boards ask again is kept by content in small caches. Looking for a face that parts two boards
before the boolean was tried, and made a verdict a quarter slower.

The second opinion (``checks.kernel_agreement``: in ``build`` for nominal lumber, in
``check --solids`` for all) works on the solids with their holes, as ``Surfaces`` has them: closed
triangles, made once a shape. It measures what a board's faces reach, what two boards share
(trimesh with manifold), the clearances of each seat, where each screw's line enters and leaves each
board, and each hole's width and depth from the vertices round the line, which lie on the true wall.
Each number is held against the quick check's own; a difference is PW801, our mistake, whether the
box fits or not. trimesh hands single precision to the engine: a pair is moved to where it meets
first, or two long boards that touch share a few mm³.

Remedies: a check gives a guess; ``cures.cured`` tries the guess, what the findings after it ask
for, then the settings of ``WAYS[code]``, step by step. What it keeps was judged in all lumber. It
counts boxes laid out, never time, and runs only where there is a fault or a warning.
"""
