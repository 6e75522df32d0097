"""All loads of one box, each worked out once and only when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from palewright.construction.box_layout import Box
from palewright.loads.board_bending import BentBoard, bent_boards
from palewright.loads.screw_forces import LoadedScrews, loaded_screws
from palewright.loads.standing import Stance, stance_of
from palewright.loads.trellis_wind import TrellisWind, trellis_wind
from palewright.loads.wall_swelling import WallMovement, wall_movement
from palewright.loads.weights import Weights, weights_of

_SHIFT = 1e-9
"""A limit that is just met is met."""

NOT_COVERED = (
    "knots, splits, slope of grain and decay of the boards: ungraded lumber is assumed half as "
    "strong as graded No. 2",
    "braces, bars and glue, which are taken to help nothing; a cap is taken to hold the top rails",
    "the tree in its own stand, which alone has to carry it in wind, what ties plants to a "
    "trellis, and anything tied to the box",
    "frost, snow, impact, earthquake, climbing children and what a deck, balcony or roof carries",
    "screws whose point is too short for the standard: their load is told, not judged",
    "holes other than the standard's: its shear values are for about 7/8 of shank and root (dense "
    "wood: all of both); here the shank's is drilled to slide and the thread's to hold",
)
"""What the loads do not cover, in words."""

DEFERS = (
    "General guidance after published formulas, no design approval: local code and a licensed "
    "professional decide."
)


@dataclass(frozen=True)
class BoxLoads:
    """The loads of one laid-out box."""

    box: Box

    @cached_property
    def weights(self) -> Weights:
        """What it weighs."""
        return weights_of(self.box)

    @cached_property
    def bent(self) -> tuple[BentBoard, ...]:
        """How hard soil bends its boards."""
        return bent_boards(self.box, self.weights)

    @cached_property
    def screws(self) -> tuple[LoadedScrews, ...]:
        """What its screws carry."""
        return loaded_screws(self.box, self.weights)

    @cached_property
    def wall(self) -> WallMovement | None:
        """How its staves move; None where the wood is not known."""
        return wall_movement(self.box)

    @cached_property
    def stance(self) -> Stance:
        """How it stands."""
        return stance_of(self.box, self.weights)

    @cached_property
    def trellis(self) -> TrellisWind | None:
        """What wind does to its trellis; None without one."""
        return trellis_wind(self.box)

    @property
    def falls_in_wind(self) -> bool:
        """Whether less than the wind of ``site.wind`` tips it, the factor counted."""
        return self.stance.steady_wind < self.box.parameters.site.wind - _SHIFT

    @property
    def falls_by_pull(self) -> bool:
        """Whether less than the pull of ``site.pull`` tips it before it slides.

        A planter is judged filled; a tree box as it stands, empty.
        """
        stance, pull = self.stance, self.box.parameters.site.pull
        stands = self.weights.filled or self.box.parameters.box.kind == "tree"
        return stands and not stance.slides_first and stance.pull < pull - _SHIFT
