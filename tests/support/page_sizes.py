"""A search for the largest box whose answer is given, and what it finds."""

from __future__ import annotations

import json
from typing import Any

from playwright.sync_api import Page, Route

from palewright.parameters.variant_files import load_variant


def size(width: float, height: float, volume: float) -> dict[str, Any]:
    """Return a size as the server tells it; mm."""
    panel = load_variant("stoop-tub").parameters.panel
    wall = load_variant("stoop-tub").parameters.wall
    return {
        "width_mm": width, "depth_mm": width, "height_mm": height, "volume_l": volume,
        "stile_mm": panel.stile_width, "rail_mm": panel.rail_width, "wall": wall.layout,
        "boards": 7, "lower_bound": 7, "yield": 0.9, "cost": 20.0, "weight_kg": 10.0,
        "look": "drawn", "warnings": [],
        "settings": [
            {"key": f"box.{side}", "value": f"{mm / 25.4:g} in"}
            for side, mm in (("width", width), ("depth", width), ("height", height))
        ],
    }  # fmt: skip


WARNED = [
    {"code": "PW906", "title": "a pull may tip it"},
    {"code": "PW911", "title": "a board is bent more than is assumed for it"},
]


def left_open(width: float, height: float) -> dict[str, Any]:
    sides = {"width_mm": width, "depth_mm": width, "height_mm": height}
    return {**sides, "lower_bound": 7, "upper_bound": 8}


FOUND = {
    "boards": 7,
    "sizes": [size(406.4, 431.8, 71.3), size(431.8, 381.0, 71.0)],
    "refused": [{"width_mm": 508.0, "depth_mm": 508.0, "height_mm": 203.2, "code": "PW102"}],
    "undecided": 2,
    "open": [left_open(431.8, 406.4), left_open(457.2, 406.4)],
    "unreached": [],
    "proven": False,
    "bound_l": 84.95,
}


def answer(*lines: dict[str, Any], whole: dict[str, Any] | None = None) -> bytes:
    """Return what the server sends in lines, and last what it found."""
    content = b"" if whole is None else json.dumps(whole).encode()
    end = [] if whole is None else [{"kind": "application/json", "bytes": len(content)}]
    return b"".join(json.dumps(one).encode() + b"\n" for one in (*lines, *end)) + content


def search(page: Page, body: bytes) -> None:
    """Press the button; the server's answer is given."""

    def fulfil(route: Route) -> None:
        route.fulfill(body=body, content_type="application/x-palewright-told")

    page.route("**/frontier", fulfil)
    page.locator("#frontier button", has_text="Search").click()
