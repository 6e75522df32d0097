"""A build plan week by week: each market's work as late as it may be, in the order of work.

Hours are given out backwards from the last week, the market that is due last first. If any plan
keeps all dates, this one does, and no other begins later.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass

WEEK = datetime.timedelta(days=7)
_DUST = 1e-9
"""Hours that floats leave when shares of a day are taken off."""


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work for one offer: what, how many hours, and when it is due.

    ``boxes`` counts the offer's boxes; work moves through them evenly.
    """

    offer: str
    work: str
    boxes: int
    hours: float
    due: datetime.date


@dataclass(frozen=True, slots=True)
class Stint:
    """A part of a task in one week: from one share of it to another, 0 to 1."""

    begins: datetime.date
    offer: str
    work: str
    boxes: int
    share_from: float
    share_to: float
    hours: float

    @property
    def first(self) -> int:
        """The first box that is worked on, from 1."""
        return min(self.boxes, int(self.share_from * self.boxes + 1e-6) + 1)

    @property
    def last(self) -> int:
        """The last box that is worked on."""
        return max(self.first, -int(-(self.share_to * self.boxes - 1e-6) // 1))


def work_weeks(
    start: datetime.date, end: datetime.date, off: Collection[datetime.date]
) -> list[datetime.date]:
    """Return the first day of each whole week between two days in which there is work.

    Args:
        start: the first week begins here.
        end: the day before which the last week is over.
        off: any day of each week without work.
    """
    resting = {(day - start).days // 7 for day in off}
    count = max(0, (end - start).days // 7)
    return [start + i * WEEK for i in range(count) if i not in resting]


def hours_before(
    weeks: Sequence[datetime.date], hours: float, days: Sequence[datetime.date]
) -> list[float]:
    """Return how many hours there are in weeks that are over before each day."""
    return [hours * sum(week + WEEK <= day for week in weeks) for day in days]


def latest_weeks(
    tasks: Sequence[Task], weeks: Sequence[datetime.date], hours: float
) -> list[Stint] | None:
    """Return who works on what in which week, beginning as late as all dates allow.

    Args:
        tasks: in the order of work; those due on one day are done in that order.
        weeks: first days of the weeks with work, in order.
        hours: in each week.

    Returns:
        The stints in order of time; None where the hours do not suffice.
    """
    needed: dict[datetime.date, float] = {}
    for task in tasks:
        needed[task.due] = needed.get(task.due, 0.0) + task.hours
    given: dict[datetime.date, dict[datetime.date, float]] = {}
    for week in reversed(weeks):
        free = hours
        for due in sorted((due for due in needed if week + WEEK <= due), reverse=True):
            taken = min(free, needed[due])
            if taken > _DUST:
                given.setdefault(due, {})[week] = taken
            needed[due] -= taken
            free -= taken
    if any(left > 1e-6 for left in needed.values()):
        return None
    stints = []
    for due, slots in given.items():
        stints += _filled([task for task in tasks if task.due == due], sorted(slots.items()))
    return sorted(stints, key=lambda stint: stint.begins)


def _filled(tasks: Sequence[Task], slots: Sequence[tuple[datetime.date, float]]) -> list[Stint]:
    """Return the tasks poured in order into the hours of some weeks."""
    stints: list[Stint] = []
    slot, spent = 0, 0.0
    for task in tasks:
        done = 0.0
        while task.hours - done > _DUST and slot < len(slots):
            begins, there = slots[slot]
            now = min(there - spent, task.hours - done)
            shares = done / task.hours, min(1.0, (done + now) / task.hours)
            stints.append(Stint(begins, task.offer, task.work, task.boxes, *shares, now))
            done += now
            spent += now
            if there - spent <= _DUST:
                slot, spent = slot + 1, 0.0
    return stints
