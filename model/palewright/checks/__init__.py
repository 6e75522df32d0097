"""The fit checks. Importing this package registers them all, in the order they are reported."""

from palewright.checks import (  # noqa: F401
    clashes,
    contacts,
    cut_sizes,
    fasteners,
    floors,
    holding,
    moisture,
    paths,
    screw_places,
    seats,
    stances,
    strength,
    trees,
)
