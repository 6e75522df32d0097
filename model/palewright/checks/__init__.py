"""The fit checks. Importing this package registers them all, in the order they are reported."""

from palewright.checks import (  # noqa: F401
    clashes,
    seats,
    contacts,
    screw_places,
    paths,
    floors,
    trees,
    cut_sizes,
)  # isort: skip
