"""Changes of settings laid over a box and judged, with the work that is left for more."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any, TypeVar

from palewright.catalogue.lumber import LUMBER_CASES, PILES, LumberCase
from palewright.fit.findings import Change, Finding
from palewright.fit.verdict import Judging, Verdict
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from, put_value, read_setting
from palewright.reading.errors import InputError

Changes = tuple[Change, ...]
Answer = TypeVar("Answer")

_KEPT = 64
"""So many changed boxes are kept, a MB each: several findings try the same changes."""


def cases_of(finding: Finding) -> tuple[LumberCase, ...]:
    """Return the lumber case that a finding was found in; none if it is of the cut sizes."""
    return tuple(case for case in LUMBER_CASES if case == finding.case)


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
        self.seen: dict[Any, Any] = {}
        self._paid: set[tuple[Changes, tuple[LumberCase, ...]]] = set()
        self._box = lru_cache(_KEPT)(lambda changes: Judging(applied(parameters, changes)))

    def judged(
        self, changes: Changes, cases: tuple[LumberCase, ...] = LUMBER_CASES
    ) -> Verdict | None:
        """Return the verdict on changes; None if they are refused or the work is used up."""
        return self.once(changes, cases, lambda box: box.verdict(cases))

    def remaining(self, changes: Changes, finding: Finding) -> list[Finding] | None:
        """Return a finding as it is after changes, in the lumber it was found in; empty: gone.

        It counts as a verdict in that lumber, which most often need not be asked for then. None if
        the changes are refused or the work is used up.
        """
        cases = cases_of(finding)
        return self.once(changes, cases, lambda box: box.found(finding.key, cases), finding.key)

    def ordered(self, changes: Changes) -> Changes:
        """Return changes in the order by which they are known: as they come."""
        return changes

    def once(
        self,
        changes: Changes,
        cases: tuple[LumberCase, ...],
        ask: Callable[[Judging], Answer],
        key: object = None,
    ) -> Answer | None:
        """Return what is asked about a changed box, and spend work on the same lumber once.

        Args:
            changes: laid over the box.
            cases: the lumber that the answer looks at, which the work is counted by.
            ask: what is asked.
            key: what tells it from other questions in the same lumber; None for the whole verdict.

        Returns:
            The answer, kept; None if the changes are refused or the work is used up.
        """
        changes = self.ordered(changes)
        asked, paid = (changes, cases, key), (changes, cases) in self._paid
        answer: Answer | None = self.seen.get(asked)
        if asked in self.seen or (not paid and self.left <= self.stop):
            return answer
        try:
            answer = ask(self._box(changes))
        except InputError:
            paid = True  # what is refused costs next to nothing
        if not paid:
            self._paid.add((changes, cases))
            piles = sum(PILES if case == "mixed" else 1 for case in cases)
            self.left -= max(piles, 1) if "nominal" in cases else piles + 1
        self.seen[asked] = answer
        return answer
