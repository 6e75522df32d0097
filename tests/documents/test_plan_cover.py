"""What the plan's cover shows and says, and how long the plan is."""

from __future__ import annotations

import io
import json
import re
from typing import Any

import numpy as np
import pikepdf
import pytest
from PIL import Image

from case_lists import mostly_thorough
from measured_boxes import measured
from palewright.parameters.tables import PlanTable
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import read_length
from palewright.sawing.numbered_plans import numbered_plans
from palewright_drawings.documents.plan.content import plan_content, plan_pdf
from palewright_drawings.documents.plan.cover import Photo
from palewright_drawings.documents.plan.first_build import first_build_minutes, skill_text
from palewright_drawings.documents.plan.sold_words import at_a_glance
from palewright_drawings.json_reports.report import report_file
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet import pictures
from palewright_drawings.packet.writers import WRITERS, PacketRequest
from pdf_pages import page_sizes, page_texts
from shipped_designs import shipped, sold_plan

VARIANTS = mostly_thorough(shipped_variants(), "terrace-crate")
LEAST, MOST = 12, 18
"""Pages of the plan that is sold."""

COLORS = PlanTable.model_json_schema()["properties"]["color"]["enum"]


@pytest.mark.parametrize("name", VARIANTS)
def test_the_plan_that_is_sold_keeps_to_its_pages(name: str) -> None:
    assert LEAST <= len(page_sizes(sold_plan(name))) <= MOST


@pytest.mark.parametrize("name", VARIANTS)
def test_at_a_glance_is_what_is_measured(name: str) -> None:
    of, solids = shipped(name), measured(name)
    facts = dict(at_a_glance(of, numbered_plans(of.saw_plans)))
    system = of.parameters.product.units
    unit, step = ("in", 25.4 / 16) if system == "inch" else ("mm", 1.0)

    def sizes(told: str) -> list[float]:
        plain = re.sub(r" (full|bare)", "", told).removesuffix(f" {unit}")
        return [read_length(f"{one} {unit}") for one in plain.split(" × ")]

    outside = sizes(facts["outside, over the cap"])
    np.testing.assert_allclose(outside, solids.overall, atol=step / 2 + 0.01)
    if of.parameters.box.kind == "planter":
        filling = "for pots" if name == "porch-cube" else "of soil"
        *inside, deep = sizes(facts[f"inside, with the depth {filling}"])
        np.testing.assert_allclose(inside, solids.inside, atol=step / 2 + 0.01)
        assert 0 < deep < solids.overall[2] - solids.floor
    report = json.loads(report_file(of))
    assert facts["put together with"] == f"{len(report['screw_places'])} screws"
    cut = sum(one.plan.boards for one in of.saw_plans)
    assert sum(map(int, re.findall(r"(?:^|, )(\d+) ", facts["cut from"]))) == cut
    mass = float(re.findall(r"[\d.]+", facts["weight, empty"])[0])
    assert mass * (0.45359237 if system == "inch" else 1.0) == pytest.approx(
        float(report["empty_mass_kg"]), rel=0.03, abs=0.5
    )
    assert {"time for a first one", "skill", "main tools"} <= facts.keys()
    told = page_texts(sold_plan(name))[0]
    for what, how_much in facts.items():
        assert what in told and re.sub(r"\W", "", how_much) in re.sub(r"\W", "", told)


SETTING, CUT, BOARD, SCREW, REST = 3.0, 0.8, 2.0, 1.5, 90.0
"""Minutes of a first build: judgement of the authors, no source."""


@pytest.mark.parametrize("name", VARIANTS)
def test_time_of_a_first_build_is_counted_on_the_printed_plan(name: str) -> None:
    """Settings and cuts as the saw list prints them, boards of the STEP file, screws bought for."""
    data: Any = plan_content(shipped(name), Silent())
    lines = [line for one in data["saw"] for step in one["steps"] for line in step["lines"]]
    settings = sum(bool(line["number"]) for line in lines)
    cuts = sum(int(line["cuts"].split()[0]) for line in lines)
    screws = sum(int(row["count"]) for row in data["needs"]["screws"])
    minutes = SETTING * settings + CUT * cuts + BOARD * measured(name).count + SCREW * screws + REST
    plans = numbered_plans(shipped(name).saw_plans)
    assert first_build_minutes(shipped(name), plans) == pytest.approx(minutes)
    hours = int(re.findall(r"about (\d+) hours", dict(at_a_glance(shipped(name), plans))[
        "time for a first one"])[0])  # fmt: skip
    assert abs(hours * 60 - minutes) <= 30


def test_skill_is_told_by_what_is_sawn() -> None:
    plain = ["face.front=plain", "face.sides=plain", "face.back=plain", "cap.style=butt"]
    wide = ["wall.safe_rip=2 in", "floor.cleat_width=2 in"]
    assert "square cuts alone" in skill_text(shipped("terrace-crate")) or "narrow" in skill_text(
        shipped("terrace-crate")
    )
    assert "slanted ends" in skill_text(shipped("stoop-tub"))
    told = skill_text(shipped("stoop-tub", *plain, *wide))
    assert "slanted" not in told
    assert "narrow strips" in skill_text(shipped("picket-tub"))


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance after WCAG 2.1."""
    shares = [one / 255 for one in colour]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def band(pdf: bytes) -> tuple[int, int, int]:
    """The colour of the cover below its picture, at the left edge of the page."""
    import pypdfium2

    page = pypdfium2.PdfDocument(pdf)[0].render(scale=0.5).to_numpy()
    blue, green, red = (int(v) for v in page[int(len(page) * 0.53), 4, :3])
    return red, green, blue


@pytest.mark.parametrize("color", mostly_thorough(COLORS, "rust"))
def test_the_cover_has_the_makers_name_and_colour(color: str) -> None:
    of = shipped("sill-box", f"plan.color={color}", "plan.maker=Gable & Daughters")
    pdf = plan_pdf(of, to_sell=True)
    assert "Gable & Daughters" in page_texts(pdf)[0]
    found = band(pdf)
    assert 1.05 / (luminance(found) + 0.05) >= 4.5, "white letters are read on it: WCAG 1.4.3"
    others = {name: band(sold_plan("sill-box")) for name in ["blue"] if name != color}
    assert all(found != other for other in others.values())


def photographs(pdf: bytes) -> list[tuple[int, int]]:
    """Width and height in pixels of the pictures of a PDF's first page."""
    found = []
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for thing in document.objects:
            if isinstance(thing, pikepdf.Stream) and thing.get("/Subtype") == "/Image":
                found.append((int(thing.Width), int(thing.Height)))
    return found


def test_a_photograph_stands_on_the_cover_from_edge_to_edge() -> None:
    out = io.BytesIO()
    Image.new("RGB", (960, 622), (200, 40, 40)).save(out, "JPEG")
    pdf = plan_pdf(shipped("sill-box"), photo=Photo(out.getvalue(), "The box on a step"))
    assert photographs(pdf) == [(960, 622)] and photographs(sold_plan("sill-box")) == []
    import pypdfium2

    page = pypdfium2.PdfDocument(pdf)[0].render(scale=0.5).to_numpy()
    for x in (2, page.shape[1] // 2, page.shape[1] - 3):
        assert abs(int(page[2, x, 2]) - 200) < 12 and int(page[2, x, 1]) < 60
    with pikepdf.open(io.BytesIO(pdf)) as document:
        alts = [
            str(one.get("/Alt", ""))
            for one in document.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/Figure"
        ]
    assert "The box on a step" in alts


def test_only_the_plan_that_is_sold_asks_for_a_photograph(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def taken(_design: Any, request: Any, _told: Any, kind: str) -> bytes:
        asked.append((request, kind))
        out = io.BytesIO()
        Image.new("RGB", request.shape, (20, 120, 40)).save(out, kind)
        return out.getvalue()

    monkeypatch.setattr(pictures, "picture_file", taken)
    files = WRITERS["plan"].files
    for to_sell in (False, True):
        request = PacketRequest(shipped("sill-box"), to_sell=to_sell)
        (content,) = dict(files(request, Silent())).values()
        assert len(photographs(content)) == to_sell == len(asked)
        assert bool(WRITERS["plan"].repeats(request)) == to_sell
    assert asked[0][0].scene == "spring-porch"


def test_without_the_extra_the_cover_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> None:
        raise InputError("pictures need the extra 'pictures'")

    monkeypatch.setattr(pictures, "require_pictures", missing)
    request = PacketRequest(shipped("sill-box"), to_sell=True)
    (content,) = dict(WRITERS["plan"].files(request, Silent())).values()
    assert photographs(content) == []
    import pypdfium2

    page = pypdfium2.PdfDocument(content)[0].render(scale=1.0).to_numpy()
    upper = page[: int(len(page) * 0.48)].astype(int)
    wood = (upper[..., 2] - upper[..., 0] > 40).mean()  # brown: far more red than blue
    assert wood > 0.1, "the box fills a good part of its picture"
