"""Settings in the page's address, in a browser: what they begin, and what a bad link is told."""

from __future__ import annotations

import json
import re
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page, expect

from case_lists import mostly_thorough
from page_browsers import settled
from page_process import PageServer


def link(**said: object) -> str:
    """Return an address's part behind the host; a double underline is a dot."""
    words = {key.replace("__", "."): one for key, one in said.items()}
    values = {key: one if key == "variant" else json.dumps(one) for key, one in words.items()}
    return "#" + urlencode(values)


BAD = {
    link(variant="sill-box", box__width="9000 in"): ("Sill box", "box.width", "96 in"),
    link(variant="sill-box", box__widht="20 in"): ("Sill box", "box.widht", "box.width"),
    link(variant="sill-box", box__width={"a": 1}): ("Sill box", "box.width", "takes text"),
    link(variant="sill-bo"): ("Stoop tub", "variant", "sill-box"),
    link(box__width="20 in"): ("Stoop tub", "variant", "sill-box"),
    "#varient=sill-box": ("Stoop tub", "variant", "sill-box"),
    link(variant="stoop-tub", __proto__="x"): ("Stoop tub", "proto", "unknown key"),
}
"""Broken links: the shipped variant that is begun from, the key, and a part of what is allowed."""


@pytest.mark.parametrize("bad", mostly_thorough(BAD, next(iter(BAD))))
def test_a_bad_link_is_one_line_and_a_shipped_box(
    unopened: Page, server: PageServer, bad: str
) -> None:
    title, key, allowed = BAD[bad]
    page = unopened
    page.goto(server.address + bad)
    notice = page.locator("#notice")
    for words in (title, key, allowed):
        expect(notice).to_contain_text(words)
    settled(page)
    expect(page.locator("#title")).to_have_text(title)
    expect(page.locator("#complaint")).to_be_hidden()
    expect(page.locator("#undo")).to_be_disabled()
    # every button does what it is for
    page.locator("#keep").click()
    expect(page.locator("#take")).to_be_visible()
    with page.expect_download() as got:
        page.locator("#save").click()
    assert got.value.suggested_filename.endswith("-own.toml")
    page.locator("#parts button").first.click()
    expect(page.locator("#picked")).to_be_visible()
    page.locator("[id='set-box.width']").fill("26 in")
    page.locator("[id='set-box.width']").press("Tab")
    expect(page.locator("#facts")).to_contain_text("26 × ")
    expect(notice).to_be_hidden()
    page.locator("#undo").click()
    settled(page)
    # the address has become a good one
    expect(page).not_to_have_url(server.address + bad)
    page.reload()
    settled(page)
    expect(notice).to_be_hidden()
    expect(page.locator("#title")).to_have_text(title)


def test_before_the_first_box_no_button_is_an_error(unopened: Page, server: PageServer) -> None:
    """Where the server gives nothing at all, words stand there and nothing fails."""
    page = unopened
    failed = {"error": {"message": "the job was ended before it was done"}}
    page.route("**/design", lambda route: route.fulfill(status=409, json=failed))
    page.goto(server.address)
    expect(page.locator("#complaint")).to_contain_text("ended before it was done")
    for name in ("keep", "save", "link", "packet"):
        page.locator(f"#{name}").click()
    page.get_by_role("dialog").get_by_role("button", name="Go back").click()
    page.locator("#frontier button", has_text="Search").click()
    page.locator("#files button").click()
    for tick in ("gaps", "marks", "grown"):
        page.locator(f"#{tick}").click()
    page.keyboard.press("Escape")
    page.unroute("**/design")
    page.locator("#variant").select_option("sill-box")
    settled(page)
    expect(page.locator("#title")).to_have_text("Sill box")


def test_a_link_put_into_the_open_pages_address_is_followed(
    opened: Page, server: PageServer
) -> None:
    opened.goto(server.address + link(variant="sill-box", box__height="12 in"))
    expect(opened.locator("#title")).to_have_text("Sill box")
    settled(opened)
    opened.goto(server.address + link(variant="sill-box", box__height="900 in"))
    expect(opened.locator("#notice")).to_contain_text("box.height")
    settled(opened)
    expect(opened.locator("[id='set-box.height']")).to_have_value("12 in")
    opened.locator(".skip").focus()
    opened.keyboard.press("Enter")
    # a jump within the page loses no settings
    expect(opened).to_have_url(re.compile("variant=sill-box"))


def test_a_reload_after_a_refusal_finds_what_was_shown_last(opened: Page) -> None:
    field = opened.locator("[id='set-box.width']")
    field.fill("20 in")
    field.press("Tab")
    expect(opened).to_have_url(re.compile(r"width=%2220\+in"))  # some time after it is shown
    field.fill("9000 in")
    field.press("Tab")
    expect(opened.locator("#verdict")).to_contain_text("Cannot be built")
    opened.reload()
    settled(opened)
    expect(field).to_have_value("20 in")


def test_a_reload_keeps_the_steps_back(opened: Page) -> None:
    field = opened.locator("[id='set-box.width']")
    for text in ("20 in", "21 in"):
        field.fill(text)
        field.press("Tab")
        settled(opened)
    expect(opened).to_have_url(re.compile(r"width=%2221\+in"))
    opened.reload()
    settled(opened)
    expect(field).to_have_value("21 in")
    for text in ("20 in", "19 in"):
        opened.locator("#undo").click()
        settled(opened)
        expect(field).to_have_value(text)
    expect(opened.locator("#undo")).to_be_disabled()
