"""The registry of jigs: one function a kind, and what all of them read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from palewright.construction.boards import Board
from palewright.construction.box_layout import Box
from palewright.jigs.records import Jig, JigNote
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import INCH, millimetres, shop_inches, tape_text

_LONGEST_NAME = 28
"""Capitals of a name that fit on the shortest plate."""


@dataclass(frozen=True, slots=True)
class Bench:
    """What jigs are made for and from: a box in nominal lumber, and the name of its variant."""

    name: str
    box: Box

    @property
    def parameters(self) -> Parameters:
        """What was asked."""
        return self.box.parameters

    @property
    def boards(self) -> Mapping[str, Board]:
        """The boards by name."""
        return self.box.boards

    @property
    def thickness(self) -> float:
        """Thickness of plates and fences, mm."""
        return self.parameters.jig.thickness

    @property
    def title(self) -> str:
        """The variant's name as it is engraved, cut short where it is very long."""
        return self.name.replace("-", " ").upper()[:_LONGEST_NAME]

    @property
    def step(self) -> float:
        """Stops are set in steps of a 16th of an inch or a millimetre, mm."""
        return INCH / 16 if self.parameters.product.units == "inch" else 1.0

    @property
    def material(self) -> str:
        """What jigs are cut from, in words."""
        return f"{self.length(self.thickness)} plywood"

    def length(self, value: float, denominator: int | None = None) -> str:
        """Return a length (mm) as a tape has it, or in so fine a part of an inch."""
        system = self.parameters.product.units
        if denominator is None:
            return tape_text(value, system)
        return shop_inches(value, denominator) if system == "inch" else millimetres(value)

    def engraved(self, value: float, denominator: int | None = None) -> str:
        """Return a length (mm) as it is engraved: in capitals."""
        return self.length(value, denominator).upper()


JigKind = Callable[[Bench], Iterator[Jig | JigNote]]
JIG_KINDS: dict[str, JigKind] = {}


def jig_kind(name: str) -> Callable[[JigKind], JigKind]:
    """Register a function that makes the jigs of one kind."""

    def register(function: JigKind) -> JigKind:
        if name in JIG_KINDS:
            raise ValueError(f"two kinds of jig are called {name}")
        JIG_KINDS[name] = function
        return function

    return register
