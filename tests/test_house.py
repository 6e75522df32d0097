"""The house itself: imports run one way, heavy libraries wait behind doors, nothing sprawls."""

from __future__ import annotations

import ast
import itertools
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from case_lists import mostly_thorough
from command_runs import run_python

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = {
    "palewright": ROOT / "model" / "palewright",
    "palewright_drawings": ROOT / "drawings" / "palewright_drawings",
}
PATHS = sorted(path for folder in PACKAGES.values() for path in folder.rglob("*.py"))
LONGEST_FILE = 600

HEAVY = (
    "OCP", "cadquery", "vtk", "vtkmodules", "trimesh", "manifold3d", "ezdxf", "scipy", "typst",
    "zxingcpp", "icalendar", "mitsuba", "mitsuba_oidn", "aiohttp", "matplotlib", "fontTools", "PIL",
)  # fmt: skip
"""What no import of ours may load: it is loaded when it is used."""

PAGE = {"listening", "progress_stream", "request_guard", "server"}
"""Modules of the server itself, which only ``palewright page`` imports."""


def module_of(path: Path) -> str:
    """Return a file's dotted module name."""
    root = next(folder for folder in PACKAGES.values() if path.is_relative_to(folder))
    parts = list(path.relative_to(root.parent).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def lint(folder: Path, contract: str = "") -> subprocess.CompletedProcess[str]:
    """Return what the import contracts say of a copy of the house."""
    chosen = ["--contract", contract] if contract else []
    program = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    way = f"import sys; sys.path[:0] = {[str(folder / root) for root in ('model', 'drawings')]!r}\n"
    return subprocess.run(
        [sys.executable, "-c", way + program, "--no-logo", "--no-cache", *chosen],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip


WRONG = {
    "two-packages": ("palewright.fit.verdict", "import palewright_drawings.output.progress"),
    "model-rooms": ("palewright.construction.boards", "import palewright.loads.weights"),
    "planner-rooms": (
        "palewright.cutting_stock.problem.records",
        "import palewright.cutting_stock.master.highs",
    ),
    "drawing-rooms": (
        "palewright_drawings.paper.figure",
        "import palewright_drawings.figures.views",
    ),
    "no-circles": (
        "palewright.geometry.polygons",
        "from typing import TYPE_CHECKING\n"
        "if TYPE_CHECKING:\n    import palewright.geometry.contours",
    ),
    "door-kernel": ("palewright_drawings.projection.projections", "import cadquery"),
    "door-prisms": ("palewright.fit.ties", "import manifold3d"),
    "door-meshes": ("palewright.fit.ties", "import trimesh"),
    "door-dxf": ("palewright_drawings.cad_files.board_dxf", "import ezdxf"),
    "door-solver": ("palewright.season.season_plan", "import highspy"),
    "door-paper": ("palewright_drawings.documents.labels", "import typst"),
    "door-charts": ("palewright_drawings.texts.price_texts", "import matplotlib"),
    "door-edits": ("palewright.fit.ties", "import tomlkit"),
    "door-terminal": ("palewright_drawings.texts.price_texts", "import rich"),
    "door-cluster": ("palewright_drawings.cli.size_command", "import distributed"),
    "door-tracer": ("palewright_drawings.rendering.scene.scene", "import mitsuba"),
    "door-server": ("palewright_drawings.page.jobs.workers", "import aiohttp"),
}
"""A wrong import for each contract: which module, and what is written into it."""


def test_every_contract_has_a_wrong_import() -> None:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert {one["id"] for one in told["tool"]["importlinter"]["contracts"]} == set(WRONG)


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The house copied, to write wrong imports into."""
    folder = tmp_path_factory.mktemp("house")
    for root in ("model", "drawings"):
        shutil.copytree(
            ROOT / root, folder / root, ignore=shutil.ignore_patterns("*.pyc", "node_modules")
        )
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


@pytest.mark.parametrize("contract", mostly_thorough(sorted(WRONG), "no-circles", "door-kernel"))
def test_a_wrong_import_breaks_its_contract(contract: str, copied: Path) -> None:
    module, line = WRONG[contract]
    path = next(path for path in PATHS if module_of(path) == module)
    right = path.read_text(encoding="utf-8")
    wrong = copied / path.relative_to(ROOT)
    wrong.write_text(f"{right}\n{line}\n", encoding="utf-8")
    broken = lint(copied, contract)
    wrong.write_text(right, encoding="utf-8")
    assert broken.returncode == 1
    assert "BROKEN" in broken.stdout


def test_every_contract_is_kept() -> None:
    kept = lint(ROOT)
    assert kept.returncode == 0, kept.stdout
    assert f"{len(WRONG)} kept, 0 broken" in kept.stdout


def test_importing_everything_loads_no_heavy_library() -> None:
    modules = [name for name in map(module_of, PATHS) if name.rpartition(".")[2] not in PAGE]
    assert len(modules) > 300
    code = (
        f"import importlib, sys\nfor name in {modules!r}: importlib.import_module(name)\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


def test_a_verdict_never_loads_the_cad_kernel() -> None:
    code = (
        "import sys\n"
        "from palewright.parameters.tables import Parameters\n"
        "from palewright.design import design\n"
        "assert design(Parameters()).verdict.passed\n"
        "print([name for name in ('OCP', 'cadquery', 'vtk', 'trimesh') if name in sys.modules])"
    )
    done = run_python("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "[]"


def test_no_file_grows_past_its_limit() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in PATHS}
    assert {path.name: lines for path, lines in lengths.items() if lines > LONGEST_FILE} == {}


def test_only_the_design_stands_outside_a_room() -> None:
    loose = {name: {path.stem for path in home.glob("*.py")} for name, home in PACKAGES.items()}
    assert loose == {"palewright": {"__init__", "design"}, "palewright_drawings": {"__init__"}}


def public_functions(path: Path) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Yield the public functions of a file, and the public methods of its public classes.

    Left out are commands, whose arguments their help tells, and methods that a Protocol explains.
    """
    for one in ast.parse(path.read_text(encoding="utf-8")).body:
        inside = one.body if isinstance(one, ast.ClassDef) else [one]
        for found in inside:
            named = isinstance(found, ast.FunctionDef) and found.name not in PROMISED | COMMANDS
            if named and "_" not in {found.name[0], getattr(one, "name", "_")[0]}:
                yield f"{path.stem}.{found.name}", found


PROMISED = {"best", "all_above"}
"""Methods whose arguments `PricingProblem` tells once for all that it stands for."""

COMMANDS = {"build", "check", "cut", "price", "season", "size", "picture", "listing", "page"}
"""Commands of the command line."""


def test_functions_of_many_arguments_say_what_each_is() -> None:
    """Under ``Args:``, whose completeness ruff sees to (D417)."""
    silent, many = [], 0
    for name, one in itertools.chain.from_iterable(map(public_functions, PATHS)):
        taken = [a.arg for a in (*one.args.posonlyargs, *one.args.args, *one.args.kwonlyargs)]
        if len(set(taken) - {"self", "cls"}) >= 4:
            many += 1
            told = ast.get_docstring(one) or ""
            silent += [] if "Args:" in told or "rguments as for" in told else [name]
    assert silent == []
    assert many > 100


def test_every_room_says_what_is_in_it() -> None:
    rooms = {path.parent for path in PATHS}
    assert all((room / "__init__.py").is_file() for room in rooms)


def test_source_roots_hold_one_package_each() -> None:
    for folder in ("model", "drawings", "tests"):
        assert not (ROOT / folder / "__init__.py").exists()
    for name, folder in PACKAGES.items():
        assert [path.parent.name for path in folder.parent.glob("*/__init__.py")] == [name]


def test_no_source_knows_a_path_of_some_machine() -> None:
    for path in [*PATHS, *sorted((ROOT / "tests").rglob("*.py"))]:
        text = path.read_text(encoding="utf-8")
        for start in ("/home" + "/", "/work" + "/", "/tmp" + "/w", "C:" + "\\Users"):
            assert start not in text, f"{path.name} mentions {start}"
