"""The picture at rest, path-traced over the stage: what the server traces, when the page asks."""

from __future__ import annotations

import base64
import io
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Page, Request, Route, expect
from scipy.spatial import ConvexHull

from page_browsers import SETTLED_PRICE, settled
from page_process import PageServer
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright_drawings.page import request_guard
from palewright_drawings.page.jobs.traced_views import (
    _CLEAR,
    _FADES,
    _PITCH,
    _STUMP,
    _SUN,
    _WIDTH,
    PASSES,
    read_view,
)

WEB = Path(request_guard.__file__).parent / "web" / "stage"

VIEW: dict[str, Any] = {
    "at": [-900.0, -1100.0, 700.0], "towards": [0.0, 0.0, 180.0], "angle": 40.0, "width": 300,
    "height": 210, "look": "bare", "grown": False, "pot": [9000.0, 0.0], "reach": 800.0,
    "middle": [0.0, 0.0],
}  # fmt: skip
"""A tub seen from its left; the pot is out of the picture."""


def seen(view: dict[str, Any], points: Any) -> Any:
    """Return where points (n, 3), mm, come to lie: pixels, by the pinhole's own arithmetic."""
    ahead = np.subtract(view["towards"], view["at"])
    ahead = ahead / np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    up = np.cross(right, ahead)
    away = np.asarray(points) - view["at"]
    wide, high = view["width"], view["height"]
    scale = max(wide, high) / 2 / math.tan(math.radians(view["angle"]) / 2) / (away @ ahead)
    return np.column_stack([wide / 2 + scale * (away @ right), high / 2 - scale * (away @ up)])


@pytest.mark.thorough
def test_the_box_is_traced_where_the_eye_sees_it_and_what_is_far_is_clear(
    server: PageServer,
) -> None:
    """Opaque is what the boards cover: each a convex body, drawn as the hull of its corners."""
    body = {"page": "t", "variant": "stoop-tub", "tell": True, "view": VIEW}
    _, _, content = server.send(
        "POST", "/view", json.dumps(body).encode(), Content_Type="application/json"
    )
    lines = []
    while not lines or "kind" not in lines[-1]:
        line, _, content = content.partition(b"\n")
        lines.append(json.loads(line))
        assert "error" not in lines[-1], lines[-1]
    parts = [one["part"] for one in lines if "part" in one]
    assert [one["samples"] for one in parts] == np.cumsum(PASSES)[:-1].tolist()
    assert lines[-1] == {"kind": "image/webp", "bytes": len(content)}
    told = [Image.open(io.BytesIO(base64.b64decode(one["webp"]))) for one in parts]
    pictures = [np.asarray(one.convert("RGBA")) for one in (*told, Image.open(io.BytesIO(content)))]
    clear = pictures[-1][..., 3]
    assert clear.shape == (210, 300)
    assert all(np.array_equal(one[..., 3], clear) for one in pictures)
    assert clear[0].max() == 0  # over the deck's far end there is nothing
    covered = Image.new("1", (4 * 300, 4 * 210))
    for board in design(load_variant("stoop-tub").parameters).box.boards.values():
        spots = 4 * seen(VIEW, board.corners)
        hull = spots[ConvexHull(spots).vertices]
        ImageDraw.Draw(covered).polygon([(x, y) for x, y in hull], fill=1)
    box = np.asarray(covered.convert("L").resize((300, 210), Image.Resampling.BOX))
    solid, sure = clear > 250, (box < 60) | (box > 195)  # edges go through the other pixels
    assert (solid == (box > 127))[sure].mean() > 0.997
    ground = (clear > 100) & (clear < 230)
    assert ground.mean() > 0.08  # the deck is a little clear, and fades
    # wood is no grey: red over green over blue, as light as a picture is
    red, green, blue = pictures[-1][solid][:, :3].mean(axis=0)
    assert 90 < blue < green < red < 230


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("at", [0.0, 0.0]), ("at", VIEW["towards"]), ("at", [0, 0, 1e9]), ("at", "here"),
        ("angle", 0), ("angle", float("nan")), ("width", True), ("width", 1e9), ("look", "gold"),
        ("pot", None), ("reach", -1.0), ("middle", [0.0, "x"]),
    ],
)  # fmt: skip
def test_an_eye_that_sees_nothing_is_refused(key: str, value: object) -> None:
    read_view(VIEW)
    with pytest.raises(InputError) as told:
        read_view({**VIEW, key: value})
    assert told.value.key in ("view", "look")
    with pytest.raises(InputError):
        read_view([VIEW])


def test_a_large_stage_is_traced_smaller_in_its_own_shape() -> None:
    camera = read_view({**VIEW, "width": 3600, "height": 1800}).camera
    assert (camera.width, camera.height) == (1200, 600)


def webp(colour: tuple[int, int, int]) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (8, 4), colour).save(held, "WEBP", lossless=True)
    return held.getvalue()


def price_settled(route: Route) -> None:
    price = {"currency": "USD", "figures": "", "settled": True, "ask": "9.00", "cost": "8.00"}
    route.fulfill(json={"price": price})


@pytest.mark.parametrize("unopened", [{"reduced_motion": "no-preference"}], indirect=True)
def test_at_rest_the_traced_picture_is_laid_over_and_given_up_at_the_next_touch(
    unopened: Page, server: PageServer
) -> None:
    """The camera that is asked for is the stage's: a handle lies where it sees that place."""
    page = unopened
    page.context.unroute(SETTLED_PRICE)
    page.route(SETTLED_PRICE, price_settled)
    held: list[Route] = []
    page.route("**/view", lambda route: held.append(route))
    ended: list[Request] = []
    page.on("requestfailed", lambda one: ended.append(one))
    with page.expect_request("**/view") as sent:
        page.goto(server.address)
        settled(page)
    view = sent.value.post_data_json["view"]
    assert read_view(view).look == "bare"
    canvas, picture = page.locator("#canvas"), page.locator("#traced")
    grip = page.get_by_role("slider", name="Width of the box").bounding_box()
    stage = canvas.bounding_box()
    assert grip and stage
    # seen from the front left: to the right, before the box, 58 mm off it
    (spot,) = seen(view, [[19 * 12.7, -(19 * 12.7 + 58), 0.0]]).tolist()
    middle = grip["x"] + grip["width"] / 2 - stage["x"], grip["y"] + grip["height"] / 2 - stage["y"]
    assert spot == pytest.approx(middle, abs=1.5)
    expect(picture).to_be_hidden()
    some = {"part": {"samples": 1, "webp": base64.b64encode(webp((200, 0, 0))).decode()}}
    whole = webp((0, 200, 0))
    end = {"kind": "image/webp", "bytes": len(whole)}
    body = b"".join(json.dumps(one).encode() + b"\n" for one in (some, end)) + whole
    held[0].fulfill(body=body, content_type="application/x-palewright-told")
    expect(picture).to_be_visible()
    expect(canvas).to_have_attribute("data-traced", "all")
    # the next touch takes it away, and what is under way with it
    with page.expect_request("**/view"):
        canvas.focus()
        page.keyboard.press("ArrowLeft")
        expect(picture).to_be_hidden()
        expect(canvas).to_have_attribute("data-traced", "")
    with page.expect_event("requestfailed", lambda one: one.url.endswith("/view")):
        page.keyboard.press("ArrowLeft")
    expect(picture).to_be_hidden()


def test_without_the_renderer_nothing_is_traced(unopened: Page, server: PageServer) -> None:
    def bare(route: Route) -> None:
        told = route.fetch().json()
        told["pictures"]["installed"] = False
        route.fulfill(json=told)

    unopened.route("**/start", bare)
    unopened.goto(server.address)
    settled(unopened)
    expect(unopened.locator("#traced")).to_have_count(0)
    expect(unopened.locator("#picture-missing")).to_be_visible()


def test_sun_deck_and_stump_are_those_of_the_stage() -> None:
    """The same numbers stand in the scripts: else the picture would jump as it is laid over."""
    said = {
        "light": [f"SUN = {{ aside: {_SUN[0]}, above: {_SUN[1]}"],
        "ground": [f"[PITCH, WIDTH, THICK, EASE] = [{_PITCH:g}, {_WIDTH:g}", f"CLEAR = {_CLEAR};"],
        "wood": [f"smoothstep({_FADES} * fading.z, fading.z"],
        "contents": [f"STUMP = {_STUMP};"],
    }
    for name, texts in said.items():
        script = (WEB / f"{name}.js").read_text(encoding="utf-8")
        for text in texts:
            assert text in script, (name, text)
