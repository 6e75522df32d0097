"""The packet: whole or not at all, the same bytes every time, and nothing of the maker's lost."""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
import os
import platform
import re
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from fnmatch import fnmatch
from pathlib import Path

import pytest
from PIL import Image

from case_lists import mostly_thorough, thorough
from command_runs import environment, run_python
from packet_files import contents, differing
from palewright import __version__
from palewright.design import Design, design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError
from palewright_drawings.cad_files.board_kinds import board_kinds
from palewright_drawings.output import atomic_folders
from palewright_drawings.output.atomic_folders import MANIFEST
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.packet import pictures as packet_pictures
from palewright_drawings.packet.packet import write_packet
from palewright_drawings.packet.packet_size import packet_bytes
from palewright_drawings.packet.writers import (
    WRITERS,
    PacketRequest,
    Writer,
    asked_kinds,
    usual_kinds,
)

ROOT = Path(__file__).resolve().parents[2]
LIGHT = ["cutlist", "report"]


@pytest.fixture(scope="module")
def tub() -> Design:
    return design(Parameters(), "tub")


class Stages(Silent):
    """Progress that keeps count."""

    def __init__(self) -> None:
        self.stages: list[list[int]] = []

    def begin(self, text: str, total: int) -> None:
        assert text
        self.stages.append([total, 0])

    def advance(self, steps: int = 1) -> None:
        self.stages[-1][1] += steps


@pytest.fixture(scope="module")
def seen() -> Stages:
    """What the packet told while it was made."""
    return Stages()


@pytest.fixture(scope="module")
def packet(tub: Design, seen: Stages, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_packet(PacketRequest(tub), tmp_path_factory.mktemp("whole"), None, seen)


def with_writer(
    monkeypatch: pytest.MonkeyPatch, make: Callable[[], Iterator[tuple[str, bytes]]]
) -> None:
    """Put a writer of one kind, ``odd``, behind the others."""

    def files(_asked: PacketRequest, _progress: Progress) -> Iterator[tuple[str, bytes]]:
        return make()

    monkeypatch.setitem(WRITERS, "odd", Writer("odd", "odd.bin", "for a test", files))


def python(code: str, *args: str, seed: str = "0") -> str:
    """Run a program of its own and return what it prints."""
    done = run_python("-c", code, *args, PYTHONHASHSEED=seed)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_packet_holds_every_kind_and_nothing_else(tub: Design, packet: Path) -> None:
    wanted = {"model.step", "model.stl", "model.glb", "boards.html", MANIFEST}
    wanted |= {"boards.dxf", "boards-turned.dxf"}
    wanted |= {"maker/costs.pdf", "maker/costs.json", "READ-FIRST.html"}
    wanted |= {"cutlist.csv", "report.json", "plan.pdf", "labels.pdf", "templates.pdf"}
    wanted |= {"workshop.html"}
    wanted |= {f"elevations/{name}.dxf" for name in ("front", "side", "top", "section")}
    kinds = [kind.name for kind in board_kinds(tub)]
    wanted |= {f"parts/{name}.stl" for name in kinds} | {f"flat/{name}.dxf" for name in kinds}
    wanted |= {"flat/index.csv"}
    wanted |= {f"jigs/{jig.name}.{end}" for jig in tub.jigs.jigs for end in ("dxf", "step")}
    assert set(contents(packet)) == wanted
    assert packet.name == "tub"
    assert [path.name for path in packet.parent.iterdir()] == ["tub"]


def test_the_packet_is_about_as_large_as_is_told_before(tub: Design, packet: Path) -> None:
    real = sum(path.stat().st_size for path in packet.rglob("*") if path.is_file())
    assert real / 2 < packet_bytes(tub, usual_kinds()) < real * 2


def test_writers_stand_in_packet_order_and_say_where_they_write(packet: Path) -> None:
    kinds = ["read-first", "step", "stl", "glb", "parts", "flat", "boards", "elevations"]
    kinds += ["jigs", "plan", "workshop", "labels", "templates", "cutlist", "report", "costs"]
    assert [kind for kind, writer in WRITERS.items() if writer.usual] == kinds
    assert list(WRITERS) == [*kinds, "pictures"]
    assert not (packet / "pictures").exists()  # they take minutes: only where asked for
    for kind, writer in WRITERS.items():
        assert kind == writer.kind and writer.purpose
        if not writer.usual:
            continue
        folder, _, name = writer.where.rpartition("/")
        assert list((packet / folder).glob(name)), writer.where


def test_the_manifest_lists_each_file_with_its_hash_size_and_what_made_it(packet: Path) -> None:
    files = contents(packet)
    manifest = json.loads(files.pop(MANIFEST))
    assert manifest["tool"] == "palewright"
    assert manifest["version"] == __version__
    assert manifest["variant"] == "tub"
    made_with = manifest["made with"]
    assert made_with.pop("python") == platform.python_version()
    assert made_with == {name: importlib.metadata.version(name) for name in made_with}
    # all but what serves the page, the calendar, the command line, the maker's files, the types
    needed = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    shaping = {re.split("[<>=]", name)[0] for name in needed} | {"cadquery-ocp"}
    none = {"aiohttp", "click", "icalendar", "pydantic", "rich", "tomlkit", "typing-extensions"}
    assert set(made_with) == shaping - none
    assert manifest["parameters"]["box"]["width"] == {"mm": 508.0, "text": "20 in"}
    assert manifest["files"] == {
        path: {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
        for path, content in files.items()
    }


def test_no_file_tells_of_the_machine_or_the_day(packet: Path) -> None:
    today = time.strftime("%Y-%m-%d").encode()
    traces = (str(packet.parent).encode(), str(ROOT).encode(), os.uname().nodename.encode(), today)
    for name, content in contents(packet).items():
        for trace in traces:
            assert len(trace) < 4 or trace not in content, (name, trace)


_BUILD = """
import sys, time
def hastened(clock):
    began = clock()
    return lambda: began + 50 * (clock() - began)
for name in ("monotonic", "perf_counter", "process_time", "thread_time", "time"):
    setattr(time, name, hastened(getattr(time, name)))
from pathlib import Path
from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright_drawings.packet.packet import write_packet
from palewright_drawings.packet.writers import PacketRequest
write_packet(PacketRequest(design(Parameters(), "tub")), Path(sys.argv[1]))
if sys.platform == "linux":
    status = dict(line.split(":", 1) for line in open("/proc/self/status"))
    # not ru_maxrss: a new process takes over its parent's, which is these tests'
    print(int(status["VmHWM"].split()[0]) / 1024)
"""


@pytest.mark.parametrize("seed", [thorough(seed) for seed in ("1", "7", "424242")])
def test_other_processes_clocks_hash_seeds_and_folders_make_the_same_bytes_in_a_gigabyte(
    packet: Path, tmp_path: Path, seed: str
) -> None:
    megabytes = python(_BUILD, str(tmp_path), seed=seed)
    assert differing(contents(tmp_path / "tub"), contents(packet)) == []
    assert float(megabytes or 0) <= 1024


@pytest.mark.usefixtures("plans_anew", "solids_anew")
@pytest.mark.parametrize(
    "kinds", mostly_thorough([["step", "glb", "jigs"], usual_kinds()], ["step", "glb", "jigs"])
)
def test_a_second_build_in_the_same_process_makes_the_same_bytes(
    tub: Design, packet: Path, tmp_path: Path, kinds: list[str]
) -> None:
    again = contents(write_packet(PacketRequest(design(tub.parameters, "tub")), tmp_path, kinds))
    once = contents(packet)
    assert again.keys() - {MANIFEST} == {
        path for path in once for kind in kinds if fnmatch(path, WRITERS[kind].where)
    }
    made = {path: once[path] for path in again.keys() - {MANIFEST}}
    assert differing({path: again[path] for path in made}, made) == []


def test_only_the_kinds_asked_for_are_written_and_the_rest_goes(
    tub: Design, tmp_path: Path
) -> None:
    write_packet(PacketRequest(tub), tmp_path, LIGHT)
    assert set(contents(tmp_path / "tub")) == {"cutlist.csv", "report.json", MANIFEST}
    write_packet(PacketRequest(tub), tmp_path, ["cutlist"])
    assert set(contents(tmp_path / "tub")) == {"cutlist.csv", MANIFEST}
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]


def test_an_unknown_kind_is_refused_before_anything_is_made(tub: Design, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no kind 'cutlst'.*'cutlist'.*allowed: read-first"):
        write_packet(PacketRequest(tub), tmp_path / "deep" / "er", ["cutlst"])
    assert list(tmp_path.iterdir()) == []


def test_what_cannot_be_laid_out_leaves_nothing(tmp_path: Path) -> None:
    tables = {"box": {"width": "6 in"}}
    with pytest.raises(InputError, match=r"box\.width"):
        write_packet(PacketRequest(design(parameters_from(tables, {}), "tiny")), tmp_path / "deep")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["", ".", "..", ".hidden", "a/b", "a\\b", "a\0b"])
def test_a_name_that_leaves_its_folder_is_refused(tub: Design, name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot name a packet"):
        write_packet(PacketRequest(design(tub.parameters, name)), tmp_path / "out", LIGHT)
    assert list(tmp_path.iterdir()) == []


def test_the_table_loads_no_heavy_library() -> None:
    code = (
        "import sys, palewright_drawings.packet.writers, palewright_drawings.packet.packet; "
        "heavy = {'OCP', 'cadquery', 'vtk', 'trimesh', 'ezdxf', 'numpy'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    assert python(code) == "[]\n"


@pytest.mark.usefixtures("packet")
def test_every_stage_counts_to_its_end(seen: Stages) -> None:
    assert len(seen.stages) == len(usual_kinds())
    assert [done for _, done in seen.stages] == [total for total, _ in seen.stages]


@pytest.mark.parametrize("failure", [RuntimeError("broken"), KeyboardInterrupt()])
@pytest.mark.parametrize("had", [True, False])
def test_a_run_that_fails_half_way_leaves_the_old_packet_or_none(
    tub: Design, failure: BaseException, had: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    before = {}
    if had:
        before = contents(write_packet(PacketRequest(tub), out, LIGHT))

    def make() -> Iterator[tuple[str, bytes]]:
        yield "odd.bin", b"half"
        raise failure

    with_writer(monkeypatch, make)
    with pytest.raises(type(failure)):
        write_packet(PacketRequest(tub), out, ["cutlist", "odd"])
    if had:
        assert [path.name for path in out.iterdir()] == ["tub"]
        assert differing(contents(out / "tub"), before) == []
    else:
        assert list(tmp_path.iterdir()) == []


_HANG = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job ignores it
from pathlib import Path
from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright_drawings.packet.packet import write_packet
from palewright_drawings.packet.writers import WRITERS, PacketRequest, Writer

def files(design, progress):
    yield "odd.bin", b"half"
    print("half way", flush=True)
    signal.pause()

WRITERS["odd"] = Writer("odd", "odd.bin", "hangs", files)
write_packet(PacketRequest(design(Parameters(), "tub")), Path(sys.argv[1]), ["cutlist", "odd"])
"""


def killed_half_way(folder: Path, how: signal.Signals) -> None:
    run = subprocess.Popen(
        [sys.executable, "-c", _HANG, str(folder)],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert run.stdout is not None
    assert run.stdout.readline() == "half way\n"
    run.send_signal(how)
    assert run.wait(timeout=30) != 0
    run.stdout.close()


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_a_run_that_is_killed_leaves_the_old_packet_and_the_next_run_clears_up(
    tub: Design, tmp_path: Path
) -> None:
    before = contents(write_packet(PacketRequest(tub), tmp_path, LIGHT))
    killed_half_way(tmp_path, signal.SIGKILL)
    assert differing(contents(tmp_path / "tub"), before) == []
    left = [path.name for path in tmp_path.iterdir() if path.name != "tub"]
    assert len(left) == 1
    assert left[0].startswith(".tub.palewright-new-")
    write_packet(PacketRequest(tub), tmp_path, ["cutlist"])
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_an_interrupt_clears_up_at_once(tub: Design, tmp_path: Path) -> None:
    before = contents(write_packet(PacketRequest(tub), tmp_path, LIGHT))
    killed_half_way(tmp_path, signal.SIGINT)
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]
    assert differing(contents(tmp_path / "tub"), before) == []


def test_a_run_at_work_is_not_cleared_away(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """While one run is half way, another writes and finishes; then the first finishes."""

    def make() -> Iterator[tuple[str, bytes]]:
        yield "odd.bin", b"half"
        other = design(tub.parameters, "tub")
        write_packet(PacketRequest(other), tmp_path, ["cutlist"])
        assert set(contents(tmp_path / "tub")) == {"cutlist.csv", MANIFEST}

    with_writer(monkeypatch, make)
    write_packet(PacketRequest(tub), tmp_path, ["report", "odd"])
    assert set(contents(tmp_path / "tub")) == {"report.json", "odd.bin", MANIFEST}
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]


def build_that_fails(tub: Design, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """A build whose only writer breaks before its first file."""

    def make() -> Iterator[tuple[str, bytes]]:
        raise RuntimeError("broken")
        yield

    with_writer(monkeypatch, make)
    with pytest.raises(RuntimeError):
        write_packet(PacketRequest(tub), folder, ["odd"])


def test_a_death_between_the_two_renames_is_mended_by_the_next_run(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    before = contents(write_packet(PacketRequest(tub), tmp_path, LIGHT))
    (tmp_path / "tub").rename(tmp_path / ".tub.palewright-old-123456")
    build_that_fails(tub, monkeypatch, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]
    assert differing(contents(tmp_path / "tub"), before) == []


def test_a_rename_that_fails_puts_the_old_packet_back(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    before = contents(write_packet(PacketRequest(tub), tmp_path, LIGHT))
    rename = Path.rename

    def refusing(path: Path, target: Path) -> Path:
        if atomic_folders.NEW in path.name:
            raise PermissionError(13, "Permission denied", str(target))
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", refusing)
    with pytest.raises(InputError, match="cannot be written: Permission denied"):
        write_packet(PacketRequest(tub), tmp_path, ["cutlist"])
    assert [path.name for path in tmp_path.iterdir()] == ["tub"]
    assert differing(contents(tmp_path / "tub"), before) == []


def make_notes(place: Path) -> None:
    place.mkdir()
    (place / "notes.txt").write_text("mine")


def make_foreign_manifest(place: Path) -> None:
    place.mkdir()
    (place / MANIFEST).write_text('{"tool": "another", "files": {}}')


def make_broken_manifest(place: Path) -> None:
    place.mkdir()
    (place / MANIFEST).write_bytes(b"\xff{")


def make_file(place: Path) -> None:
    place.write_text("mine")


def make_link(place: Path) -> None:
    place.with_name("elsewhere").mkdir()
    place.symlink_to(place.with_name("elsewhere"))


@pytest.mark.parametrize(
    "occupy", [make_notes, make_foreign_manifest, make_broken_manifest, make_file, make_link]
)
def test_what_is_no_packet_is_never_replaced(
    tub: Design, occupy: Callable[[Path], None], tmp_path: Path
) -> None:
    occupy(tmp_path / "tub")
    before = contents(tmp_path)
    with pytest.raises(InputError) as told:
        write_packet(PacketRequest(tub), tmp_path, LIGHT)
    assert "\n" not in str(told.value)
    assert str(tmp_path / "tub") in str(told.value)
    assert differing(contents(tmp_path), before) == []


def test_a_place_that_is_taken_is_refused_before_any_work(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def make() -> Iterator[tuple[str, bytes]]:
        raise AssertionError("worked for nothing")
        yield

    with_writer(monkeypatch, make)
    make_notes(tmp_path / "tub")
    with pytest.raises(InputError, match="is no packet"):
        write_packet(PacketRequest(tub), tmp_path, ["odd"])


def test_a_place_that_is_taken_meanwhile_is_not_replaced(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def make() -> Iterator[tuple[str, bytes]]:
        make_notes(tmp_path / "tub")
        yield "odd.bin", b"whole"

    with_writer(monkeypatch, make)
    with pytest.raises(InputError, match="is no packet"):
        write_packet(PacketRequest(tub), tmp_path, ["odd"])
    assert contents(tmp_path) == {"tub/notes.txt": b"mine"}


KEPT = {"cutlist.csv": b"my own lengths", "flat/notes.txt": b"mine", ".hidden": b"mine too"}


def changed_packet(tub: Design, folder: Path) -> None:
    """A packet with an edited file, an added one, a hidden one, and what a file browser leaves."""
    place = write_packet(PacketRequest(tub), folder, LIGHT)
    (place / "flat").mkdir()
    (place / "empty").mkdir()
    for name, content in {**KEPT, ".DS_Store": b"icons", "flat/.DS_Store": b"icons"}.items():
        (place / name).write_bytes(content)


def test_what_the_maker_changed_in_a_packet_is_kept_beside_the_new_one(
    tub: Design, tmp_path: Path
) -> None:
    told: list[str] = []
    plain = contents(write_packet(PacketRequest(tub), tmp_path / "plain", LIGHT, None, told.append))
    write_packet(PacketRequest(tub), tmp_path / "plain", LIGHT, None, told.append)
    assert told == [] and [path.name for path in (tmp_path / "plain").iterdir()] == ["tub"]
    out = tmp_path / "out"
    for kept in ("tub-kept", "tub-kept-1"):  # what was kept once is never replaced
        changed_packet(tub, out)
        told.clear()
        write_packet(PacketRequest(tub), out, LIGHT, None, told.append)
        assert differing(contents(out / "tub"), plain) == []
        assert contents(out / kept) == KEPT
        (line,) = told
        assert str(out / kept) in line and "\n" not in line
        assert f"{min(KEPT)} and {len(KEPT) - 1} more" in line
    assert {path.name for path in out.iterdir()} == {"tub", "tub-kept", "tub-kept-1"}
    assert not (out / "tub-kept" / "empty").exists()


def test_a_build_that_fails_leaves_what_the_maker_changed_where_it_was(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    changed_packet(tub, tmp_path)
    before = contents(tmp_path)
    build_that_fails(tub, monkeypatch, tmp_path)
    assert differing(contents(tmp_path), before) == []


def test_what_was_changed_outlives_a_death_right_after_the_new_packet_came(
    tub: Design, tmp_path: Path
) -> None:
    changed_packet(tub, tmp_path)
    (tmp_path / "tub").rename(tmp_path / ".tub.palewright-old-123456")
    write_packet(PacketRequest(design(tub.parameters, "tub")), tmp_path / "other", LIGHT)
    (tmp_path / "other" / "tub").rename(tmp_path / "tub")  # and here the run was killed
    write_packet(PacketRequest(tub), tmp_path, LIGHT)
    assert contents(tmp_path / "tub-kept") == KEPT


def test_an_empty_folder_is_no_obstacle(tub: Design, tmp_path: Path) -> None:
    (tmp_path / "tub").mkdir()
    write_packet(PacketRequest(tub), tmp_path, LIGHT)
    assert (tmp_path / "tub" / MANIFEST).is_file()


def test_a_name_of_pattern_signs_clears_only_its_own_leftovers(tub: Design, tmp_path: Path) -> None:
    other = tmp_path / ".tub.palewright-new-1"
    own = tmp_path / ".t*b[1].palewright-new-1"
    for folder in (other, own):
        folder.mkdir()
    write_packet(PacketRequest(design(tub.parameters, "t*b[1]")), tmp_path, LIGHT)
    assert other.is_dir()
    assert not own.exists()


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="permissions")
def test_a_folder_that_refuses_is_told_in_one_line(tub: Design, tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(InputError, match="cannot be written: Permission denied"):
        write_packet(PacketRequest(tub), tmp_path / "deep", LIGHT)


def test_a_file_in_the_way_of_the_folder_is_told_in_one_line(tub: Design, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    with pytest.raises(InputError, match="cannot be written"):
        write_packet(PacketRequest(tub), tmp_path / "out", LIGHT)
    assert (tmp_path / "out").read_text() == "mine"


@pytest.mark.thorough
def test_pictures_are_written_where_asked_for_and_say_where_they_repeat(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def small(of: Design, progress: Progress) -> Iterator[tuple[str, bytes]]:
        return packet_pictures.packet_pictures(of, progress, 64)

    def files(asked: PacketRequest, progress: Progress) -> Iterator[tuple[str, bytes]]:
        made = small(asked.design, progress)
        return ((f"pictures/{name}.png", content) for name, content in made)

    monkeypatch.setattr(packet_pictures, "SAMPLES", 1)
    monkeypatch.setitem(WRITERS, "pictures", replace(WRITERS["pictures"], files=files))
    place = write_packet(PacketRequest(tub), tmp_path, asked_kinds(["cutlist"], ["pictures"]))
    names = {"pictures/hero.png", "pictures/three-quarter.png", "pictures/above.png"}
    listed = json.loads((place / MANIFEST).read_text())["files"]
    assert set(listed) == names | {"cutlist.csv"}
    assert {name for name, row in listed.items() if "same bytes" in row} == names
    for name in names:
        assert Image.open(place / name).size == (64, 64)
    again = write_packet(PacketRequest(tub), tmp_path / "again", ["pictures"])
    assert all((place / name).read_bytes() == (again / name).read_bytes() for name in names)


def test_what_pictures_need_is_asked_for_before_any_work(
    tub: Design, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setitem(sys.modules, "mitsuba", None)
    with pytest.raises(InputError, match=r"pip install 'palewright\[pictures\]'"):
        write_packet(PacketRequest(tub), tmp_path / "out", asked_kinds(also=["pictures"]))
    assert list(tmp_path.iterdir()) == []


def test_kinds_are_those_asked_for_in_the_packets_order() -> None:
    assert asked_kinds() == usual_kinds() == [kind for kind in WRITERS if kind != "pictures"]
    assert asked_kinds(["report", "step", "step"]) == ["step", "report"]
    assert asked_kinds([], ["pictures"]) == list(WRITERS)
    assert asked_kinds(to_sell=True) == [kind for kind in usual_kinds() if kind != "costs"]
    assert asked_kinds(["pictures", "stl"], ["step"]) == ["step", "stl", "pictures"]
    for only, also, key in ((["stp"], [], "--only"), ([], ["pictres"], "--with")):
        with pytest.raises(InputError) as caught:
            asked_kinds(only, also)
        assert caught.value.key == key and "did you mean" in str(caught.value)
