"""What a maker comes for, each within three actions of the page as it opens: counted."""

from __future__ import annotations

import json
from dataclasses import dataclass
from urllib.parse import parse_qs

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from page_browsers import settled
from page_sizes import answer, size

MOST = 3
"""Actions of each task: a judgement of the page's issue."""


@dataclass
class Hand:
    """A hand that counts: a press, a choice, or a text typed into what is in view is one action."""

    page: Page
    actions: int = 0

    def _sees(self, place: Locator) -> Locator:
        """Only what is seen without scrolling can be gone for at once; a jump is an action."""
        expect(place).to_be_in_viewport(ratio=0.5)
        self.actions += 1
        return place

    def press(self, place: Locator) -> None:
        self._sees(place).click()

    def type(self, place: Locator, text: str) -> None:
        self._sees(place).fill(text)
        place.press("Enter")

    def choose(self, place: Locator, value: str) -> None:
        self._sees(place).select_option(value)

    def done(self) -> int:
        assert 0 < self.actions <= MOST
        return self.actions


@pytest.fixture
def hand(opened: Page) -> Hand:
    opened.set_viewport_size({"width": 1280, "height": 720})
    return Hand(opened)


def test_four_inches_wider(hand: Hand) -> None:
    hand.type(hand.page.get_by_role("textbox", name="width", exact=True), "23")
    settled(hand.page)
    expect(hand.page.locator("#facts")).to_contain_text("23 × 19 × 16 in")
    assert hand.done() == 1


@pytest.mark.thorough  # a choice is one action, as a typed size
def test_in_cedar(hand: Hand) -> None:
    before = hand.page.locator("#sum-weight").inner_text()
    hand.choose(hand.page.get_by_role("combobox", name="lumber", exact=True), "fence-58-cedar")
    settled(hand.page)
    assert hand.page.locator("#sum-weight").inner_text() != before
    assert hand.done() == 1


@pytest.mark.thorough  # a tick is one action, as a typed size
def test_with_a_trellis(hand: Hand) -> None:
    hand.press(hand.page.get_by_role("checkbox", name="make a trellis"))
    settled(hand.page)
    expect(hand.page.locator("#facts tr", has_text="outside")).to_contain_text("high in all")
    assert hand.done() == 1


def test_of_three_boards(hand: Hand) -> None:
    found = {"boards": 3, "sizes": [size(304.8, 304.8, 28.0)], "refused": [], "undecided": 0}
    body = answer(whole={**found, "open": [], "unreached": []})

    def fulfil(route: Route) -> None:
        assert json.loads(route.request.post_data or "")["boards"] == 3
        route.fulfill(body=body, content_type="application/x-palewright-told")

    hand.page.route("**/frontier", fulfil)
    hand.press(hand.page.get_by_role("link", name="Budget"))
    hand.type(hand.page.get_by_role("spinbutton", name="Hold"), "3")
    hand.press(hand.page.locator("#sizes button").first)
    settled(hand.page)
    expect(hand.page.locator("#facts")).to_contain_text("12 × 12 × 12 in")
    hand.done()


def test_shared(hand: Hand) -> None:
    hand.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    hand.press(hand.page.get_by_role("button", name="Copy link"))
    expect(hand.page.locator("#said")).to_have_text("Link copied.")
    link = hand.page.evaluate("navigator.clipboard.readText()")
    assert parse_qs(link.partition("#")[2])["variant"] == ["stoop-tub"]
    assert hand.done() == 1


def test_a_packet_for_a_buyer(hand: Hand) -> None:
    hand.page.route("**/packet", lambda route: None)
    hand.press(hand.page.get_by_role("button", name="Download the packet"))
    with hand.page.expect_request("**/packet") as sent:
        hand.press(hand.page.get_by_role("button", name="For a buyer"))
    assert sent.value.post_data_json["to_sell"] is True
    assert hand.done() == 2


def test_the_saw_sheet_for_the_phone(hand: Hand) -> None:
    hand.page.route("**/file", lambda route: None)
    with hand.page.expect_request("**/file") as sent:
        hand.press(hand.page.get_by_role("button", name="Sheet for the saw"))
    assert sent.value.post_data_json["kind"] == "workshop"
    assert hand.done() == 1


def test_what_is_taken_away_is_in_reach_at_every_width(opened: Page) -> None:
    """The saw sheet was once hidden on a tablet and a phone, which it is for."""
    for width in (320, 390, 561, 820, 960, 1024, 1440):
        opened.set_viewport_size({"width": width, "height": 844})
        for name in ("Undo", "Copy link", "Sheet for the saw", "Download the packet"):
            button = opened.get_by_role("button", name=name)
            expect(button).to_be_in_viewport(ratio=0.99)
        expect(opened.locator("#verdict")).to_be_in_viewport(ratio=0.99)
