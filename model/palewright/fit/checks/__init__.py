"""The fit checks. Importing this package registers them all, in the order they are reported."""

# ruff: isort: off
from palewright.fit.checks import (  # noqa: F401  (in the order in which findings are told)
    contacts,
    cut_sizes,
    fasteners,
    floors,
    holding,
    moisture,
    assembly_paths,
    screw_places,
    seats,
    stability,
    strength,
    trees,
)
