"""All loads of one box, each worked out once and only when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from palewright.boxes import Box
from palewright.loads.bent_boards import BentBoard, bent_boards
from palewright.loads.loaded_screws import LoadedScrews, loaded_screws
from palewright.loads.movements import WallMovement, wall_movement
from palewright.loads.stances import Stance, stance_of
from palewright.loads.weights import Weights, weights_of

NOT_COVERED = (
    "knots, splits, slope of grain and decay of the boards: ungraded lumber is assumed half as "
    "strong as graded No. 2",
    "braces, bars and glue, which are taken to help nothing; a cap is taken to hold the top rails",
    "the tree in its own stand, the trellis and its screws in wind, and anything tied to the box",
    "frost, snow, impact, earthquake, climbing children and what a deck, balcony or roof carries",
    "screws whose point is too short for the standard: their load is told, not judged",
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
