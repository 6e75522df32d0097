"""A season's plan as a calendar (iCalendar, RFC 5545): what to buy, what each week does, markets.

All events last whole days, so no time zone is needed. The same plan gives the same bytes: the
stamp that the standard asks for is the season's first day, and each event's name (UID) is made
from what the event says.
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator
from itertools import groupby

from palewright.costing.shop_file import Shop
from palewright.season.backward_schedule import WEEK
from palewright.season.purchases import purchases_of
from palewright.season.season_plan import SeasonPlan
from palewright_drawings.texts.price_texts import system_of
from palewright_drawings.texts.season_texts import (
    begins_for,
    boards_to_buy,
    hours_text,
    packages_text,
    stint_text,
    to_bring,
)

_DAY = datetime.timedelta(days=1)
"""An entry of a whole day ends on the next day (RFC 5545, DTEND)."""

_Event = tuple[datetime.date, datetime.date, str, str]
"""First day, day after the last, summary, description."""


def season_calendar(plan: SeasonPlan, shop: Shop) -> bytes:
    """Return the calendar: an event a week of work, a market, a purchase."""
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//palewright//season//EN")
    calendar.add("version", "2.0")
    season = plan.file.season
    stamp = datetime.datetime.combine(season.start, datetime.time(), datetime.UTC)
    for begins, ends, summary, description in sorted(_events(plan, shop)):
        event = Event()
        said = "\n".join((season.title, begins.isoformat(), ends.isoformat(), summary, description))
        event.add("uid", f"{hashlib.sha256(said.encode()).hexdigest()[:32]}@palewright")
        event.add("dtstamp", stamp)
        event.add("dtstart", begins)
        event.add("dtend", ends)
        event.add("summary", summary)
        if description:
            event.add("description", description)
        event.add("transp", "TRANSPARENT")  # a note, not an appointment
        calendar.add_component(event)
    made: bytes = calendar.to_ical()
    return made


def _events(plan: SeasonPlan, shop: Shop) -> Iterator[_Event]:
    """Yield purchases, weeks of work and markets."""
    for name in plan.hours_there:
        market, begins = plan.file.market[name], begins_for(plan, name)
        title = market.title or name
        brought = "\n".join(to_bring(plan, name))
        yield market.opens, market.opens + market.days * _DAY, title, brought
        if begins is not None:
            bought = "\n".join(f"{n} {stock}" for stock, n in boards_to_buy(plan, name).items())
            yield begins, begins + _DAY, f"Buy boards for {title}", bought
    if plan.begins is not None:
        needed = [line for line in purchases_of(plan.every_batch, shop) if line.unit != "boards"]
        system = system_of(plan.every_batch[0]) if needed else ""
        listed = "\n".join(f"{one.name}: {packages_text(one, system)}" for one in needed)
        yield plan.begins, plan.begins + _DAY, "Buy screws and supplies for the season", listed
    for begins, group in groupby(plan.stints, key=lambda stint: stint.begins):
        stints = list(group)
        hours = sum(stint.hours for stint in stints)
        yield (
            begins,
            begins + WEEK,
            f"Bench: {hours_text(hours)}",
            "\n".join(map(stint_text, stints)),
        )
