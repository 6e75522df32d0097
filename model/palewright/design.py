"""One design: every stage worked out once, and only when somebody asks for it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from palewright.catalogue.lumber import LUMBER_CASES
from palewright.construction.box_layout import Box, lay_out
from palewright.parameters.tables import Parameters
from palewright.sawing.cut_parts import CutPart, cut_parts

if TYPE_CHECKING:
    from palewright.fit.cases import FitCase
    from palewright.fit.verdict import Verdict
    from palewright.jigs.records import JigSet
    from palewright.loads.box_loads import BoxLoads
    from palewright.sawing.stock_plans import StockPlan
    from palewright.solids.kernel_solids import Solids
    from palewright.solids.surfaces import Surfaces


@dataclass(frozen=True)
class Design:
    """A box from its parameters to its verdict.

    Attributes:
        name: of the variant: names the packet's folder.
        parameters: what was asked.
        progress: told in words what is being worked out.
    """

    name: str
    parameters: Parameters
    progress: Callable[[str], None] | None = field(default=None, compare=False, repr=False)

    @cached_property
    def box(self) -> Box:
        """The boards, joints, screws and steps, in nominal lumber.

        Raises:
            InputError: if the parameters cannot be built at all.
        """
        return lay_out(self.parameters)

    @cached_property
    def verdict(self) -> Verdict:
        """Whether it fits, in thin, nominal, thick and mixed lumber."""
        from palewright.fit.verdict import judge

        return judge(self.parameters, LUMBER_CASES, self.fit, self.progress)

    @cached_property
    def cured(self) -> Verdict:
        """The verdict, its faults and warnings with what was tried and cures them."""
        from palewright.fit.cures import cured

        return cured(self.parameters, self.verdict, self.progress)

    @cached_property
    def fit(self) -> FitCase:
        """The box as the checks measure it, in nominal lumber."""
        from palewright.fit.cases import FitCase

        return FitCase(self.box, "nominal")

    @property
    def loads(self) -> BoxLoads:
        """What the box weighs and carries, in nominal lumber."""
        return self.fit.loads

    @cached_property
    def parts(self) -> tuple[CutPart, ...]:
        """What has to be cut: equal boards together."""
        return cut_parts(self.box.boards, self.parameters.product.units)

    @cached_property
    def saw_plans(self) -> list[StockPlan]:
        """How one box is sawn, stock by stock: the fewest boards, then few saw settings.

        Raises:
            InputError: if a part does not fit its stock.
        """
        from palewright.cutting_stock import FEWER_SETTINGS

        return self._plans(FEWER_SETTINGS)

    @cached_property
    def board_plans(self) -> list[StockPlan]:
        """The fewest boards of one box, stock by stock, for what does not look at the saw.

        They take a tenth of the time of ``saw_plans``.

        Raises:
            InputError: if a part does not fit its stock.
        """
        return self._plans(0.0)

    def _plans(self, setup_seconds: float) -> list[StockPlan]:
        from palewright.sawing.stock_demands import demands_of, saw_of
        from palewright.sawing.stock_plans import plan_demands

        demands, saw = demands_of([(self, 1)]), saw_of(self.parameters)
        return plan_demands(demands, saw, setup_seconds=setup_seconds)

    @cached_property
    def solids(self) -> Solids:
        """The boards as solids of the CAD kernel, with their holes."""
        from palewright.solids.kernel_solids import Solids

        return Solids(self.box.boards)

    @cached_property
    def surfaces(self) -> Surfaces:
        """The surfaces of the solids, as triangles."""
        from palewright.solids.surfaces import Surfaces

        return Surfaces(self.solids)

    @cached_property
    def jigs(self) -> JigSet:
        """The jigs that a batch of it is built with."""
        from palewright.jigs import jigs_of

        return jigs_of(self.name, self.box)

    @cached_property
    def kept(self) -> dict[object, Any]:
        """What others worked out of it and keep with it, such as its figures."""
        return {}

    @property
    def tree(self) -> Mapping[str, list[str]]:
        """Names of the boards by panel, in order."""
        groups: dict[str, list[str]] = {}
        for name, board in self.box.boards.items():
            groups.setdefault(board.panel, []).append(name)
        return groups


def design(
    parameters: Parameters,
    name: str = "box",
    progress: Callable[[str], None] | None = None,
) -> Design:
    """Return the design of a box; nothing is worked out yet."""
    return Design(name, parameters, progress)
