"""What the page's long jobs make: sizes, packets, single files, pictures; each tells its steps."""

from __future__ import annotations

import io
import tempfile
import zipfile
from base64 import b64encode
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from palewright.design import Design
from palewright.reading.errors import InputError, nearest
from palewright_drawings.output.progress import Progress
from palewright_drawings.packet.writers import (
    WRITERS,
    PacketRequest,
    asked_kinds,
    require_sellable,
    usual_kinds,
)
from palewright_drawings.page.control_groups import shaping
from palewright_drawings.page.jobs.asked_variants import read_asked
from palewright_drawings.page.jobs.replies import Reply, json_reply
from palewright_drawings.page.jobs.shop_figures import kept_figures
from palewright_drawings.page.jobs.worker_progress import ToldProgress

MOST_BOARDS = 60
"""Boards of the largest box that the page searches: a judgement."""

MOST_BUDGET = 100_000
"""Money or minutes of a search: as the command takes them."""

FRONTIER_WORK = 60.0
"""Counted work for a search of sizes: it ends before its worker is taken away, on a busy machine
too."""

MOST_PIXELS = 2000
"""Longer pictures are for the command line: hours of light would keep the page's worker busy."""

_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The date of every file in a ZIP: its format knows none before, and ours tells none."""

MEDIA_TYPES = {
    ".pdf": "application/pdf", ".csv": "text/csv", ".json": "application/json",
    ".glb": "model/gltf-binary", ".stl": "model/stl", ".step": "model/step",
    ".dxf": "image/vnd.dxf", ".html": "text/html",
}  # fmt: skip
"""Media types by ending, as IANA registers them."""


def _frontier(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return the largest boxes of a budget: ``boards``, ``spend`` (money) or ``minutes``."""
    from palewright_drawings.page.jobs.partial_sizes import afforded, searched
    from palewright_drawings.texts.size_search_text import frontier_as_json

    parameters, shop = read_asked(request).parameters, kept_figures()[0]
    part = progress.part if isinstance(progress, ToldProgress) else None
    for key in ("spend", "minutes"):
        if key in request:
            most = float(_whole(request, key, 1, MOST_BUDGET))
            found = afforded(parameters, key, most, shop, progress, part, FRONTIER_WORK)
            return json_reply(frontier_as_json(found.frontier, parameters, found.minutes))
    count = _whole(request, "boards", 1, MOST_BOARDS)
    sizes = searched(parameters, count, progress, part, FRONTIER_WORK)
    return json_reply(frontier_as_json(sizes, parameters))


def _packet(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return the whole shop packet as a ZIP; the same box gives the same bytes."""
    from palewright_drawings.packet.packet import write_packet

    box, to_sell = _box_of(request)
    asked = PacketRequest(box, kept_figures, to_sell=to_sell)
    kinds = asked_kinds(to_sell=to_sell)
    with tempfile.TemporaryDirectory(prefix="palewright-page-") as folder:
        place = write_packet(asked, Path(folder), kinds, progress)
        found = sorted(path for path in place.rglob("*") if path.is_file())
        named = [(path.relative_to(place).as_posix(), path.read_bytes()) for path in found]
    return _zipped(box.name, named)


def _box_of(request: Mapping[str, Any]) -> tuple[Design, bool]:
    """Return the box to make files of, and whether they are for a buyer.

    Raises:
        InputError: as `require_sellable` does, unless ``despite_faults`` is said.
    """
    box = read_asked(request).design()
    to_sell = request.get("to_sell") is True
    if to_sell and request.get("despite_faults") is not True:
        require_sellable(box, "to_sell")
    return box, to_sell


def _file(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return one kind of a packet's files: the file itself, or a ZIP where there are several."""
    kind = _word(request, "kind", usual_kinds())
    box, to_sell = _box_of(request)
    if to_sell and WRITERS[kind].private:
        raise InputError(f"'{kind}' is for the maker alone", key="kind")
    made = list(WRITERS[kind].files(PacketRequest(box, kept_figures, to_sell=to_sell), progress))
    if not made:
        raise InputError(f"this box has nothing for '{kind}'", key="kind")
    if len(made) > 1 or "*" in WRITERS[kind].where:
        return _zipped(f"{box.name}-{kind}", made)
    ((path, content),) = made
    return Reply(MEDIA_TYPES[Path(path).suffix], content)


def _batch(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return what a batch of designs takes and costs."""
    from palewright_drawings.page.jobs.batches import priced_batch

    return json_reply(priced_batch(request, progress))


def _picture(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return a path-traced picture as PNG."""
    from palewright_drawings.listing.pictured_wood import OWN
    from palewright_drawings.listing.rendered_picture import (
        LEAST_PIXELS,
        PREVIEW_SAMPLES,
        SAMPLES,
        SCENES,
        PictureRequest,
        picture_file,
    )
    from palewright_drawings.output.progress import Shares
    from palewright_drawings.rendering.tracer.cameras import VIEWS
    from palewright_drawings.rendering.wood.species_looks import FINISHES, LOOKS

    side = _whole(request, "pixels", LEAST_PIXELS, MOST_PIXELS)
    asked = PictureRequest(
        _word(request, "scene", SCENES),
        _word(request, "view", VIEWS),
        _word(request, "finish", FINISHES),
        (side, side),
        PREVIEW_SAMPLES if request.get("quick") is True else SAMPLES,
        _word(request, "wood", (OWN, *LOOKS)),
    )
    told = Shares(progress, "picture")
    return Reply("image/png", picture_file(read_asked(request).design(), asked, told))


def _track(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return where a size fits and what boards it takes; what is known on the way is told."""
    from palewright_drawings.page.jobs.size_tracks import asked_track, bill_at, filled

    key = _word(request, "key", shaping())
    track, present = asked_track(request, key)
    for found in filled(track, present, bill_at(request, key), progress):
        if isinstance(progress, ToldProgress):
            progress.part(found.as_json())
    return json_reply(track.as_json())


def _view(request: Mapping[str, Any], progress: Progress) -> Reply:
    """Return the stage path-traced, as WebP; each pass on the way is told: ``samples``, ``webp``.

    Raises:
        InputError: for an eye that sees nothing, or without the extra ``pictures``.
    """
    from palewright_drawings.listing.rendered_picture import require_pictures
    from palewright_drawings.page.jobs.traced_views import PASSES, read_view, traced

    view, content = read_view(request.get("view")), b""
    require_pictures()
    for samples, content in traced(read_asked(request).design(), view):
        if isinstance(progress, ToldProgress) and samples < sum(PASSES):
            progress.part({"samples": samples, "webp": b64encode(content).decode()})
    return Reply("image/webp", content)


def _beside(_request: Mapping[str, Any], _progress: Progress) -> Reply:
    """Return the thing that stands beside every box: here, so that the server imports no mesh."""
    from palewright_drawings.page.jobs.grown_plants import thing_beside
    from palewright_drawings.page.jobs.packed_meshes import KIND, of_solids

    return Reply(KIND, of_solids(thing_beside()))


def _word(request: Mapping[str, Any], key: str, allowed: Iterable[str]) -> str:
    """Return one of the words that a request may say under a key."""
    said = request.get(key)
    if not isinstance(said, str) or said not in allowed:
        shown = str(said)[:40]
        raise InputError(
            f"no '{shown}'{nearest(shown, allowed)}; allowed: {', '.join(allowed)}", key=key
        )
    return said


def _whole(request: Mapping[str, Any], key: str, low: int, high: int) -> int:
    """Return the whole number that a request says under a key."""
    said = request.get(key)
    if isinstance(said, bool) or not isinstance(said, int) or not low <= said <= high:
        raise InputError(f"takes a whole number, {low} to {high}", key=key)
    return said


def _zipped(folder: str, files: Iterable[tuple[str, bytes]]) -> Reply:
    """Return files as a ZIP with one folder in it."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as whole:
        for path, content in files:
            whole.writestr(_entry(f"{folder}/{path}"), content)
    return Reply("application/zip", held.getvalue())


def _entry(name: str) -> zipfile.ZipInfo:
    """Return a ZIP entry without a date of today."""
    entry = zipfile.ZipInfo(name, _FIRST_DAY)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.external_attr = 0o644 << 16
    return entry


LONG_TASKS: dict[str, Callable[[Mapping[str, Any], Progress], Reply]] = {
    "frontier": _frontier,
    "packet": _packet,
    "file": _file,
    "picture": _picture,
    "batch": _batch,
    "track": _track,
    "beside": _beside,
    "view": _view,
}
"""All long tasks by the name under which the page asks for them."""
