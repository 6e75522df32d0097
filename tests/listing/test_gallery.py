"""The gallery: page and pictures are those of the variants beside them."""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray
from PIL import Image

from case_lists import mostly_thorough
from palewright.parameters.variant_files import shipped_folder, shipped_variants
from palewright.reading.lengths import read_length
from palewright_drawings.cli.main import main
from palewright_drawings.listing import gallery as galleries
from palewright_drawings.listing.gallery import (
    LARGEST,
    PAGE,
    Entry,
    entries_of,
    first_remark,
    gallery_text,
    is_stale,
    small_file,
)
from palewright_drawings.listing.rendered_picture import PictureRequest, RenderedPicture, box_points
from palewright_drawings.listing.texts import overall
from palewright_drawings.output.progress import Told
from palewright_drawings.rendering.tracer.cameras import VIEWS, framed
from shipped_designs import shipped

TO_REFRESH = "run: palewright gallery variants"


@cache
def entries() -> list[Entry]:
    return entries_of(shipped_folder())


def test_the_page_is_that_of_the_variants() -> None:
    page = (shipped_folder() / PAGE).read_text(encoding="utf-8")
    assert page == gallery_text(entries()), TO_REFRESH
    assert [entry.name for entry in entries()] == list(shipped_variants())


def test_every_picture_is_of_its_variant_as_it_is_and_is_small() -> None:
    for entry in entries():
        assert not is_stale(entry), f"{entry.name}: {TO_REFRESH}"
        with Image.open(entry.picture) as image:
            assert image.format == "JPEG" and image.size == (480, 480)
            assert image.info["icc_profile"]
            assert np.asarray(image.convert("L")).std() > 20  # it shows something
        assert entry.picture.stat().st_size <= LARGEST
    marks = {entry.mark for entry in entries()}
    assert len(marks) == len(entries())


def test_links_lead_to_files_and_sizes_are_the_models() -> None:
    page = (shipped_folder() / PAGE).read_text(encoding="utf-8")
    for link in [*re.findall(r"\]\((.+?)\)", page), *re.findall(r'src="(.+?)"', page)]:
        assert (shipped_folder() / link).is_file(), link
    rows = [row for row in page.splitlines() if row.startswith("| <img")]
    for row, entry in zip(rows, entries(), strict=True):
        sizes = re.search(r"<br>([\d/.-]+) x ([\d/.-]+) x ([\d/.-]+) (in|cm) \(", row)
        assert sizes is not None
        *told, unit = sizes.groups()
        assert unit == ("in" if entry.design.parameters.product.units == "inch" else "cm")
        near = 25.4 / 32 if unit == "in" else 0.5
        for said, size in zip(told, overall(entry.design), strict=True):
            assert read_length(f"{said} {unit}") == pytest.approx(size, abs=near + 1e-6)
        assert f"palewright build {entry.name}`" in row
        assert len(entry.says) > 10 and row.count("|") == 3


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub", "terrace-crate"))
def test_boards_are_as_many_as_are_sawn(name: str) -> None:
    page = (shipped_folder() / PAGE).read_text(encoding="utf-8")
    (row,) = (row for row in page.splitlines() if f"`palewright build {name}`" in row)
    made = shipped(name)
    parts, bought = len(made.box.boards), made.saw_plans[0].plan.boards
    assert f"{parts} parts from {bought} " in row


def blank(of: object, request: PictureRequest, told: Told, *_: object) -> RenderedPicture:
    """A picture that takes no time."""
    told("light", 0.5)
    plain: NDArray[np.uint8] = np.full((*request.shape, 3), 90, dtype=np.uint8)
    return RenderedPicture(plain, framed(box_points(of), VIEWS["hero"], *request.shape))  # type: ignore[arg-type]


def run(*args: str | Path) -> tuple[int, list[str], str]:
    """The command, and the names of what it wrote."""
    done = CliRunner().invoke(main, ["gallery", *map(str, args)], standalone_mode=False)
    told = [Path(line).name for line in done.stderr.splitlines()]
    return (2 if done.exception else 0), told, str(done.exception or "")


def test_only_what_changed_is_rendered_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(galleries, "pictured", blank)
    tub, pot = tmp_path / "tub.toml", tmp_path / "pot.toml"
    tub.write_text('# A tub|box,\n# "ours" <b>.\nbase = "stoop-tub"\n')
    pot.write_text('base = "sill-box"\n')
    assert run(tmp_path) == (0, ["pot.jpg", "tub.jpg", PAGE], "")
    page = (tmp_path / PAGE).read_text()
    assert "A tub&#124;box, &quot;ours&quot; &lt;b&gt;." in page
    assert "palewright build tub.toml`" in page
    assert run(tmp_path) == (0, [PAGE], "")
    tub.write_text('base = "stoop-tub"\n[site]\nwind = "50 mph"\n')
    assert run(tmp_path) == (0, [PAGE], "")  # nothing that is seen
    tub.write_text('base = "stoop-tub"\n[box]\nwidth = "17 in"\n')
    assert run(tmp_path) == (0, ["tub.jpg", PAGE], "")
    assert run(tmp_path, "--again") == (0, ["pot.jpg", "tub.jpg", PAGE], "")
    (tmp_path / "pictures" / "pot.jpg").write_bytes(b"spoilt")
    assert run(tmp_path) == (0, ["pot.jpg", PAGE], "")
    mine = tmp_path / "pictures" / "mine.jpg"
    Image.new("RGB", (8, 8)).save(mine)
    pot.unlink()
    assert run(tmp_path) == (0, [PAGE], "")
    assert sorted(path.name for path in mine.parent.iterdir()) == ["mine.jpg", "tub.jpg"]


def test_what_somebody_else_wrote_is_left_alone(tmp_path: Path) -> None:
    assert "no variant file" in run(tmp_path)[2] and "no such folder" in run(tmp_path / "no")[2]
    (tmp_path / "tub.toml").write_text('base = "stoop-tub"\n')
    (tmp_path / PAGE).write_text("mine\n")
    code, told, said = run(tmp_path)
    assert code == 2 and told == [] and "move it away" in said
    (tmp_path / PAGE).unlink()
    (tmp_path / "bad.toml").write_text('[box]\nwidth = "6 in"\n')
    code, told, said = run(tmp_path)
    assert code == 2 and told == [] and "bad.toml" in said and "box.width" in said
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.toml", "tub.toml"]


def test_remarks_are_those_at_the_top() -> None:
    assert first_remark("# One,\n#  two.\n\n# three\n") == "One, two."
    assert first_remark('base = "x"\n# later\n') == ""


def test_a_picture_full_of_detail_is_still_small() -> None:
    noise = np.random.default_rng(3).integers(90, 170, (480, 480, 3)).astype(np.uint8)
    plain = np.full((480, 480, 3), 120, dtype=np.uint8)
    for pixels in (noise, plain):
        content = small_file(pixels, "palewright 12")
        assert len(content) <= LARGEST
        with Image.open(io.BytesIO(content)) as image:
            assert image.info["comment"] == b"palewright 12"
