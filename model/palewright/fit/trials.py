"""Changes of settings laid over a box and judged, with the work that is left for more."""

from __future__ import annotations

from collections.abc import Iterable

from palewright.catalogue.lumber import LUMBER_CASES, PILES, LumberCase
from palewright.fit.findings import Change
from palewright.fit.verdict import Verdict, judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from, put_value, read_setting
from palewright.reading.errors import InputError

Changes = tuple[Change, ...]


def applied(parameters: Parameters, changes: Iterable[Change]) -> Parameters:
    """Return the parameters with some settings changed.

    Raises:
        InputError: if one is not allowed.
    """
    said: dict[str, dict[str, object]] = {}
    for change in changes:
        put_value(said, *read_setting(f"{change.key}={change.value}"))
    asked = parameters_from(said, {})
    tables = {
        table: getattr(parameters, table).model_copy(
            update={name: getattr(getattr(asked, table), name) for name in names}
        )
        for table, names in said.items()
    }
    return parameters.model_copy(update=tables)


class Trials:
    """Changes that were judged, each once.

    Attributes:
        parameters: the box without them.
        left: boxes that may still be laid out.
        stop: of these, so many are kept for later.
    """

    def __init__(self, parameters: Parameters, left: int) -> None:
        """Begin with nothing tried."""
        self.parameters, self.left, self.stop = parameters, left, 0
        self.seen: dict[tuple[Changes, tuple[LumberCase, ...]], Verdict | None] = {}

    def judged(
        self, changes: Changes, cases: tuple[LumberCase, ...] = LUMBER_CASES
    ) -> Verdict | None:
        """Return the verdict on changes; None if they are refused or the work is used up."""
        key = (changes, cases)
        if key not in self.seen:
            if self.left <= self.stop:
                return None
            try:
                self.seen[key] = judge(applied(self.parameters, changes), cases)
                piles = sum(PILES if case == "mixed" else 1 for case in cases)
                self.left -= max(piles, 1) if "nominal" in cases else piles + 1
            except InputError:
                self.seen[key] = None
        return self.seen[key]
