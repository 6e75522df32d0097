"""The page without a browser: what requests are turned into, and what its workers survive."""

from __future__ import annotations

import hashlib
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.costing.shop_file import shipped_figures
from palewright.design import design
from palewright.parameters.schema import keys_of
from palewright.parameters.schema import settings as all_settings
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import print_length, read_length
from palewright_drawings.json_reports.verdicts import verdict_as_json
from palewright_drawings.page import request_guard, start_data
from palewright_drawings.page.control_groups import control_groups
from palewright_drawings.page.jobs.asked_variants import read_asked, saved_toml
from palewright_drawings.page.jobs.design_snapshot import snapshot, verdict_shown
from palewright_drawings.page.request_guard import refusal


def test_every_setting_has_exactly_one_control_with_its_range() -> None:
    controls = [one for group in control_groups() for one in group["controls"]]
    assert sorted(one["key"] for one in controls) == sorted(keys_of())
    for one in controls:
        known = all_settings()[one["key"]]
        assert (one["kind"], one["meaning"]) == (known.kind, known.meaning)
        if known.kind == "length":
            assert one["low"] == pytest.approx(read_length(known.low), abs=1e-4)
            assert one["high"] == pytest.approx(read_length(known.high), abs=1e-4)


def test_what_a_choice_offers_is_taken() -> None:
    for group in control_groups():
        for one in group["controls"]:
            for word in one["among"]:
                asked = read_asked({"variant": "stoop-tub", "changes": {one["key"]: word}})
                table, _, key = one["key"].partition(".")
                assert getattr(getattr(asked.parameters, table), key) == word


@pytest.mark.parametrize("name", sorted(shipped_variants()))
def test_a_snapshot_shows_the_boards_where_they_stand(name: str) -> None:
    box = design(load_variant(name).parameters, name)
    shown = json.loads(json.dumps(snapshot(box), allow_nan=False))
    assert [one["name"] for one in shown["boards"]] == list(box.box.boards)
    for one in shown["boards"]:
        grain, across, origin = (np.array(one[key]) for key in ("grain", "across", "origin"))
        out = np.cross(grain, across)
        corners = [
            origin + x * grain + y * across + z * out
            for z in (0.0, one["thickness"])
            for x, y in one["outline"]
        ]
        assert np.allclose(corners, box.box.boards[one["name"]].corners, atol=0.005)
    listed = [name for part in shown["parts"] for name in part["boards"]]
    assert sorted(listed) == sorted(box.box.boards)


def test_the_verdict_is_the_one_that_check_gives() -> None:
    box = read_asked({"variant": "gate-pair", "changes": {"panel.lip": "1/2 in"}}).design()
    told = verdict_as_json(box)
    shown = verdict_shown(box.cured)
    assert all(case.pop("faults") > 0 for case in shown["lumber"])  # the page's own, case by case
    assert shown == {key: told[key] for key in ("passed", "lumber", "findings")}
    assert told["passed"] is False
    nominal = snapshot(box)
    assert [case["case"] for case in nominal["lumber"]] == ["nominal"]


lengths = st.integers(10 * 16, 30 * 16).map(lambda n: print_length(n * 25.4 / 16))


@given(st.sampled_from(sorted(shipped_variants())), lengths, st.text(max_size=30), st.booleans())
@settings(max_examples=tried(40), deadline=None)
def test_saved_settings_open_as_the_same_box(name: str, width: str, note: str, fit: bool) -> None:
    note = "".join(sign for sign in note if sign.isprintable())
    changes = {"box.width": width, "product.note": note, "trellis.fit": fit, "saw.spare": 7}
    asked = read_asked({"variant": name, "changes": changes})
    text = saved_toml(asked)
    assert tomllib.loads(text)["base"] == name
    assert read_asked({"text": text}).parameters == asked.parameters
    assert saved_toml(read_asked({"text": text})) == text


@pytest.mark.parametrize(
    "file, name",
    [
        ("my tub.toml", "my-tub"),
        ("Porch_2.TOML", "Porch_2"),
        ("kübel.toml", "kübel"),
        ("../../etc/passwd", "etc-passwd"),
        ("C:\\boxes\\mine.toml", "C-boxes-mine"),
        (".hidden.toml", "hidden"),
        ("a\0b.toml", "ab"),
        ("..", "own-box"),
        (".toml", "own-box"),
        (None, "own-box"),
        (["x"], "own-box"),
    ],
)
def test_an_opened_file_names_its_box_and_no_other_folder(file: object, name: str) -> None:
    asked = read_asked({"text": 'base = "stoop-tub"', "file": file})
    assert asked.name == name
    assert Path("packets", name).resolve().parent == Path("packets").resolve()


@given(st.text(max_size=200))
@settings(max_examples=tried(200), deadline=None)
def test_no_name_of_a_file_leads_elsewhere(file: str) -> None:
    name = read_asked({"text": 'base = "stoop-tub"', "file": file}).name
    assert 0 < len(name) <= 60
    assert not name.startswith(".") and not set(name) & set("/\\:*?<>|\0 ")


@pytest.mark.parametrize(
    "text, line, told",
    [
        ("", 0, ("is empty", 'base = and one of "bean-tower"')),
        ("# mine\n\n  # to be done\n", 0, ("is empty",)),
        ('base = "stoop-tub"\n[box]\nwidth = 20 in\n', 3, ("not TOML", "a line is [table]")),
        ('[box]\nwidth = "9 in"\nwidth = "8 in"', 3, ("not TOML", "said once")),
        ('base = "stoop-tub"\n[box]\nwidth = "20 in', 3, ("not TOML", "in quotes")),
        ('base = "stoop-tub"\n[box]\nwidth = "900 in"', 3, ("allowed: 6 in to 96 in",)),
        ('# mine\nbase = "my-other"', 2, ("no shipped variant", "stoop-tub")),
        ("[[box]]\nwidth = 3", 0, ("write [box]",)),
    ],
)
def test_a_complaint_about_an_opened_file_names_it_its_line_and_what_is_allowed(
    text: str, line: int, told: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        read_asked({"text": text, "file": "mine.toml"})
    assert (caught.value.file, caught.value.line) == ("mine.toml", line)
    assert all(words in caught.value.message for words in told)


def test_a_change_in_the_page_is_not_laid_to_the_files_charge() -> None:
    with pytest.raises(InputError) as caught:
        read_asked({"text": 'base = "stoop-tub"', "changes": {"box.width": "900 in"}})
    assert (caught.value.file, caught.value.key) == ("", "box.width")


def test_an_opened_file_keeps_its_own_lumber() -> None:
    text = (
        'base = "stoop-tub"\n[lumber]\nboard = "barn one"\n[stock."barn one"]\n'
        'thickness = "3/4 in"\nwidth = "5-1/2 in"\nlength = "8 ft"\nprice = "2.10"\n'
    )
    asked = read_asked({"text": text, "changes": {"box.width": "20 in"}})
    again = read_asked({"text": saved_toml(asked)})
    assert again.parameters == asked.parameters
    assert again.parameters.stock["barn one"].thickness == pytest.approx(19.05)


@pytest.mark.parametrize(
    "request_, told",
    [
        ({"variant": "/etc/passwd"}, "no shipped variant"),
        ({"variant": "../variants/stoop-tub.toml"}, "no shipped variant"),
        ({"variant": "stoop-tup"}, "did you mean 'stoop-tub'"),
        ({"variant": ["stoop-tub"]}, "no shipped variant"),
        ({}, "no shipped variant"),
        ({"text": 'base = "/etc/hostname.toml"'}, "no shipped variant"),
        ({"text": "[box]\nwidth = 3"}, "has no unit"),
        ({"text": "a = " + "[" * 9000}, "not TOML"),
        ({"text": "x" * 300_000}, "larger than"),
        ({"text": 5}, "larger than"),
        ({"variant": "stoop-tub", "changes": {"box.widht": "1 in"}}, "did you mean 'box.width'"),
        ({"variant": "stoop-tub", "changes": {"box.width": {"a": 1}}}, "takes text"),
        ({"variant": "stoop-tub", "changes": [1]}, "by key"),
        ({"variant": "stoop-tub", "changes": {"box.width": "900 in"}}, "not allowed"),
        ({"text": "box = 3", "changes": {"box.width": "9 in"}}, "not a table"),
    ],
)
def test_what_cannot_be_used_is_one_clear_complaint(request_: dict[str, Any], told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_asked(request_)


def test_the_bundle_was_built_from_the_sources_beside_it() -> None:
    """After a change to the front end: npm ci && npm run build in page/web."""
    folder = Path(request_guard.__file__).parent
    web = folder / "web"
    own = [path.relative_to(web).as_posix() for path in web.rglob("*.js")]
    names = sorted(["package-lock.json", *(one for one in own if "node_modules" not in one)])
    digest = hashlib.sha256()
    for name in names:
        digest.update(f"{name}\n".encode() + (web / name).read_bytes())
    bundle = (folder / "static" / "page.js").read_text(encoding="utf-8")
    assert bundle.startswith(f"/* sources {digest.hexdigest()} */")
    assert "SPDX-License-Identifier: MIT" in bundle
    assert "MIT License" in (folder / "static" / "three-licence.txt").read_text(encoding="utf-8")


OWN = {"Host": "127.0.0.1:80", "Content-Type": "application/json"}


@pytest.mark.parametrize(
    "headers, refused",
    [
        ({}, False),
        ({"Host": "localhost:80"}, False),
        ({"Origin": "http://127.0.0.1:80", "Sec-Fetch-Site": "same-origin"}, False),
        ({"Host": "example.org"}, True),
        ({"Host": "127.0.0.1"}, True),
        ({"Host": "127.0.0.1:80.example.org"}, True),
        ({"Host": None}, True),
        ({"Origin": "http://example.org"}, True),
        ({"Origin": "null"}, True),
        ({"Origin": "https://127.0.0.1:80"}, True),
        ({"Sec-Fetch-Site": "cross-site"}, True),
        ({"Content-Type": "text/plain"}, True),
    ],
)
def test_only_the_page_itself_is_answered(headers: dict[str, str | None], refused: bool) -> None:
    assert bool(refusal({**OWN, **headers}.get, "POST", 80)) == refused


def test_a_text_that_is_nested_too_deeply_is_told_in_our_words() -> None:
    with pytest.raises(InputError, match="nested too deeply"):
        read_asked({"text": "a = " + 3000 * "[" + 3000 * "]", "file": "deep.toml"})


def test_pictures_are_there_only_with_all_that_they_need(monkeypatch: pytest.MonkeyPatch) -> None:
    there = {"mitsuba"}
    monkeypatch.setattr(start_data, "find_spec", lambda name: name in there)
    figures = shipped_figures()
    assert not start_data.start_data(figures)["pictures"]["installed"]
    there |= {"mitsuba_oidn", "PIL"}
    assert start_data.start_data(figures)["pictures"]["installed"]
