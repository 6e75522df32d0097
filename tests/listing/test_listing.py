"""A listing: its words are the model's facts, its pictures have the shapes asked, none is half."""

from __future__ import annotations

import hashlib
import io
import json
import math
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from case_lists import mostly_thorough
from command_runs import assert_refused, environment, run_here
from known_size_views import known_size_view
from measured_boxes import measured
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import read_length
from palewright.reading.quantities import POUND
from palewright_drawings.json_reports.report import report_file
from palewright_drawings.listing import listing as listing_sets
from palewright_drawings.listing.listing import (
    PartialListing,
    part_folder,
    pictures_kept,
    write_listing,
)
from palewright_drawings.listing.listing_words import BUYERS, MAKERS, SLOT, listing_text, plants
from palewright_drawings.listing.rendered_picture import PictureRequest, RenderedPicture, box_points
from palewright_drawings.listing.shots import (
    FINISHES_SHOWN,
    LEAST,
    WOODS_SHOWN,
    ListingRequest,
    scene_for,
    shots_of,
)
from palewright_drawings.listing.size_labels import chips
from palewright_drawings.listing.texts import overall
from palewright_drawings.output.atomic_folders import MANIFEST
from palewright_drawings.output.progress import Told
from palewright_drawings.rendering.scene.scene import Camera
from palewright_drawings.rendering.tracer.cameras import VIEWS, framed
from palewright_drawings.texts.cautions import cautions_of
from shipped_designs import shipped as box

Floats = NDArray[np.float64]
VOLUMES = ("litres", "cubic feet")
REQUEST = ListingRequest("sage-paint", "own", 200, 1)


def lengths(text: str) -> Iterator[tuple[float, float]]:
    """Every length of a text in mm, as its inches and as its cm or mm say it."""
    for first, second in re.findall(r"([\d/.-]+ (?:in|cm|mm)) \(([\d/.-]+ (?:in|cm|mm))\)", text):
        inches, metric = (first, second) if first.endswith(" in") else (second, first)
        assert inches.endswith(" in") and not metric.endswith(" in")
        yield read_length(inches), read_length(metric)


@pytest.mark.parametrize("name", ["terrace-crate", "stoop-tub"])
def test_a_box_is_told_in_its_own_unit_first(name: str) -> None:
    """A metric shop's customers measure in cm, kg and litres: inches stand in brackets alone."""
    of = box(name)
    metric = of.parameters.product.units == "metric"
    told = [listing_text(of), *[f"{shot.caption} {shot.alt}" for shot in shots_of(of, REQUEST)]]
    for text in told:
        for first, second in re.findall(r"[\d.] ([a-z/A-Z]+(?: feet)?) \(([^()]*\d[^()]*)\)", text):
            inch = first in ("in", "lb", "psf", "lbf", "mph", "cubic feet")
            assert inch != metric, (first, second)
            assert bool(re.search(r" (in|lb|psf|lbf|mph|cubic feet)$", second)) == metric
        outside = re.sub(r"\([^()]*\)", "", text)
        assert not (metric and re.search(r"\d (in|lb|psf|cubic feet)\b", outside))
    assert re.search(r"\d cm \(" if metric else r"\d in \(", told[0])
    pixels, units = REQUEST.pixels, of.parameters.product.units
    camera, spans = known_size_view(box_points(of), pixels, pixels, units)
    for span, chip in zip(spans, chips(camera, spans), strict=True):
        assert chip.texts == span.texts
        assert span.texts[0].endswith(" cm" if metric else " in")
        assert span.texts[1].endswith(" in" if metric else " cm")


@pytest.mark.parametrize("name", shipped_variants())
def test_every_number_of_the_words_is_the_models(name: str) -> None:
    of = box(name)
    text = listing_text(of)
    told = list(lengths(text))
    for inches, metric in told:  # both say the same: to half a sixteenth and half of a last digit
        assert inches == pytest.approx(metric, abs=25.4 / 32 + 0.5 + 1e-6)
    outside = lengths(text.partition("Overall:")[2])
    for (inches, metric), size in zip(outside, overall(of), strict=False):
        assert inches == pytest.approx(size, abs=25.4 / 32 + 1e-6)
        assert metric == pytest.approx(size, abs=0.5 + 1e-6)
    weights = of.loads.weights
    masses = [
        tuple(float(re.findall(rf"([\d.]+) {unit}", pair)[0]) for unit in ("lb", "kg"))
        for pair in re.findall(r"[\d.]+ (?:lb|kg) \([\d.]+ (?:lb|kg)\)", text)
    ]
    filled = [weights.saturated.mass] if weights.filled else []
    told_masses = [weights.empty.mass, *filled, weights.empty.mass]  # and once for the parcel
    # drilled, so a little lighter than the whole boards that are weighed here
    for (pounds, kilograms), mass in zip(masses, told_masses, strict=True):
        assert kilograms == pytest.approx(mass, abs=0.55) and pounds == pytest.approx(
            mass / POUND, abs=0.02 * mass / POUND + 0.55
        )
    assert f"{len(of.box.boards)} boards, {len(of.box.screws)} " in text
    if weights.filled:
        about = text.partition("about ")[2]  # the room for soil comes before all weights
        litres, feet = (float(re.findall(rf"([\d.]+) {unit}", about)[0]) for unit in VOLUMES)
        assert float(litres) == pytest.approx(weights.soil.volume, abs=0.5)
        assert float(feet) == pytest.approx(weights.soil.volume / 304.8**3 * 1e6, abs=0.05)
    thick = {board.stock.thickness for board in of.box.boards.values()}
    in_text = {metric for _, metric in lengths("".join(re.findall("Boards .*", text)))}
    assert in_text == {float(round(t)) for t in thick}


@pytest.mark.parametrize("name", shipped_variants())
def test_cautions_are_said_to_the_buyer_where_they_apply(name: str) -> None:
    of, text = box(name), listing_text(box(name))
    topics = {one.topic for one in cautions_of(of)}
    assert topics <= {*MAKERS, *BUYERS}, "a new caution needs words for buyers"
    for topic, words in BUYERS.items():
        assert (words in text) == (topic in topics)
    tree = of.parameters.box.kind == "tree"
    assert ("Not included: tree, stand, lights" in text) == tree
    assert ("food plants" in text) == (not tree)
    assert "Ask the seller" not in text, "the seller speaks"
    assert "eye and ear protection" not in text  # said to makers
    assert not re.search(r"[$€£]|price", text)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "herb-trough"))
def test_sizes_in_the_words_are_those_of_the_solids(name: str) -> None:
    """Measured on the STEP file as another program reads it; both units from the true size."""
    of, text = box(name), listing_text(box(name))
    solids = measured(name)

    def told(before: str) -> list[tuple[float, float]]:
        (line,) = [line for line in text.splitlines() if before in line]
        return list(lengths(line.partition(before)[2]))

    def same(said: tuple[float, float], size: float) -> None:
        inches, metric = said
        assert inches == pytest.approx(size, abs=25.4 / 32 + 1e-3)
        assert metric == pytest.approx(size, abs=0.5 + 1e-3), "from the true size, not from inches"

    for said, size in zip(told("Overall: "), solids.overall, strict=True):
        same(said, float(size))
    for title in (text.splitlines()[2], *[x for x in text.splitlines() if "one piece of" in x]):
        (metric,) = re.findall(r"([\d.]+) x ([\d.]+) x ([\d.]+) cm", title)
        for one, size in zip(metric, solids.overall, strict=True):
            assert float(one) * 10 == pytest.approx(float(size), abs=0.5 + 1e-3)
    assert f"{solids.count} boards, " in text
    report = json.loads(report_file(of))
    assert f"together, with {len(report['screw_places'])} screws" in text
    same(told("a frame on staves, ")[0], float(solids.inside_front - solids.front))
    if "of air below" in text:
        same(told("It stands on its corners: ")[0], float(solids.air))
    else:
        assert solids.air < 0.01
    if "I leave gaps of " in text:
        gaps = solids.gaps
        assert any(abs(told("I leave gaps of ")[0][0] - gap) < 0.9 for gap in gaps)
    if "I raised its floor" in text:
        same(told("I raised its floor to ")[0], float(solids.floor))
    if of.parameters.trellis.fit:
        same(told("ladder reaches ")[0], float(solids.ladder))
    room = [line for line in text.splitlines() if "Room for soil: " in line or "Inside: " in line]
    for line in room:
        wide, deep, high = list(lengths(line))
        same(wide, solids.inside[0])
        same(deep, solids.inside[1])
        litres = float(re.findall(r"(\d+) litres", line)[0])
        # whole litres: half of one in the smallest box is more than 2 %
        assert litres == pytest.approx(wide[1] * deep[1] * high[1] / 1e6, rel=0.02, abs=0.5)
        assert high[1] < solids.overall[2] - solids.floor
    assert bool(room) == (of.parameters.box.kind == "planter")


def test_plants_stand_a_hand_apart() -> None:
    """Counted by hand: 8 in from one to the next, one where there is room for none."""
    assert plants(32 * 25.4, 9 * 25.4) == 4 and plants(16 * 25.4, 16 * 25.4) == 4
    assert plants(15.9 * 25.4, 16 * 25.4) == 2 and plants(100.0, 100.0) == 1
    text = listing_text(box("herb-trough"))
    assert "Room for 3 herbs, 8 in (20.3 cm) from one to the next" in text


@pytest.mark.parametrize("name", shipped_variants())
def test_what_only_the_maker_knows_is_a_slot(name: str) -> None:
    """Lead time, shipping, care, treatment, an own line: asked for, counted, never made up."""
    text = listing_text(box(name))
    slots = SLOT.findall(text)
    for wanted in ("lead time", "shipping", "care", "finishes", "own", "damaged"):
        assert any(wanted in one for one in slots), wanted
    on_wood = [one for one in slots if "food plants" in one or "treated with" in one]
    assert len(on_wood) == 1
    assert f"in the {len(slots)} places" in text.splitlines()[0]
    rest = SLOT.sub("", text).partition("\n")[2]
    assert "[" not in rest and "]" not in rest
    assert not re.search(r"\bdays\b|\bweeks?\b|carrier|food[- ]safe|non-?toxic", rest)


def test_a_box_for_herbs_says_and_shows_herbs() -> None:
    of = box("herb-trough")
    text = listing_text(of)
    assert "herb planter" in text.splitlines()[2] and "herbs" in text.splitlines()[4]
    for shot in shots_of(of, REQUEST):
        assert "tulip" not in shot.alt and "flower" not in shot.alt, shot.name
    heroes = [shot for shot in shots_of(of, REQUEST) if shot.name.startswith("hero")]
    assert heroes and all("planted with herbs on a porch" in shot.alt for shot in heroes)
    scenes = {take.request.scene for shot in shots_of(of, REQUEST) for take in shot.takes}
    assert "winter-room" not in scenes, "no conifer grows in a trough"
    assert "planted with spring flowers" in shots_of(box("stoop-tub"), REQUEST)[0].alt


def test_what_the_box_has_is_what_the_words_say() -> None:
    tub = load_variant("stoop-tub")
    assert "A liner" in listing_text(design(tub.parameters, "tub"))
    bare = load_variant("stoop-tub", ["liner.fit=false", "screws.coating=stainless"])
    text = listing_text(design(bare.parameters, "tub"), "ink-paint", "cedar")
    assert "A liner" not in text and "stainless steel screws" in text
    assert "Pictured: cedar, ink paint." in text
    assert "to close round a tree that" in listing_text(box("winter-tub"))
    assert "lower it over the stand" in listing_text(box("winter-tub-small"))
    assert "not for loose soil" in listing_text(box("porch-cube"))
    assert "drops in and lifts out" in listing_text(box("bean-tower"))


def test_words_tell_where_the_pictures_differ_from_the_box() -> None:
    tower = box("bean-tower", "lumber.strip=one-by-2")
    said = listing_text(tower, "sage-paint", "cedar")
    assert "Pictured: cedar, sage paint." in said
    assert "another wood than this box is of: douglas fir and treated pine." in said
    differs = "[FILL IN: which finish a buyer gets: the pictures show"
    assert f"{differs} sage paint, your plan says: {tower.parameters.plan.finish}]" in said
    assert f"{differs} bare wood, " in listing_text(tower, "bare")
    for finish, named in (("oil", "Two coats of oil."), ("sage-paint", "Paint, sage, two coats.")):
        same = load_variant("stoop-tub", [f'plan.finish="{named}"'])
        text = listing_text(design(same.parameters, "tub"), finish, "treated-pine")
        assert "Pictured: treated pine" in text and differs not in text
    none = design(load_variant("stoop-tub", ['plan.finish=""']).parameters, "tub")
    assert "this box gets" not in listing_text(none, "bare")
    assert "this box gets none" in listing_text(none, "oil")


@pytest.mark.parametrize("name", ["stoop-tub", "bean-tower", "winter-tub"])
def test_alt_texts_say_what_is_pictured(name: str) -> None:
    asking = replace(REQUEST, wood="cedar", finish="ink-paint")
    for shot in shots_of(box(name), asking):
        woods = {take.request.wood for take in shot.takes}
        finishes = {take.request.finish for take in shot.takes}
        if woods == {"cedar"}:
            assert "of cedar" in shot.alt and "pine" not in shot.alt, shot.name
        if finishes == {"ink-paint"}:
            assert "finished in ink paint" in shot.alt, shot.name
    (hero, *_) = shots_of(box(name), replace(asking, wood="own", finish="bare"))
    assert "of treated pine" in hero.alt.replace("douglas fir and ", "")
    assert "finished" not in hero.alt


def test_the_liner_and_all_props_are_told() -> None:
    text = listing_text(box("stoop-tub"))
    assert "I line it" in text and "The pictures do not show the liner." in text
    assert "food plants behind a liner" in text
    bare = listing_text(design(load_variant("stoop-tub", ["liner.fit=false"]).parameters, "tub"))
    assert "I line it" not in bare and "A liner" not in bare
    assert "this box has no liner" in bare
    for prop in ("plants", "trees", "lights", "pots", "cans", "parcels"):
        assert prop in text.rpartition("Pictures are computed")[2]


asked: list[PictureRequest] = []
stop_at: list[int] = []


@pytest.fixture(autouse=True)
def _blank_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Blank pictures with the cameras that real ones would have; Ctrl-C at the one of stop_at."""

    def blank(
        of: Design, request: PictureRequest, told: Told, subject: Floats | None = None,
        camera: Camera | None = None,
    ) -> RenderedPicture:  # fmt: skip
        asked.append(request)
        if stop_at and len(asked) == stop_at[0]:
            raise KeyboardInterrupt
        told("light", 0.5)
        points = box_points(of) if subject is None else subject
        camera = camera or framed(points, VIEWS[request.view], *request.shape)
        grey = 60 + 10 * (len(request.scene + request.finish + request.wood + request.view) % 15)
        return RenderedPicture(np.full((*request.shape[::-1], 3), grey, dtype=np.uint8), camera)

    asked.clear()
    stop_at.clear()
    monkeypatch.setattr(listing_sets, "pictured", blank)


def untold(_what: str, _share: float) -> None:
    """Progress that nobody hears."""


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_listing_has_its_pictures_with_captions_and_alt_text(kind: str, tmp_path: Path) -> None:
    request = replace(REQUEST, kind=kind)
    write_listing(box("stoop-tub"), request, tmp_path / "listing", untold)
    files = contents(tmp_path / "listing")
    images = {name.partition(".")[0]: Image.open(io.BytesIO(content))
              for name, content in files.items() if name.endswith((".png", ".jpg"))}  # fmt: skip
    sizes = {name: image.size for name, image in images.items()}
    assert all(image.format == kind and image.info["icc_profile"] for image in images.values())
    assert sizes.pop("hero-4x5") == (160, 200) and sizes.pop("hero-16x9") == (200, 112)
    assert sizes.pop("seasons") == (200, 150)
    assert set(sizes) == {
        "hero-square", "three-quarter", "corner", "above", "sizes", "woods", "finishes",
    }  # fmt: skip
    assert set(sizes.values()) == {(200, 200)}
    said = json.loads(files["captions.json"])
    assert {name.partition(".")[0] for name in said} == set(images) and set(said) <= set(files)
    captions = files["captions.txt"].decode()
    for name, words in said.items():
        assert len(words["caption"]) > 8 and len(words["alt"]) > 30
        assert f"{name}\n{words['caption']}\n{words['alt']}\n" in captions
    assert files["listing.txt"].decode() == listing_text(box("stoop-tub"), "sage-paint")
    listed = json.loads(files["MANIFEST.json"])["files"]
    assert {name: row["sha256"] for name, row in listed.items()} == {
        name: hashlib.sha256(content).hexdigest()
        for name, content in files.items() if name != "MANIFEST.json"
    }  # fmt: skip
    assert {one.wood for one in asked} == {"own", *WOODS_SHOWN}
    assert {one.finish for one in asked} == {"sage-paint", *FINISHES_SHOWN}
    assert [path.name for path in tmp_path.iterdir()] == ["listing"]


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "bean-tower", "winter-tub"))
def test_scenes_suit_the_box(name: str) -> None:
    of = box(name)
    shots = {shot.name: shot for shot in shots_of(of, REQUEST)}
    tree, trellis = of.parameters.box.kind == "tree", of.parameters.trellis.fit
    scenes = {take.request.scene for shot in shots.values() for take in shot.takes}
    assert ("spring-porch" in scenes) != tree, "nothing grows in a tree box"
    assert ("garden" in scenes) != ("winter-room" in scenes), "one season beside the first"
    assert trellis <= ("garden" in scenes)
    soil = of.loads.weights.soil
    if "winter-room" in scenes and not tree:
        assert soil.height > 200 and of.parameters.product.grows == "flowers"
    assert shots["hero-square"].takes[0].request.scene == scene_for(of)
    assert ("seasons" in shots) == (not tree)
    tenths = [math.floor(value + 0.5 + 1e-6) for value in overall(of)]  # halves up: 31.75 is 31.8
    size = " x ".join(f"{millimetres / 10:.1f}" for millimetres in tenths)
    assert size in shots["sizes"].caption and size in shots["hero-16x9"].caption


def test_a_stopped_listing_goes_on_where_it_was_and_ends_the_same(tmp_path: Path) -> None:
    whole, place = tmp_path / "whole", tmp_path / "place"
    write_listing(box("stoop-tub"), REQUEST, whole, untold)
    renderings = len(asked)
    asked.clear()
    stop_at.append(6)  # five renderings make five pictures: they hold one each
    with pytest.raises(KeyboardInterrupt):
        write_listing(box("stoop-tub"), REQUEST, place, untold)
    assert not place.exists() and pictures_kept(place) == 5
    kept = contents(part_folder(place))
    assert all(Image.open(io.BytesIO(kept[name])).getbbox() for name in kept if ".png" in name)
    asked.clear()
    stop_at.clear()
    shares: list[float] = []
    write_listing(box("stoop-tub"), REQUEST, place, lambda _, share: shares.append(share))
    assert len(asked) == renderings - 5
    assert contents(place) == contents(whole) and not part_folder(place).exists()
    assert shares == sorted(shares) and 0.3 < shares[0] < shares[-1] < 1.0


def test_a_picture_that_was_spoilt_or_is_of_another_listing_is_made_again(tmp_path: Path) -> None:
    place = tmp_path / "place"
    for change, again in (("spoil", 2), ("ask otherwise", 0)):
        asked.clear()
        stop_at[:] = [4]
        with pytest.raises(KeyboardInterrupt):
            write_listing(box("stoop-tub"), REQUEST, place, untold)
        if change == "spoil":
            (part_folder(place) / "hero-4x5.png").write_bytes(b"half")
        asked.clear()
        stop_at.clear()
        request = REQUEST if change == "spoil" else replace(REQUEST, finish="oil")
        write_listing(box("stoop-tub"), request, place, untold)
        total = sum(len(shot.takes) for shot in shots_of(box("stoop-tub"), request))
        assert len(asked) == total - again


def test_a_listing_that_is_stopped_twice_loses_nothing(tmp_path: Path) -> None:
    place = tmp_path / "place"
    for at in (4, 1):  # three renderings are kept, then none is added
        asked.clear()
        stop_at[:] = [at]
        with pytest.raises(KeyboardInterrupt):
            write_listing(box("stoop-tub"), REQUEST, place, untold)
        assert pictures_kept(place) == 3
    asked.clear()
    stop_at.clear()
    write_listing(box("stoop-tub"), REQUEST, place, untold)
    assert len(asked) == sum(len(shot.takes) for shot in shots_of(box("stoop-tub"), REQUEST)) - 3


def test_stopped_before_anything_is_done_leaves_nothing(tmp_path: Path) -> None:
    stop_at.append(1)
    with pytest.raises(KeyboardInterrupt):
        write_listing(box("stoop-tub"), REQUEST, tmp_path / "a" / "b" / "place", untold)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("done", [0, 2])
def test_stopped_before_a_picture_is_noted_it_is_not_counted(
    done: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is told as kept is what the same command goes on from."""
    put, waiting = PartialListing._put, [True] * done

    def stopped(part: PartialListing, name: str, content: bytes) -> None:
        put(part, name, content)
        if name != MANIFEST:
            if not waiting:
                raise KeyboardInterrupt
            waiting.pop()

    place = tmp_path / "place"
    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(PartialListing, "_put", stopped)
        write_listing(box("stoop-tub"), REQUEST, place, untold)
    assert pictures_kept(place) == done
    assert part_folder(place).exists() is (done > 0)
    asked.clear()
    write_listing(box("stoop-tub"), REQUEST, place, untold)
    takes = [len(shot.takes) for shot in shots_of(box("stoop-tub"), REQUEST)]
    assert len(asked) == sum(takes[done:])


def test_only_a_listing_is_replaced(tmp_path: Path) -> None:
    of, place = box("stoop-tub"), tmp_path / "place"
    place.mkdir()
    (place / "photo.jpg").write_bytes(b"mine")
    with pytest.raises(InputError, match="is no listing"):
        write_listing(of, REQUEST, place, untold)
    (place / "MANIFEST.json").write_text('{"tool": "palewright", "files": {"photo.jpg": {}}}')
    with pytest.raises(InputError, match="is no listing"):  # a packet is none either
        write_listing(of, REQUEST, place, untold)
    assert asked == [] and (place / "photo.jpg").read_bytes() == b"mine"
    write_listing(of, REQUEST, tmp_path / "other", untold)
    (tmp_path / "other" / "mine.txt").write_text("mine")
    kept: list[str] = []
    write_listing(of, replace(REQUEST, finish="oil"), tmp_path / "other", untold, kept.append)
    assert "Pictured: oil." in (tmp_path / "other" / "listing.txt").read_text()
    assert contents(tmp_path / "other-kept") == {"mine.txt": b"mine"}
    assert len(kept) == 1 and str(tmp_path / "other-kept") in kept[0]
    (tmp_path / "file").write_text("mine")
    for taken in (tmp_path / "file", tmp_path / "file" / "place", Path(), Path(".."), Path("/")):
        with pytest.raises(InputError):
            write_listing(of, REQUEST, taken, untold)
    assert (tmp_path / "file").read_text() == "mine"


def test_ctrl_c_keeps_whole_pictures_alone_and_says_how_to_go_on(tmp_path: Path) -> None:
    asking = ["listing", "sill-box", "--pixels", "150", "--quick", "--jpeg", "--out", "here"]
    run = subprocess.Popen(
        [sys.executable, "-m", "palewright_drawings.cli.main", *asking],
        cwd=tmp_path, env=environment(), stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    deadline = time.monotonic() + 280
    while pictures_kept(tmp_path / "here") < 1 and time.monotonic() < deadline:
        assert run.poll() is None, run.communicate()
        time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    _, said = run.communicate(timeout=60)
    assert run.returncode == 130 and "Traceback" not in said
    kept = pictures_kept(tmp_path / "here")
    assert f"pictures done and kept: {kept}; the same command goes on from there" in said
    assert [path.name for path in tmp_path.iterdir()] == [".here.palewright-part"]
    files = contents(part_folder(tmp_path / "here"))
    listed = json.loads(files.pop("MANIFEST.json"))["files"]
    assert {name for name in files if not name.startswith(".")} == set(listed)
    assert len(listed) == kept >= 1
    for name in listed:
        Image.open(io.BytesIO(files[name])).load()
        assert hashlib.sha256(files[name]).hexdigest() == listed[name]["sha256"]


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--finish", "gilt"], ["--finish", "no finish 'gilt'", "allowed: bare"]),
        (["--lumber", "weatherd"], ["--lumber", "did you mean 'weathered'"]),
        (["--pixels", "149"], ["--pixels", "allowed: 150 to 4000"]),
        (["--pixels", "4001"], ["--pixels", "allowed: 150 to 4000"]),
        (["--set", "box.width=6 in"], ["box.width", "at least"]),
    ],
)
def test_nonsense_is_one_line_and_makes_no_folder(
    args: list[str], words: list[str], tmp_path: Path
) -> None:
    assert_refused(run_here("listing", "stoop-tub", *args, cwd=tmp_path), words, tmp_path)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "bean-tower", "winter-tub"))
def test_the_least_listing_has_only_pictures_that_may_be(name: str) -> None:
    shots = shots_of(box(name), replace(REQUEST, pixels=LEAST))
    assert len(shots) >= 9
