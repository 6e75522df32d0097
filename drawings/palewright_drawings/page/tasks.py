"""What a worker of the page does: each task takes a request and returns the bytes to send."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from palewright.errors import InputError
from palewright_drawings.page.asked_variants import read_asked, saved_toml
from palewright_drawings.page.snapshots import snapshot, verdict_of

PLAN_SECONDS = 0.6
"""Time that proving one stock's boards may take: the plan is to be there within a second."""

MOST_BOARDS = 60
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The date of every file in a ZIP: its format knows none before, and ours tells none."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What goes back to the page: the bytes and what they are."""

    kind: str
    content: bytes


def _json(found: object) -> Reply:
    """Return data as a reply."""
    return Reply("application/json", json.dumps(found, ensure_ascii=False).encode())


def _design(request: Mapping[str, Any]) -> Reply:
    """Return the picture and the nominal verdict."""
    return _json(snapshot(read_asked(request).design()))


def _verdict(request: Mapping[str, Any]) -> Reply:
    """Return the verdict in all lumber."""
    return _json(verdict_of(read_asked(request).design()))


def _cut(request: Mapping[str, Any]) -> Reply:
    """Return the cut plan, and what one box costs at the shipped shop's rates."""
    from palewright.cut_plans import plan_demands
    from palewright.demands import demands_of, saw_of
    from palewright.money.batches import priced
    from palewright.money.shops import load_shop
    from palewright.money.works import work_of
    from palewright_drawings.cut_json import plans_as_json
    from palewright_drawings.layout_pictures import piece_outline

    box = read_asked(request).design()
    shop = load_shop(None)
    plans = plan_demands(
        demands_of([(box, 1)]), saw_of(box.parameters), (), PLAN_SECONDS, setup_seconds=0.0
    )
    one = priced([(box, 1, work_of(box, shop.finish.faces))], plans, shop).boxes[0]
    money = shop.coins
    found = plans_as_json(plans)
    laid = [layout for plan in plans for layout in plan.plan.layouts]
    for layout, shown in zip(laid, found["layouts"], strict=True):
        for piece, told in zip(layout.pieces, shown["pieces"], strict=True):
            told["outline"] = [[round(x, 2), round(y, 2)] for x, y in piece_outline(piece)]
    found["price"] = {
        "currency": shop.money.currency,
        "cost": money.text(one.cost),
        "ask": money.text(one.offers[0].price),
    }
    return _json(found)


def _frontier(request: Mapping[str, Any]) -> Reply:
    """Return the largest boxes that N boards make."""
    from palewright_drawings.frontier_texts import frontier_as_json, sought
    from palewright_drawings.progress import Silent

    count = request.get("boards")
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_BOARDS:
        raise InputError(f"takes a whole number, 1 to {MOST_BOARDS}", key="boards")
    found = sought(read_asked(request).parameters, [count], 1, Silent())
    return _json(frontier_as_json(found[0]))


def _packet(request: Mapping[str, Any]) -> Reply:
    """Return the whole shop packet as a ZIP; the same box gives the same bytes."""
    from palewright_drawings.packets import write_packet

    box = read_asked(request).design()
    held = io.BytesIO()
    with tempfile.TemporaryDirectory(prefix="palewright-page-") as folder:
        place = write_packet(box, Path(folder))
        with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as whole:
            for path in sorted(path for path in place.rglob("*") if path.is_file()):
                inside = f"{box.name}/{path.relative_to(place).as_posix()}"
                whole.writestr(_entry(inside), path.read_bytes())
    return Reply("application/zip", held.getvalue())


def _entry(name: str) -> zipfile.ZipInfo:
    """Return a ZIP entry without a date of today."""
    entry = zipfile.ZipInfo(name, _FIRST_DAY)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


def _save(request: Mapping[str, Any]) -> Reply:
    """Return the settings as a variant file."""
    return Reply("application/toml", saved_toml(read_asked(request)).encode())


TASKS: dict[str, Callable[[Mapping[str, Any]], Reply]] = {
    "design": _design,
    "verdict": _verdict,
    "cut": _cut,
    "frontier": _frontier,
    "packet": _packet,
    "save": _save,
}
"""All tasks by the name under which the page asks for them."""
