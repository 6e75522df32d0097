"""Variant files opened in the page, in a browser: their names, links, reloads and complaints."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from case_lists import thorough
from page_browsers import settled

MINE = """# our own
base = "sill-box"

[product]
title = "Kitchen & yard, 50 % off"

[lumber]
board = "barn one"

[stock."barn one"]
thickness = "5/8 in"
width = "5-1/2 in"
length = "8 ft"
price = "2.10"
"""
"""With a lumber of its own, which no key by itself could carry, and signs that addresses escape."""


def open_file(page: Page, place: Path, content: bytes) -> None:
    place.write_bytes(content)
    page.locator("#open").set_input_files(place)


def of_the_file(page: Page) -> None:
    """Look whether a page shows the file, as it was changed."""
    expect(page.locator("#title")).to_have_text("Kitchen & yard, 50 % off")
    settled(page)
    expect(page.locator("#variant option:checked")).to_have_text("my trough.toml")
    expect(page.locator("[id='set-lumber.board']")).to_have_value("barn one")
    expect(page.locator("[id='set-box.height']")).to_have_value("12 in")


def test_an_opened_file_keeps_its_name_and_lives_in_link_and_reload(
    opened: Page, tmp_path: Path
) -> None:
    opened.context.grant_permissions(["clipboard-read", "clipboard-write"])
    open_file(opened, tmp_path / "my trough.toml", MINE.encode())
    expect(opened.locator("#title")).to_have_text("Kitchen & yard, 50 % off")
    height = opened.locator("[id='set-box.height']")
    height.fill("12 in")
    height.press("Tab")
    of_the_file(opened)
    expect(opened).to_have_url(re.compile("height=%2212"))  # some time after it is shown
    opened.reload()
    of_the_file(opened)
    with opened.expect_download() as got:
        opened.locator("#save").click()
    assert got.value.suggested_filename == "my-trough.toml"
    got.value.save_as(tmp_path / "saved.toml")
    said = tomllib.loads((tmp_path / "saved.toml").read_text(encoding="utf-8"))
    assert said["base"] == "sill-box" and said["box"] == {"height": "12 in"}
    expect(opened.locator("#link")).to_be_enabled()
    opened.locator("#link").click()
    expect(opened.locator("#said")).to_have_text("Link copied.")
    link = opened.evaluate("navigator.clipboard.readText()")
    other = opened.context.new_page()
    other.goto(link)
    of_the_file(other)
    opened.locator("#file").select_option("cutlist")
    with opened.expect_download() as got:
        opened.locator("#files button").click()
    assert got.value.suggested_filename == "my-trough-cutlist.csv"


@pytest.mark.parametrize(
    "content, told",
    [
        thorough((b"", ("mine.toml", "is empty", "stoop-tub"))),
        thorough(
            (b'base = "stoop-tub"\n[box]\nwidth = 20 in\n', ("mine.toml, line 3", "a line is [t"))
        ),
        thorough(
            (b'base = "stoop-tub"\n[box]\nwidth = "900 in"\n', ("line 3", "box.width", "to 96 in"))
        ),
        thorough((b"\xff\xfe\x00", ("mine.toml", "not UTF-8"))),
        (b"#" * (256 * 1024 + 1), ("mine.toml", "256 KiB")),
    ],
)
def test_a_file_that_cannot_be_used_is_one_line_and_the_box_before_stays(
    opened: Page, tmp_path: Path, content: bytes, told: tuple[str, ...]
) -> None:
    field = opened.locator("[id='set-box.width']")
    field.fill("18 in")
    field.press("Tab")
    settled(opened)
    open_file(opened, tmp_path / "mine.toml", content)
    for words in told:
        expect(opened.locator("#notice")).to_contain_text(words)
    settled(opened)
    expect(opened.locator("#variant")).to_have_value("stoop-tub")
    expect(field).to_have_value("18 in")
    expect(opened.locator("#verdict")).not_to_contain_text("Cannot")
    opened.locator("#undo").click()  # the way back leads over the file's head
    settled(opened)
    expect(field).to_have_value("19 in")
    expect(opened.locator("#notice")).to_be_hidden()
