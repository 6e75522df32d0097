"""Convex bodies seen in parallel projection: hidden lines, painter's order.

Why views do not use the kernel's hidden lines: a board is a convex prism, so it hides a point where
the point lies inside its outline and behind its faces that look at the eye. These are half-spaces,
linear along an edge, so each board hides one interval of an edge (one arc of a rim) and the rest is
seen: exact, and numpy does all pairs at once. In one run (``tests/benchmarks/bench_views.py``) the
kernel takes 9 to 13 times as long; the tests keep it as a second opinion. Two convex boards lie in
one order wherever both are seen, so painting back to front is right; boards in a ring of such
orders are painted last, only where they are seen.
"""
