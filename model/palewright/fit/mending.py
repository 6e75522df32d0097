"""One list of changes that cures a box: the fewest settings found after which nothing is wrong.

Two ways are tried. What the checks ask for is done, and what is asked for after that, until nobody
asks any more: a few trials. Then the settings that bear on what is wrong (``cures.WAYS``) are
stepped through one by one, and on the best of those once more; so a single setting is found where
one will do, and pairs where two are needed. Last, where a file began from another, what it changed
is taken back. The work is counted in boxes laid out: the same box always gets the same list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from palewright.catalogue.lumber import LUMBER_CASES
from palewright.fit.cures import WAYS, setting_now, steps_of
from palewright.fit.findings import Change, Finding
from palewright.fit.trials import Changes, Trials, applied
from palewright.fit.verdict import Verdict
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError

WORK = 500
"""Most boxes laid out for one list; a whole verdict lays out 6."""

_FOR_WARNINGS = 150
"""Boxes laid out at most for the warnings: many are of site and wind, which no setting cures."""

_VERDICT = 6
"""Boxes laid out for a verdict in all lumber."""

_ROUNDS = 6
"""So often what is asked for is done before something else is tried."""

_DEEPEST = 3
"""At most so many settings are looked for on top of what the checks ask for."""

_BEAM = 2
"""So many of the best changes are gone on from: more found no more in tries (judgement)."""

_SINGLES = 90
"""Boxes laid out to find one setting in place of several that cure."""


@dataclass(frozen=True, slots=True)
class Mending:
    """What cures a box.

    Attributes:
        changes: the settings, all of them together.
        verdict: on the box with them: no fault is left.
        taken_back: whether they only take back what the file changed.
    """

    changes: Changes
    verdict: Verdict
    taken_back: bool = False

    @property
    def left(self) -> tuple[Finding, ...]:
        """Warnings that they leave."""
        return tuple(one for one in self.verdict.findings if one.severity == "warning")


def mended(
    parameters: Parameters,
    verdict: Verdict,
    back: Sequence[Change] = (),
    progress: Callable[[str], None] | None = None,
) -> Mending | None:
    """Return the fewest settings found that cure all faults, and all warnings where that can be.

    Args:
        parameters: the box.
        verdict: on it, in all lumber.
        back: settings that take back what the maker's file or command line changed.
        progress: told what is being tried.

    Returns:
        None if nothing is wrong, or nothing that was tried cures the faults.
    """
    if not _wrong(verdict):
        return None
    search = _Search(parameters, verdict, progress)
    found: Changes | None = ()
    if not verdict.passed:
        found = search.cure("fault", ())
        if found is None and back:
            return search.taken_back(back)
    if found is None:
        return None
    whole = search.judged(found)
    if whole is not None and _wrong(whole):
        search.spare(_FOR_WARNINGS)
        better = search.cure("warning", found)
        if better is not None:  # what cures a warning may do for a fault, too
            found = search.fewest(better, (), lambda one: not _wrong(one))
        whole = search.judged(found)
    if whole is None or not found:
        return None
    return search.squared(Mending(found, whole))


def _wrong(verdict: Verdict) -> list[Finding]:
    """Return faults and warnings."""
    return [one for one in verdict.findings if one.severity != "note"]


def _score(verdict: Verdict) -> tuple[int, int]:
    """Return what is to be small: faults, then warnings."""
    return verdict.faults, len(_wrong(verdict))


class _Search(Trials):
    """Changes that were judged, whatever their order, and steps to more."""

    def __init__(
        self, parameters: Parameters, verdict: Verdict, progress: Callable[[str], None] | None
    ) -> None:
        """Begin with nothing tried."""
        super().__init__(parameters, WORK)
        self._progress = progress
        self.seen[(), LUMBER_CASES, None] = verdict

    def spare(self, most: int) -> None:
        """Leave no more work than this."""
        self.left = min(self.left, most)

    def ordered(self, changes: Changes) -> Changes:
        """Return changes in one order, whatever the order in which they come."""
        return tuple(sorted(changes, key=lambda one: one.key))

    def cure(self, severity: str, start: Changes) -> Changes | None:
        """Return changes that cure all findings of a severity, with those to begin from.

        What is as bad or worse must not come in their place.
        """
        first = self.judged(start)
        if first is None:
            return None

        def goal(verdict: Verdict) -> bool:
            return verdict.passed if severity == "fault" else not _wrong(verdict)

        asked = self._followed(start, severity, goal)
        if asked is not None:
            asked = self.fewest(asked, start, goal)
        if asked is not None and len(asked) - len(start) <= 1:
            return asked
        found = self._stepped(start, severity, goal, asked is not None)
        if found is None and asked is None and severity == "fault":
            self.left += WORK
            found = self._stepped(start, severity, goal, False, far=True)
        return asked if found is None else found

    def _followed(
        self, start: Changes, severity: str, goal: Callable[[Verdict], bool]
    ) -> Changes | None:
        """Return changes with all that the checks ask for, and ask for after that."""
        changes = start
        for _ in range(_ROUNDS):
            verdict = self.judged(changes)
            if verdict is None:
                return None
            if goal(verdict):
                return changes
            asked: dict[str, list[Change]] = {}
            for finding in _wrong(verdict):
                if severity == "warning" or finding.severity == "fault":
                    for one in finding.changes:
                        asked.setdefault(one.key, []).append(one)
            wanted = {key: self._farthest(several) for key, several in asked.items()}
            merged = tuple(({one.key: one for one in changes} | wanted).values())
            if merged == changes:
                return None
            changes = merged
        return None

    def _farthest(self, several: list[Change]) -> Change:
        """Return the change of one key that goes the farthest: it serves those who ask for less."""

        def far(one: Change) -> float:
            values = [setting_now(one.key, p) for p in (self.parameters, self._with(one))]
            if not all(isinstance(value, int | float) for value in values):
                return 0.0
            return abs(float(values[0]) - float(values[1]))  # type: ignore[arg-type]

        return max(several, key=far)

    def _with(self, change: Change) -> Parameters:
        """Return the box with one change; as it is where that is refused."""
        try:
            return applied(self.parameters, [change])
        except InputError:
            return self.parameters

    def fewest(self, changes: Changes, start: Changes, goal: Callable[[Verdict], bool]) -> Changes:
        """Return those of the changes without which it is not cured."""
        self.left = max(self.left, _VERDICT * len(changes))  # a few trials more, at the end
        for one in changes:
            without = tuple(other for other in changes if other is not one)
            if one not in start and (verdict := self.judged(without)) and goal(verdict):
                changes = without
        return changes

    def _stepped(
        self,
        start: Changes,
        severity: str,
        goal: Callable[[Verdict], bool],
        known: bool,
        far: bool = False,
    ) -> Changes | None:
        """Return changes found by stepping through settings; with ``known``, one setting alone."""
        stop = max(self.left - _SINGLES, 0) if known else 0
        best: list[Changes] = [start]
        for _ in range(1 if known else _DEEPEST):
            near: list[tuple[tuple[int, int], int, Changes]] = []
            for base in best:
                verdict = self.judged(base)
                wrong = [
                    one
                    for one in (_wrong(verdict) if verdict else [])
                    if severity == "warning" or one.severity == "fault"
                ]
                if not wrong:
                    continue
                for change in _candidates(wrong, applied(self.parameters, base), far):
                    if self.left <= stop:
                        break
                    if change.key in {one.key for one in start}:
                        continue
                    merged = tuple(({o.key: o for o in base} | {change.key: change}).values())
                    if self._progress:
                        self._progress(f"trying {change.key}")
                    after = self._screened(merged, wrong[0])
                    if after is None:
                        continue
                    if goal(after):
                        return self.fewest(merged, start, goal)
                    if not known:
                        near.append((_score(after), len(near), merged))
            near.sort(key=lambda one: one[:2])
            best = [changes for *_, changes in near[:_BEAM]]
            for changes in best:  # with what the checks then ask for
                asked = self._followed(changes, severity, goal)
                if asked is not None:
                    return self.fewest(asked, start, goal)
        return None

    def _screened(self, changes: Changes, first: Finding) -> Verdict | None:
        """Return the verdict on changes that cure one finding where it was found; else None."""
        return self.judged(changes) if self.remaining(changes, first) == [] else None

    def squared(self, mending: Mending) -> Mending:
        """Return the list with sides alike where a square box's differ and that is no worse."""
        box, said = self.parameters.box, {one.key: one.value for one in mending.changes}
        sides = [key for key in ("box.width", "box.depth") if key in said]
        if box.width != box.depth or len(sides) < 2 or said[sides[0]] == said[sides[1]]:
            return mending
        self.left = max(self.left, len(sides) * _VERDICT)  # two trials more, at the end
        for value in (said[side] for side in sides):
            alike = said | dict.fromkeys(sides, value)
            changes = tuple(Change(one.key, alike[one.key]) for one in mending.changes)
            verdict = self.judged(changes)
            if verdict is not None and _score(verdict) <= _score(mending.verdict):
                return Mending(changes, verdict)
        return mending

    def taken_back(self, back: Sequence[Change]) -> Mending | None:
        """Return which settings have to be taken back to what the file began from."""
        self.left += WORK  # it is the last way out
        changes = tuple(back)
        verdict = self.judged(changes)
        if verdict is None or not verdict.passed:
            return None
        changes = self.fewest(changes, (), lambda one: one.passed)
        last = self.judged(changes)
        return None if last is None else Mending(changes, last, taken_back=True)


def _candidates(wrong: Sequence[Finding], parameters: Parameters, far: bool) -> Iterator[Change]:
    """Yield the settings that bear on what is wrong, each step once, the smallest of each first."""
    seen = set()
    ladders = [
        list(steps_of(way, finding, parameters, far))
        for finding in wrong[:4]  # the rest have mostly the same ways
        for way in WAYS.get(finding.code, ())
    ]
    asked = [change for finding in wrong for change in finding.changes]
    for change in (*asked, *(one for rungs in zip_longest(*ladders) for one in rungs)):
        if change is not None and change not in seen:
            seen.add(change)
            yield change
