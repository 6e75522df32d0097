"""The page's long jobs over HTTP: what they tell on the way, single files, pictures, plans."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from case_lists import mostly_thorough
from page_process import PageServer
from palewright.costing.shop_file import shipped_figures
from palewright.cutting_stock import plan_as_json
from palewright.design import design
from palewright.fit.seats import seats_of
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.lengths import print_length
from palewright.sawing.numbered_plans import numbered_plans
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import first_plans
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest, usual_kinds
from palewright_drawings.page.jobs.design_snapshot import snapshot
from palewright_drawings.page.jobs.long_tasks import MEDIA_TYPES
from palewright_drawings.page.jobs.plan_snapshot import best_plans, plan_shown
from palewright_drawings.page.jobs.worker_progress import ToldProgress
from palewright_drawings.page.start_data import start_data
from shipped_designs import shipped


def told(server: PageServer, task: str, **request: Any) -> tuple[list[dict[str, Any]], bytes]:
    """Return the lines of an answer that tells, and the bytes after them."""
    body = json.dumps({"page": "t", "variant": "sill-box", "tell": True, **request}).encode()
    status, headers, rest = server.send("POST", f"/{task}", body, Content_Type="application/json")
    assert (status, headers["content-type"]) == (200, "application/x-palewright-told")
    lines: list[dict[str, Any]] = []
    while not lines or "doing" in lines[-1]:
        line, _, rest = rest.partition(b"\n")
        lines.append(json.loads(line))
    return lines, rest


@pytest.mark.thorough
def test_a_packet_tells_its_stages_and_is_the_same_as_without(server: PageServer) -> None:
    lines, content = told(server, "packet")
    body = json.dumps({"page": "u", "variant": "sill-box"}).encode()
    plain = server.send("POST", "/packet", body, Content_Type="application/json")[2]
    assert content == plain
    assert lines[-1] == {"kind": "application/zip", "bytes": len(plain)}
    doing = [line["doing"] for line in lines[:-1]]
    assert len(set(doing)) >= 6  # stages have names of their own
    assert all(0 <= line["done"] <= line["total"] for line in lines[:-1])


def test_what_is_refused_is_told_in_the_last_line(server: PageServer) -> None:
    lines, rest = told(server, "file", kind="exe")
    assert (lines[-1]["status"], lines[-1]["error"]["key"], rest) == (422, "kind", b"")
    assert all(kind in lines[-1]["error"]["message"] for kind in usual_kinds())
    lines, rest = told(server, "packet", changes={"box.width": "900 in"})
    assert (lines[-1]["status"], lines[-1]["error"]["key"], rest) == (422, "box.width", b"")


@pytest.mark.parametrize("kind", mostly_thorough(usual_kinds(), "flat", "read-first"))
def test_one_file_is_the_packets_own(server: PageServer, kind: str) -> None:
    box = shipped("sill-box")
    made = dict(WRITERS[kind].files(PacketRequest(box), Silent()))
    lines, content = told(server, "file", kind=kind)
    if not made:
        assert (lines[-1]["status"], lines[-1]["error"]["key"]) == (422, "kind")
    elif len(made) == 1 and "*" not in WRITERS[kind].where:
        assert hashlib.sha256(content).digest() == hashlib.sha256(*made.values()).digest()
    else:
        with zipfile.ZipFile(io.BytesIO(content)) as whole:
            assert {n: whole.read(f"sill-box-{kind}/{n}") for n in made} == made
            assert len(whole.namelist()) == len(made)


def refused(server: PageServer, task: str, **request: Any) -> str:
    """Return what is said of a job that is refused."""
    lines, _ = told(server, task, **request)
    return str(lines[-1]["error"]["message"])


def test_what_is_the_makers_alone_reaches_no_buyer(server: PageServer) -> None:
    private = [kind for kind in usual_kinds() if WRITERS[kind].private]
    assert private
    for kind in private:
        assert "for the maker alone" in refused(server, "file", kind=kind, to_sell=True)
    warned = {"changes": {"floor.gap": "1/16 in"}, "variant": "stoop-tub"}
    for task, more in (("packet", {}), ("file", {"kind": "cutlist"})):
        assert "warnings stand: PW" in refused(server, task, to_sell=True, **more, **warned)


@pytest.mark.thorough
def test_a_buyers_packet_has_all_but_what_is_the_makers_alone(server: PageServer) -> None:
    lines, content = told(server, "packet", to_sell=True, changes={"product.title": "Sold one"})
    assert lines[-1]["kind"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(content)) as whole:
        names = whole.namelist()
        plan = whole.read("sold-one/plan.pdf")
    assert not [name for name in names if "maker" in name or "costs" in name]
    box = design(load_variant("sill-box", ["product.title=Sold one"]).parameters, "sold-one")
    made = dict(WRITERS["plan"].files(PacketRequest(box, to_sell=True), Silent()))
    assert plan == made["plan.pdf"]


def test_each_file_that_may_come_alone_has_a_media_type() -> None:
    places = [WRITERS[kind].where for kind in usual_kinds()]
    assert {Path(place).suffix for place in places if "*" not in place} <= MEDIA_TYPES.keys()


def test_a_picture_is_the_size_asked_and_tells_of_its_light(server: PageServer) -> None:
    from PIL import Image

    asked: dict[str, Any] = {
        "scene": "studio",
        "view": "hero",
        "finish": "bare",
        "wood": "own",
        "pixels": 240,
    }
    asked["quick"] = True
    lines, content = told(server, "picture", **asked)
    assert find_spec("mitsuba") is not None, "the tests need the extra pictures"
    with Image.open(io.BytesIO(content)) as picture:
        assert (picture.format, picture.size) == ("PNG", (240, 240))
        assert len(picture.getcolors(240 * 240) or []) > 500
    assert 0 < max(line["done"] / line["total"] for line in lines[1:-1]) <= 1
    for wrong in ({"scene": "moon"}, {"pixels": 9000}, {"pixels": True}, {"finish": None}):
        lines, _ = told(server, "picture", **{**asked, **wrong})
        assert (lines[-1]["status"], lines[-1]["error"]["key"]) == (422, *wrong)


def test_progress_is_told_at_each_beginning_and_seldom_between() -> None:
    said: list[tuple[str, int, int]] = []
    progress = ToldProgress(lambda *one: said.append(one))
    for stage in ("a", "b"):
        progress.begin(stage, 1000)
        for _ in range(1000):
            progress.advance()
    assert [one for one in said if one[1] == 0] == [("a", 0, 1000), ("b", 0, 1000)]
    assert len(said) < 20


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "terrace-crate"))
def test_every_board_is_found_in_the_layouts(name: str) -> None:
    box = shipped(name)
    shown = json.loads(json.dumps(plan_shown(box, box.saw_plans), allow_nan=False))
    assert list(shown["origins"]) == list(box.box.boards)
    marks = {board: part.mark for part in box.parts for board in part.boards}
    places = set()
    for board, one in shown["origins"].items():
        layout = shown["layouts"][one["layout"]]
        assert layout["pieces"][one["place"]]["part"] == marks[board]
        assert layout["numbers"][0] <= one["board"] <= layout["numbers"][1]
        places.add((one["board"], one["place"]))
    assert len(places) == len(box.box.boards)  # no two boards are cut from one place
    assert sum(b - a + 1 for a, b in (lay["numbers"] for lay in shown["layouts"])) == sum(
        plan.plan.boards for plan in box.saw_plans
    )
    lines = [line for stock in shown["saw"] for step in stock["steps"] for line in step["lines"]]
    settings = [line for line in lines if line["number"]]
    assert len(settings) == shown["setups"]["count"]
    assert len(lines) == len(settings) + len(shown["setups"]["squaring"]) == sum(
        len(step.lines) for plan in numbered_plans(box.saw_plans) for step in plan.steps
    )  # fmt: skip


def test_the_plan_that_is_shown_last_is_never_worse_than_the_first(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    box = design(load_variant("herb-trough").parameters, "herb-trough")
    monkeypatch.setattr("palewright_drawings.page.jobs.plan_snapshot.PLAN_WORK", 0.01)
    for one, first in zip(
        best_plans(box), first_plans(demands_of([(box, 1)]), saw_of(box.parameters)), strict=True
    ):
        assert one.plan.lower_bound <= one.plan.boards <= first.plan.boards
        assert one.plan.proven == (one.plan.boards == one.plan.lower_bound)
        json.dumps(plan_as_json(one.plan))


@pytest.mark.parametrize("name", ["stoop-tub", "herb-trough", "winter-tub"])
def test_clearances_are_shown_between_the_boards_that_they_are_measured_on(name: str) -> None:
    box = design(load_variant(name).parameters, name)
    shown = snapshot(box)
    boards = box.box.boards
    for one, seat in zip(shown["seats"], seats_of(boards), strict=True):
        assert one["texts"][0] == print_length(seat.lip, shown["units"])
        outer, side = (boards[board].corners for board in seat.boards[:2])
        x, y, z = one["at"]
        edges = max(abs(p[0]) for p in outer), min(abs(p[0]) for p in side)
        assert edges[0] - 1e-3 <= abs(x) <= edges[1] + 1e-3
        assert edges[1] - edges[0] == pytest.approx(seat.lip, abs=1e-6)
        assert z == pytest.approx(max(p[2] for p in side), abs=1e-3)
        # the same quarter as the boards
        assert x * sum(p[0] for p in side) > 0
        assert y * sum(p[1] for p in outer) > 0


def test_weights_are_told_empty_and_filled_and_a_tree_box_holds_no_soil() -> None:
    tub = snapshot(design(load_variant("stoop-tub").parameters, "stoop-tub"))
    assert float(tub["facts"]["filled"].split()[0]) > float(tub["facts"]["mass"].split()[0])
    assert tub["soil"]["top"] > tub["soil"]["bottom"] > 0
    tree = snapshot(design(load_variant("winter-tub").parameters, "winter-tub"))
    assert tree["facts"]["filled"] == ""
    assert tree["soil"]["width"] == 0
    assert {one["name"] for one in tree["obstacles"]} == {"stand", "trunk"}


def test_what_the_page_is_told_at_its_start_names_only_what_there_is() -> None:
    from palewright.fit.findings import CODES
    from palewright_drawings.listing.rendered_picture import PictureRequest
    from palewright_drawings.rendering.wood.species_looks import FINISHES

    known = json.loads(json.dumps(start_data(shipped_figures()), allow_nan=False))
    assert [one["kind"] for one in known["files"]] == usual_kinds()
    assert set(known["codes"]) == set(CODES)
    for scene in known["pictures"]["scenes"]:
        for view in known["pictures"]["views"]:
            PictureRequest(scene, view)
    for finish, look in known["pictures"]["finishes"].items():
        assert list(FINISHES[finish].colour) == look["colour"]
