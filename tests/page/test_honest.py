"""What the page says where something is missing: a verdict, a box, a plan."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route, expect

from case_lists import mostly_thorough
from page_browsers import open_group, settled


def typed(page: Page, key: str, text: str) -> None:
    field = page.locator(f"[id='set-{key}']")
    field.fill(text)
    field.press("Tab")


def fact(page: Page, name: str) -> str:
    return page.locator("#facts tr", has_text=name).locator("td").first.inner_text()


def test_lumber_that_was_not_judged_is_said_and_asked_for_again(opened: Page) -> None:
    # the browser tells of a 500 on the console, where the fixture allows no word:
    # 422 goes the same way
    asked: list[Route] = []

    def gone(route: Route) -> None:
        asked.append(route)
        route.fulfill(status=422, json={"error": {"message": "took too long and was ended"}})

    opened.route("**/verdict", gone)
    typed(opened, "box.width", "18 in")
    expect(opened.locator("#again")).to_be_visible()
    expect(opened.locator("#verdict")).to_have_class("unsure")
    expect(opened.locator("#verdict")).to_contain_text("other lumber not judged")
    expect(opened.locator("#cases")).to_contain_text("took too long and was ended")
    assert len(asked) == 2  # one more try by itself
    opened.unroute("**/verdict")
    opened.locator("#again").click()
    settled(opened)
    expect(opened.locator("#verdict")).to_have_class("good")
    expect(opened.locator("#again")).to_be_hidden()


def test_only_the_lumber_that_does_not_fit_is_named_and_the_table_follows(opened: Page) -> None:
    held: list[Route] = []
    opened.route("**/verdict", lambda route: held.append(route))
    open_group(opened, "Floor and liner")
    with opened.expect_request("**/verdict"):
        typed(opened, "floor.play", "3/16 in")  # thin cleats then leave the slats too little
    expect(opened.locator("#cases")).to_contain_text("others follow")
    assert held
    assert fact(opened, "fit") == "fits"  # in nominal lumber, which is all that is known
    for route in held:
        route.continue_()
    expect(opened.locator("#cases")).to_have_text(
        "Does not fit in thin lumber; fits in nominal, thick and mixed."
    )
    assert fact(opened, "fit") == "does not fit"


@pytest.mark.parametrize("text", mostly_thorough(["9999 in", "abc", ""], "abc"))
def test_beside_a_refusal_nothing_still_fits(opened: Page, text: str) -> None:
    typed(opened, "box.width", text)
    expect(opened.locator("#verdict")).to_contain_text("Cannot be built")
    assert fact(opened, "fit") == "cannot be built"
    expect(opened.locator("#cases")).to_have_text("")
    expect(opened.locator("#findings")).to_contain_text("Not built: box.width")
    opened.locator("#undo").click()
    settled(opened)
    expect(opened.locator("#verdict")).to_contain_text("Fits")
    assert fact(opened, "fit") == "fits"


HANG_UP = """() => {
  window.plain = window.fetch;
  window.fetch = () => Promise.reject(new TypeError("Failed to fetch"));
}"""
"""Has every request fail as one to a server that is gone; a real one would speak on the console."""


def test_a_server_that_is_gone_is_no_verdict_on_the_box_and_is_found_again(opened: Page) -> None:
    opened.evaluate(HANG_UP)
    typed(opened, "box.width", "20 in")  # a size that fits
    verdict = opened.locator("#verdict")
    expect(verdict).to_have_text("Not connected")
    expect(verdict).to_have_class("unsure")
    expect(opened.locator("#complaint")).to_contain_text("The server does not answer")
    assert "annot be built" not in opened.locator("body").inner_text()
    opened.evaluate("window.fetch = window.plain")
    settled(opened)  # nothing was pressed
    expect(verdict).to_contain_text("Fits")
    expect(opened.locator("#complaint")).to_be_hidden()
    assert fact(opened, "outside").startswith("20 × ")


PLACES = """() => [".band", ".scene", ".jumps", "#controls input[type=range]"]
    .map((place) => document.querySelector(place).getBoundingClientRect())
    .map((box) => [box.x, box.y, box.height])"""
"""Where the band, the picture, and the first slider are: what a hand may be holding."""


def test_a_refused_size_dims_the_box_before_and_pushes_nothing(opened: Page) -> None:
    before = opened.evaluate(PLACES)
    field = opened.locator("[id='set-box.width']")
    field.fill("900 in")
    field.press("Enter")
    expect(opened.locator("#complaint")).to_contain_text("box.width")
    for told in ("#complaint", "#former-box", ".stage.refused", "[id='set-box.width-wrong']"):
        expect(opened.locator(told)).to_be_visible()
    assert opened.evaluate("getComputedStyle(document.querySelector('#canvas')).filter") != "none"
    for name in ("boards", "costs", "ask", "weight"):
        expect(opened.locator(f"#sum-{name}")).to_have_text("–")
    assert opened.evaluate(PLACES) == before
    opened.locator("#undo").click()
    settled(opened)
    assert opened.evaluate(PLACES) == before
    for told in ("#complaint", "#former-box", ".stage.refused"):
        expect(opened.locator(told)).to_be_hidden()
