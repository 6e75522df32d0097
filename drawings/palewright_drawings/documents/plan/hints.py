"""What hands do in a step: who holds what, what is clamped, turned, wiped, checked."""

from __future__ import annotations

HINTS = (
    (
        "lay the frame out",
        "Dry, on a flat bench, outer face down, lower ends against a straight batten. Close "
        "every joint, square it by the diagonals and clamp battens along its edges: until the "
        "staves are on, nothing else holds it.",
    ),
    (
        "lay the staves",
        "Lay all of them dry, check the sizes below, then drill and drive. Press each tight to "
        "the frame; the frame must not shift.",
    ),
    (
        "stand the posts",
        "Clamp each post to its stave and stile: nothing may lie loose when the panel is turned.",
    ),
    (
        "turn the panel over",
        "Two hands at the clamped corners. Drill and sink from the outer face; take the clamps "
        "off last.",
    ),
    (
        "lay the uprights",
        "Lower ends against a straight batten, clamped.",
    ),
    (
        "stand the left",
        "Clamp a batten across the two sides, as far apart as the front is wide, or have a "
        "helper hold them. Lay the front on, outer face up; push each side out until its "
        "outer face is flush with the stile's edge. Clamp, check with the square, drill square "
        "to the face, drive.",
    ),
    (
        "turn the box over and lay the back",
        "Two people turn it on to its front, on something soft. Measure both diagonals of the "
        "box: equal is square. Clamp, drill square to the face, drive.",
    ),
    (
        "seat the back",
        "Measure both diagonals of the box: equal is square. Clamp, drill square to the face, "
        "drive.",
    ),
    (
        "drop the slat",
        "Stand the box on its feet. Loose, not screwed: they lift out to be cleaned. Leave the "
        "same gap between all.",
    ),
    (
        "slide the slat",
        "Stand the box on its feet. Between the posts, one after the other; leave the same gap "
        "between all.",
    ),
    (
        "screw the slat",
        "Turn the box on its head. Leave the same gap between all.",
    ),
    (
        "screw the packers",
        "Upright, each behind its trellis upright.",
    ),
    (
        "lay the cap on",
        "Lay all four boards loose, close the corners, even the overhang all round and clamp; "
        "then drill, sink and drive, and wipe off what glue comes out with a wet rag.",
    ),
    (
        "lay on three",
        "Front and sides only; lay the back board on loose, without glue, to close the corners. "
        "Wipe off what glue comes out with a wet rag.",
    ),
    (
        "slide the open",
        "Two people: lift it, do not drag it. The stand holds the tree, not the box.",
    ),
    (
        "close the back",
        "The back panel and its cap board close the box; these screws come out again when the "
        "tree goes.",
    ),
    (
        "lower the box",
        "Two people, before the tree goes into its stand.",
    ),
    (
        "drop the trellis",
        "The uprights go down behind the cap, in front of their packers.",
    ),
)
"""What to watch for in a step, by how its text begins."""
