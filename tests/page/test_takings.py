"""What is downloaded from the page, in a browser: the box as it is set, faults not unasked."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Download, Page, Route, expect

from case_lists import thorough
from page_browsers import RULES, settled, take_packet
from page_process import PageServer


def typed(page: Page, key: str, text: str) -> None:
    page.evaluate("for (const d of document.querySelectorAll('.group')) d.open = true")
    field = page.locator(f"[id='set-{key}']")
    field.fill(text)
    field.press("Tab")


def manifest(download: Download, place: Path) -> dict[str, object]:
    """Return what the packet says of itself."""
    download.save_as(place)
    with zipfile.ZipFile(place) as whole:
        (name,) = {path.split("/")[0] for path in whole.namelist()}
        assert download.suggested_filename == f"{name}.zip"
        return dict(json.loads(whole.read(f"{name}/MANIFEST.json")))


@pytest.mark.parametrize("whole", [thorough(True), False], ids=["packet", "report"])
def test_a_packet_waits_for_the_box_as_it_is_set_and_is_of_nothing_else(
    opened: Page, server: PageServer, tmp_path: Path, whole: bool
) -> None:
    """In the quick tests the server makes the report alone, which tells the settings too."""
    held: list[Route] = []
    opened.route("**/design", lambda route: held.append(route))
    sent: list[dict[str, object]] = []
    opened.on("request", lambda one: sent.append({one.url.rpartition("/")[2]: one.post_data_json}))
    with opened.expect_request("**/design"):
        opened.locator("#variant").select_option("sill-box")
    take_packet(opened)  # nothing but the box before is shown as yet
    job = opened.locator("#packet-job")
    expect(job.get_by_role("button", name="stop")).to_be_visible()
    assert not [one for one in sent if "packet" in one]
    verdicts: list[Route] = []
    judge: list[bool] = []
    # it still waits while the change is typed, however long that takes
    opened.route("**/verdict", lambda one: one.continue_() if judge else verdicts.append(one))
    held[0].continue_()
    opened.unroute("**/design")
    typed(opened, "product.note", "changed while the packet waited")
    assert not [one for one in sent if "packet" in one]
    if not whole:
        opened.route("**/packet", lambda one: report_instead(one, server))
    with opened.expect_download(timeout=200_000) as got:
        judge.append(True)
        for route in verdicts:
            route.continue_()
    place = tmp_path / "packet.zip"
    if whole:
        said = manifest(got.value, place)
    else:
        got.value.save_as(place)
        said = json.loads(place.read_text(encoding="utf-8"))
    assert said["variant"] == "sill-box"
    assert "changed while the packet waited" in str(said["parameters"])
    (asked,) = [one["packet"] for one in sent if "packet" in one]
    assert isinstance(asked, dict)
    assert asked["variant"] == "sill-box"
    assert asked["changes"] == {"product.note": "changed while the packet waited"}


def report_instead(route: Route, server: PageServer) -> None:
    """Have the packet's report made, with all that the packet was asked with."""
    asked = {**(route.request.post_data_json or {}), "kind": "report"}
    route.continue_(url=f"{server.address}file", post_data=json.dumps(asked))


def test_a_change_ends_a_packet_under_way_and_says_so(opened: Page) -> None:
    held: list[Route] = []
    opened.route("**/packet", lambda route: held.append(route))
    with opened.expect_request("**/packet"):
        take_packet(opened)
    job = opened.locator("#packet-job")
    expect(job.get_by_role("button", name="stop")).to_be_visible()
    typed(opened, "box.width", "18 in")
    expect(job).to_contain_text("the settings have changed")
    expect(job.get_by_role("button", name="stop")).to_be_hidden()


@pytest.mark.thorough
def test_files_of_a_box_that_does_not_fit_are_asked_about(opened: Page, tmp_path: Path) -> None:
    typed(opened, "panel.lip", "1/2 in")
    take_packet(opened)  # before it is judged
    question = opened.get_by_role("dialog")
    expect(question).to_be_visible(timeout=60_000)  # what it is called stands only then
    expect(question).to_have_accessible_name(opened.locator("#verdict").inner_text())
    expect(question).to_contain_text("Does not fit in thin, nominal, thick and mixed lumber")
    told = opened.locator("#findings li.fault").first.locator("p").nth(1).inner_text()
    expect(question).to_contain_text(f"First of all, {told}.")
    expect(question.get_by_role("button", name="Go back")).to_be_focused()
    opened.keyboard.press("Escape")
    expect(question).to_have_count(0)
    expect(opened.locator("#packet-job")).to_contain_text("Not made.")
    opened.locator("#file").select_option("cutlist")
    opened.locator("#files button").click()
    question.get_by_role("button", name="Go back").click()
    expect(opened.locator("#file-job")).to_contain_text("Not made.")
    opened.locator("#files button").click()
    with opened.expect_download() as got:
        question.get_by_role("button", name="Download it all the same").click()
    got.value.save_as(tmp_path / "cutlist.csv")
    assert (tmp_path / "cutlist.csv").stat().st_size > 200
    for _ in range(2):  # its name, its lip
        opened.locator("#undo").click()
        settled(opened)
    with opened.expect_download() as got:
        opened.locator("#files button").click()  # it fits: no question
    expect(question).to_have_count(0)


@pytest.mark.thorough  # the page itself is looked at in test_page_browser
@pytest.mark.parametrize("opened", [{"bypass_csp": True}], indirect=True)
def test_axe_finds_nothing_in_the_question_and_the_notice(opened: Page) -> None:
    opened.evaluate("location.hash = 'variant=stoop-tub&box.width=\"900 in\"'")
    expect(opened.locator("#notice")).to_be_visible()
    settled(opened)
    assert Axe().run(opened, options=RULES).response["violations"] == []
    typed(opened, "panel.lip", "1/2 in")
    settled(opened)
    take_packet(opened)
    opened.get_by_role("dialog").wait_for()
    assert Axe().run(opened, options=RULES).response["violations"] == []


@pytest.mark.thorough
def test_a_box_that_cannot_be_built_is_refused_in_the_packets_own_words(opened: Page) -> None:
    typed(opened, "box.width", "900 in")
    take_packet(opened)
    expect(opened.locator("#packet-job")).to_contain_text("box.width")
    expect(opened.locator("#packet-job")).to_contain_text("96 in")


def test_a_changed_box_is_asked_for_its_name_and_a_buyers_packet_is_asked_for_as_such(
    opened: Page, server: PageServer
) -> None:
    typed(opened, "box.width", "20 in")
    opened.locator("#packet").click()
    question = opened.get_by_role("dialog", name="Download the packet")
    expect(question.get_by_role("textbox")).to_have_value("Stoop tub, own")
    expect(question.get_by_role("textbox")).to_be_focused()
    question.get_by_role("textbox").fill("Tub for aunt May")
    opened.route("**/packet", lambda one: report_instead(one, server))
    with opened.expect_download() as got, opened.expect_request("**/packet") as sent:
        question.get_by_role("button", name="For a buyer").click()
    asked = sent.value.post_data_json
    assert asked["to_sell"] is True
    assert "despite_faults" not in asked  # nobody agreed to anything
    assert asked["changes"] == {"box.width": "20 in", "product.title": "Tub for aunt May"}
    assert got.value.suggested_filename == "tub-for-aunt-may.zip"
    expect(opened.locator("#title")).to_have_text("Tub for aunt May")
    # it has a name now, and the packet for oneself is asked for as before
    opened.locator("#packet").click()
    expect(question.get_by_role("textbox")).to_have_count(0)
    with opened.expect_request("**/packet") as sent:
        question.get_by_role("button", name="For me").click()
    assert "to_sell" not in sent.value.post_data_json


def test_warnings_are_asked_about_before_a_buyer_gets_a_packet(opened: Page) -> None:
    typed(opened, "floor.gap", "1/16 in")
    settled(opened)
    code = opened.locator("#findings li.warning .kind").first.inner_text().split()[1]
    take_packet(opened, "For a buyer")
    question = opened.get_by_role("dialog", name="Fits")
    expect(question).to_contain_text(f"Warnings stand: {code}")
    opened.route("**/packet", lambda route: None)
    with opened.expect_request("**/packet") as sent:
        question.get_by_role("button", name="all the same").click()
    assert sent.value.post_data_json["despite_faults"] is True


def test_paper_shows_money_only_to_the_maker_who_asks_for_it(opened: Page) -> None:
    opened.emulate_media(media="print")
    money = opened.locator(".money")
    assert money.count() == 4
    for one in money.all():
        expect(one).to_be_hidden()
    opened.emulate_media(media="screen")
    opened.evaluate("window.print = () => { window.printed = document.body.dataset.paper; }")
    for name, whose in (("For a buyer", "buyer"), ("For me", "me")):
        opened.locator("#print").click()
        opened.get_by_role("dialog").get_by_role("button", name=name).click()
        opened.wait_for_function("whose => window.printed === whose", arg=whose)
    assert opened.evaluate("document.body.dataset.paper ?? null") is None
    opened.evaluate("document.body.dataset.paper = 'me'")
    opened.emulate_media(media="print")
    for one in money.all():
        expect(one).to_be_visible()
    opened.evaluate("delete document.body.dataset.paper")
