"""What the page shows beside sizes and verdict, in a browser: plans, clearances, files, paper."""

from __future__ import annotations

import io
import re
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, Route, expect

from case_lists import mostly_thorough
from page_browsers import TOO_SMALL, at_rest, open_group, picture, planted, settled
from palewright.design import design
from palewright.fit.findings import CODES
from palewright.parameters.variant_files import load_variant
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest
from shipped_designs import shipped

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def fact(page: Page, name: str) -> list[str]:
    """Return what stands in a row of the facts: now, and kept if there is one."""
    return page.locator("#facts tr", has_text=name).locator("td").all_inner_texts()


def typed(page: Page, key: str, text: str) -> None:
    field = page.locator(f"[id='set-{key}']")
    if not field.is_visible():
        page.evaluate("for (const d of document.querySelectorAll('.group')) d.open = true")
    field.fill(text)
    field.press("Tab")
    settled(page)


@pytest.mark.thorough  # the quick ones are in test_page_kept
def test_a_kept_box_is_compared_and_comes_back(opened: Page) -> None:
    before = fact(opened, "outside")[0]
    opened.locator("#keep").click()
    typed(opened, "box.width", "30 in")
    typed(opened, "panel.lip", "1/2 in")
    assert fact(opened, "outside")[1] == before
    assert fact(opened, "fit") == ["does not fit", "fits"]
    for name in ("boards to buy", "empty weight", "filled, watered", "costs", "ask", "faults"):
        now, kept = fact(opened, name)
        assert now != kept, name
    expect(opened.locator("#facts tr.other", has_text="outside")).to_have_count(1)
    expect(opened.locator("#facts tr.other", has_text="screws")).to_have_count(
        int(len(set(fact(opened, "screws"))) == 2)
    )
    opened.locator("#take").click()
    settled(opened)
    for row in opened.locator("#facts tbody tr").all():
        now, kept = row.locator("td").all_inner_texts()
        assert now == kept


def leader_ends(page: Page) -> list[tuple[float, float]]:
    """Return where each leader begins: pixels in the picture."""
    paths = [line.get_attribute("d") or "" for line in page.locator("#tags .leader").all()]
    found = [path[1:].split("L")[0].split() for path in paths]
    return [(float(x), float(y)) for x, y in found]


@pytest.mark.thorough
def test_clearances_and_faults_stand_on_the_boards(opened: Page) -> None:
    gaps = opened.locator("#tags .tag.gap")
    expect(gaps).to_have_count(0)
    at_rest(opened)
    opened.locator("#gaps").check()
    expect(gaps).to_have_count(4)
    assert set(gaps.all_text_contents()) == {"lip 3/16 in"}
    size = opened.locator("#canvas").bounding_box()
    assert size
    ends = leader_ends(opened)
    assert all(0 < x < size["width"] and 0 < y < size["height"] for x, y in ends)
    assert len(set(ends)) == 4
    opened.locator("#canvas").focus()
    opened.keyboard.press("ArrowLeft")
    picture(opened)  # waits until it is drawn
    assert leader_ends(opened) != ends  # they turn with the box
    typed(opened, "panel.lip", "1/2 in")
    faults = opened.locator("#tags .tag.fault")
    told = faults.all_text_contents()
    assert told.count("lip short by 1/8 in") == 4
    assert any(text.startswith(CODES["PW102"].title) for text in told)
    opened.locator("#marks").uncheck()
    assert faults.all_text_contents() == ["lip short by 1/8 in"] * 4


def test_parts_that_are_pulled_apart_have_their_letters(opened: Page) -> None:
    tags = opened.locator("#tags .tag.part")
    expect(tags).to_have_count(0)
    opened.locator("#explode").fill("0.9")
    marks = [part.mark for part in shipped("stoop-tub").parts]
    expect(tags).to_have_count(len(marks))
    # in the picture, or in the list of what has no room there
    seen = opened.locator("#tags .tag.part:visible")
    expect(seen.first).to_be_visible()
    at_rest(opened)
    listed = [text.split(":")[0] for text in opened.locator("#more li").all_text_contents()]
    assert sorted([*seen.all_text_contents(), *listed]) == sorted(marks)
    opened.locator("#explode").fill("0")
    expect(tags).to_have_count(0)


def test_a_finding_is_shown_on_its_boards_and_in_the_lists(opened: Page) -> None:
    typed(opened, "floor.gap", "1/16 in")
    item = opened.locator("#findings li.warning").first
    code = item.locator(".kind").inner_text().split()[1]
    message = item.locator("p").nth(1).inner_text()
    item.get_by_role("button", name="Show").click()
    expect(opened.locator("#picked")).to_contain_text(message)
    expect(opened.locator("#tags .tag.warning")).to_have_text(CODES[code].title)
    box = design(load_variant("stoop-tub", ["floor.gap=1/16 in"]).parameters, "stoop-tub")
    found = next(one for one in box.verdict.findings if one.code == code)
    marks = {part.mark for part in box.parts if set(part.boards) & set(found.boards)}
    heading = opened.locator("#picked strong")
    if len(marks) > 1:
        expect(heading).to_have_text(f"{len(found.boards)} boards: {', '.join(sorted(marks))}")
    else:
        (role,) = {box.box.boards[name].role for name in found.boards}
        expect(heading).to_have_text(f"{min(marks)}: {len(found.boards)} {role}s")
    assert set(opened.locator("#parts tr.held button").all_inner_texts()) == marks
    opened.keyboard.press("Escape")
    expect(opened.locator("#tags .tag")).to_have_count(0)


def test_a_row_that_stays_while_the_box_changes_shows_the_boards_of_its_new_part(
    opened: Page,
) -> None:
    marks = [
        {part.mark: part for part in design(load_variant("stoop-tub", typed).parameters).parts}
        for typed in ([], ["floor.kind=none"])
    ]
    mark = next(mark for mark in marks[1] if marks[0][mark].role != marks[1][mark].role)
    opened.locator("[id='set-floor.kind']").select_option("none")
    settled(opened)
    opened.locator("#parts button", has_text=re.compile(f"^{mark}$")).click()
    part = marks[1][mark]
    expect(opened.locator("#picked strong")).to_have_text(f"{mark}: {part.count} {part.role}s")
    opened.keyboard.press("Escape")


def test_a_picked_board_is_found_in_its_board_of_stock(opened: Page) -> None:
    opened.locator("#explode").fill("0.6")
    box = opened.locator("#canvas").bounding_box()
    assert box
    at_rest(opened)
    for share in (0.5, 0.45, 0.55, 0.4, 0.6, 0.65):
        opened.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * share)
        if opened.locator("#picked").is_visible():
            break
    told = opened.locator("#picked").inner_text()
    number = int(told.split("From board ")[1].split(",")[0])
    own = opened.locator("#layouts .piece.own")
    expect(own).to_have_count(1)
    caption = (
        opened.locator("#layouts figure", has=opened.locator(".piece.own"))
        .locator("figcaption")
        .inner_text()
    )
    numbers = [int(word) for word in caption.partition(" · board")[2].split() if word.isdigit()]
    assert numbers[0] <= number <= numbers[-1]
    assert own.get_attribute("data-part") == told.partition(":")[0]
    # a piece of a layout picks its boards in turn
    other = opened.locator("#layouts .piece:not(.held)").first
    mark = other.get_attribute("data-part")
    other.click()
    expect(opened.locator("#parts tr.held button")).to_have_text(mark or "")


def test_saw_settings_are_listed_and_a_parts_own_are_marked(opened: Page) -> None:
    opened.locator("summary", has_text="Saw settings").click()
    rows = opened.locator("#saw-list tbody tr")
    numbers = [row.locator("td").first.inner_text() for row in rows.all()]
    assert numbers[0] == ""  # board ends are squared without a setting
    assert numbers[1:] == [
        str(number) for number in range(1, int(fact(opened, "saw settings")[0]) + 1)
    ]
    part = opened.locator("#parts button").nth(2)
    mark = part.inner_text()
    part.click()
    gives = opened.locator("#saw-list tr.held td:last-child").all_inner_texts()
    assert gives
    assert all(re.search(rf"\d+ {mark}\b", text) for text in gives)


def test_a_first_plan_is_there_before_its_proof(opened: Page) -> None:
    held: list[Route] = []
    opened.route("**/cut", lambda route: held.append(route))
    opened.locator("#variant").select_option("gate-pair")
    expect(opened.locator("#plan-state")).to_contain_text("proof follows")
    expect(opened.locator("#layouts")).to_have_class("busy")
    first = opened.locator("#layouts figure").count()
    assert first >= 1
    assert int(fact(opened, "boards to buy")[0].split(",")[0]) >= 12
    for route in held:
        route.continue_()
    opened.unroute("**/cut")
    settled(opened)
    expect(opened.locator("#plan-state")).not_to_contain_text("proof follows")


@pytest.mark.thorough
def test_finish_and_plants_change_the_picture_and_the_way_back_is_exact(opened: Page) -> None:
    bare = picture(opened)
    seen = {bare}
    for finish in ("weathered", "ink-paint", "oil"):
        opened.locator("#look").select_option(finish)
        seen.add(picture(opened))
    opened.locator("#look").select_option("bare")
    planted(opened)
    seen.add(picture(opened))
    assert len(seen) == 5
    opened.locator("#grown").uncheck()
    assert picture(opened) == bare
    opened.locator("#variant").select_option("winter-tub")
    settled(opened)
    expect(opened.locator("#grown-word")).to_have_text("With its tree")


def test_lumber_is_chosen_by_list(opened: Page) -> None:
    open_group(opened, "Lumber")
    before = fact(opened, "empty weight")
    opened.locator("[id='set-lumber.board']").select_option("fence-58-cedar")
    settled(opened)
    assert fact(opened, "empty weight") != before
    opened.locator("#parts button").first.click()
    expect(opened.locator("#picked")).to_contain_text("· fence-58-cedar")


@pytest.mark.parametrize("kind", mostly_thorough(["cutlist", "flat"], "flat"))
def test_one_file_is_downloaded(opened: Page, tmp_path: Path, kind: str) -> None:
    opened.locator("#file").select_option(kind)
    with opened.expect_download() as got:
        opened.locator("#files button").click()
    got.value.save_as(tmp_path / "got")
    content = (tmp_path / "got").read_bytes()
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    made = dict(WRITERS[kind].files(PacketRequest(box), Silent()))
    if kind == "cutlist":
        assert got.value.suggested_filename == "stoop-tub-cutlist.csv"
        assert content == made["cutlist.csv"]
    else:
        assert got.value.suggested_filename == "stoop-tub-flat.zip"
        assert content[:2] == b"PK"
    expect(opened.locator("#file-job")).to_contain_text("downloaded")


def test_a_picture_is_rendered_in_the_background_and_a_long_one_is_stopped(
    opened: Page, tmp_path: Path
) -> None:
    assert find_spec("mitsuba") is not None, "the tests need the extra pictures"
    job = opened.locator("#picture-job")
    opened.locator("#pixels").select_option("2000")
    render = opened.get_by_role("button", name="Render in the background")
    render.click()
    expect(job.locator("progress")).to_be_visible()
    typed(opened, "box.width", "18 in")  # the page lives on meanwhile
    job.get_by_role("button", name="stop").click()
    expect(job).to_contain_text("Stopped.")
    expect(job.locator("progress")).to_be_hidden()
    # a stamp's size, that the test may end soon
    opened.evaluate("document.querySelector('#pixels').selectedOptions[0].value = '64'")
    render.click()
    shown = opened.locator("#pictured img")
    expect(shown).to_be_visible()
    expect(job).to_contain_text("The picture is ready.")
    assert shown.evaluate("one => one.decode().then(() => one.naturalWidth)") == 64
    with opened.expect_download() as got:
        opened.get_by_role("button", name="Download the picture").click()
    got.value.save_as(tmp_path / "p.png")
    with Image.open(tmp_path / "p.png") as image:
        assert (image.format, image.size) == ("PNG", (64, 64))


@pytest.mark.parametrize("opened", [PHONE], indirect=True)
def test_on_a_phone_the_picture_stays_and_fingers_turn_it(opened: Page) -> None:
    tools = opened.context.new_cdp_session(opened)
    opened.evaluate("window.scrollTo(0, document.body.scrollHeight / 2)")
    box = opened.locator("#canvas").bounding_box()
    band = opened.locator(".band").bounding_box()
    assert box and band
    assert band["y"] == pytest.approx(0, abs=1)
    assert box["y"] == pytest.approx(band["height"], abs=1)
    assert box["y"] + box["height"] < 844 / 2  # more than half is left for what is set
    for told in ("#verdict", "#sum-boards", "#sum-costs", "#sum-weight"):
        place = opened.locator(told).bounding_box()
        assert place and 0 <= place["y"] <= place["y"] + place["height"] <= band["height"]
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def touch(kind: str, *points: tuple[float, float]) -> None:
        listed = [{"x": px, "y": py, "id": i} for i, (px, py) in enumerate(points)]
        tools.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": listed})

    still = picture(opened)
    touch("touchStart", (x, y))
    for step in range(1, 5):
        touch("touchMove", (x + 15 * step, y))
    touch("touchEnd")
    turned = picture(opened)
    touch("touchStart", (x - 20, y), (x + 20, y))
    for step in range(1, 5):
        touch("touchMove", (x - 20 - 10 * step, y), (x + 20 + 10 * step, y))
    touch("touchEnd")
    near = picture(opened)
    assert len({still, turned, near}) == 3
    assert opened.evaluate("window.scrollY") > 0  # the fingers on the picture did not scroll


@pytest.mark.thorough  # the quick one is with all that is open, in `test_colours`
@pytest.mark.parametrize("opened", [{}, PHONE], indirect=True, ids=["desktop", "phone"])
def test_nothing_to_press_is_too_small(opened: Page) -> None:
    assert opened.locator("button:visible").count() > 15
    assert opened.evaluate(TOO_SMALL) == []


def test_at_four_times_the_type_nothing_sticks_out(opened: Page) -> None:
    """WCAG 2.2, 1.4.10: 320 px wide is what 1280 px are at four times the size."""
    opened.set_viewport_size({"width": 320, "height": 700})
    opened.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    opened.locator("#parts button").first.click()
    assert opened.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.thorough
@pytest.mark.parametrize("opened", [{"color_scheme": "dark"}], indirect=True)
def test_paper_shows_picture_sizes_findings_parts_and_layouts_on_its_first_page(
    opened: Page,
) -> None:
    import pypdfium2

    picture(opened)  # has it painted
    document = pypdfium2.PdfDocument(opened.pdf(format="Letter", print_background=True))
    assert len(document) == 2
    first, second = (page.get_textpage().get_text_bounded() for page in document)
    for words in ("Stoop tub", "19 × 19 × 16 in", "PW305", "16-1/8 in", "board 8"):
        assert words in first, words
    assert "Saw settings" in second
    for hidden in ("Download", "Search", "Open a file"):
        assert hidden not in first + second
    image = document[0].render(scale=1).to_pil().convert("RGB")
    colours: Any = image.getcolors(1 << 20) or []
    total = image.width * image.height
    brown = sum(n for n, (r, g, b) in colours if r > g > b and r - b > 40)
    light = sum(n for n, rgb in colours if min(rgb) > 240)
    assert brown > 0.04 * total  # the box itself
    assert light > 0.6 * total  # paper, whatever the screen's scheme
    assert io.BytesIO(opened.pdf(format="A4")).getbuffer().nbytes > 10_000
