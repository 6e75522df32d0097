"""The shelf in the page: designs kept in this browser by name, their versions, a batch of them."""

from __future__ import annotations

import json
import struct
from base64 import b64decode
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from page_browsers import settled
from page_process import PageServer
from palewright.costing.batch_price import price_batch
from palewright.costing.shop_file import shipped_figures
from palewright.design import design
from palewright.parameters.variant_files import load_variant


def typed(page: Page, key: str, text: str) -> None:
    field = page.locator(f"[id='set-{key}']")
    field.fill(text)
    field.press("Tab")
    settled(page)


def shelve(page: Page, name: str | None) -> None:
    """Keep the box, by a name where it is asked for one."""
    page.locator("#shelve").click()
    question = page.get_by_role("dialog")
    if name is not None:
        question.get_by_role("textbox").fill(name)
    else:
        expect(question.get_by_role("textbox")).to_have_count(0)
    page.evaluate("document.getElementById('said').textContent = ''")
    question.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator("#said")).to_contain_text("Kept on the shelf")


def stored(page: Page) -> list[dict[str, Any]]:
    return list(json.loads(page.evaluate("localStorage.getItem('palewright-shelf')")))


def test_designs_are_kept_by_name_with_versions_and_survive_a_reload(opened: Page) -> None:
    shelve(opened, None)  # as shipped it has a name
    typed(opened, "box.width", "20 in")
    shelve(opened, "Wide one")
    expect(opened.locator("#title")).to_have_text("Wide one")
    typed(opened, "box.width", "21 in")
    shelve(opened, None)
    rows = opened.locator("#shelf li")
    expect(rows).to_have_count(2)
    (wide, stoop) = stored(opened)
    assert (wide["name"], stoop["name"]) == ("Wide one", "Stoop tub")
    assert [one["told"].split(" × ")[0] for one in wide["versions"]] == ["21", "20"]
    picture = b64decode(wide["versions"][0]["picture"].partition(",")[2])
    assert picture[:4] == b"\x89PNG"
    assert struct.unpack(">II", picture[16:24]) == (176, 132)
    opened.reload()
    settled(opened)
    opened.get_by_role("button", name="open Stoop tub").click()
    expect(opened.locator("[id='set-box.width']")).to_have_value("19 in")
    settled(opened)
    opened.get_by_role("combobox", name="versions of Wide one").select_option("1")
    expect(opened.locator("[id='set-box.width']")).to_have_value("20 in")
    settled(opened)
    opened.get_by_role("button", name="remove Wide one").click()
    opened.get_by_role("dialog").get_by_role("button", name="Remove", exact=True).click()
    expect(rows).to_have_count(1)
    opened.evaluate("localStorage.clear()")


def test_a_shelf_that_is_spoilt_or_full_breaks_nothing(opened: Page) -> None:
    opened.evaluate("localStorage.setItem('palewright-shelf', '{nonsense')")
    opened.reload()
    settled(opened)
    expect(opened.locator("#shelf-empty")).to_be_visible()
    opened.evaluate(
        "() => { Storage.prototype.setItem = () => { throw new DOMException('full'); }; }"
    )
    opened.locator("#shelve").click()
    opened.get_by_role("dialog").get_by_role("button", name="Keep", exact=True).click()
    expect(opened.locator("#said")).to_contain_text("Not kept")
    opened.evaluate("localStorage.clear()")


def asked(variant: str, count: object, **changes: str) -> dict[str, Any]:
    return {"variant": variant, "changes": changes, "count": count}


@pytest.mark.thorough
def test_a_batch_is_the_commands_own_plan_and_price(server: PageServer) -> None:
    boxes = [asked("stoop-tub", 3), asked("sill-box", 2, **{"box.width": "30 in"})]
    status, found = server.ask("batch", boxes=boxes)
    assert status == 200
    batch = [
        (design(load_variant("stoop-tub").parameters, "stoop-tub"), 3),
        (design(load_variant("sill-box", ["box.width=30 in"]).parameters, "sill-box"), 2),
    ]
    shop, _ = shipped_figures()
    price = price_batch(batch, shop)
    assert found["cost"] == shop.coins.text(price.cost)
    assert found["boards"] == sum(plan.plan.boards for plan in price.plans)
    assert [one["count"] for one in found["boxes"]] == [3, 2]
    assert sum(one["count"] for one in found["layouts"]) == found["boards"]
    pieces = sum(one["count"] * len(one["pieces"]) for one in found["layouts"])
    assert pieces == 3 * len(batch[0][0].box.boards) + 2 * len(batch[1][0].box.boards)


@pytest.mark.parametrize(
    "boxes",
    [[], {}, [asked("stoop-tub", 0)], [asked("stoop-tub", True)], [asked("stoop-tub", 101)], [1],
     [asked("nobody", 2)], [asked("sill-box", 1)] * 25],
)  # fmt: skip
def test_a_batch_that_is_none_is_refused(server: PageServer, boxes: object) -> None:
    status, told = server.ask("batch", boxes=boxes)
    assert status == 422
    assert told["error"]["message"]


def test_a_batch_is_priced_in_the_page(opened: Page) -> None:
    opened.locator("#variant").select_option("sill-box")
    settled(opened)
    shelve(opened, None)
    opened.get_by_role("spinbutton", name="how many Sill box").fill("2")
    opened.get_by_role("button", name="Cut and price this batch").click()
    told = opened.locator("#batched")
    expect(told).to_contain_text("hours of work")
    expect(told.locator("tbody tr")).to_contain_text("Sill box")
    count = int(told.inner_text().split(" boards")[0])
    captions = told.locator("figcaption").all_inner_texts()
    assert sum(int(text.split(" ×")[0]) for text in captions) == count
    opened.evaluate("localStorage.clear()")
