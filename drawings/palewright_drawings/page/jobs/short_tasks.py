"""What a worker of the page does: each task takes a request and returns the bytes to send."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from palewright_drawings.output.progress import Progress
from palewright_drawings.page.jobs.asked_variants import read_asked, saved_toml
from palewright_drawings.page.jobs.design_snapshot import snapshot, verdict_shown
from palewright_drawings.page.jobs.long_tasks import LONG_TASKS
from palewright_drawings.page.jobs.replies import Reply, json_reply


def _design(request: Mapping[str, Any]) -> Reply:
    """Return the picture and the nominal verdict."""
    return json_reply(snapshot(read_asked(request).design()))


def _verdict(request: Mapping[str, Any]) -> Reply:
    """Return the verdict in all lumber, with what cures its findings."""
    return json_reply(verdict_shown(read_asked(request).design().cured))


def _first(request: Mapping[str, Any]) -> Reply:
    """Return a first plan, unproven and at once."""
    from palewright.sawing.stock_demands import demands_of, saw_of
    from palewright.sawing.stock_plans import first_plans
    from palewright_drawings.page.jobs.plan_snapshot import plan_shown

    box = read_asked(request).design()
    first = first_plans(demands_of([(box, 1)]), saw_of(box.parameters))
    return json_reply(plan_shown(box, first))


def _cut(request: Mapping[str, Any]) -> Reply:
    """Return the cut plan, proven where the time suffices."""
    from palewright_drawings.page.jobs.plan_snapshot import best_plans, plan_shown

    box = read_asked(request).design()
    return json_reply(plan_shown(box, best_plans(box)))


def _price(request: Mapping[str, Any]) -> Reply:
    """Return the plan that makes one box cheapest, and the price that ``price`` says."""
    from palewright_drawings.page.jobs.plan_snapshot import priced_plan

    return json_reply(priced_plan(read_asked(request).design()))


def _plants(request: Mapping[str, Any]) -> Reply:
    """Return what grows in the box, for its picture."""
    from palewright_drawings.page.jobs.grown_plants import grown_in
    from palewright_drawings.page.jobs.packed_meshes import KIND, packed

    return Reply(KIND, packed(grown_in(read_asked(request).design())))


def _save(request: Mapping[str, Any]) -> Reply:
    """Return the settings as a variant file."""
    return Reply("application/toml", saved_toml(read_asked(request)).encode())


TASKS: dict[str, Callable[[Mapping[str, Any]], Reply]] = {
    "design": _design,
    "verdict": _verdict,
    "first": _first,
    "cut": _cut,
    "price": _price,
    "plants": _plants,
    "save": _save,
}
"""All short tasks by the name under which the page asks for them."""


def perform(task: str, request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return the answer to a job of any kind.

    Raises:
        InputError: if the request cannot be used.
    """
    if task in LONG_TASKS:
        return LONG_TASKS[task](request, progress)
    return TASKS[task](request)
