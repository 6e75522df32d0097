"""The house itself: data flows one way, heavy libraries stay behind doors, nothing sprawls."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = {
    "palewright": ROOT / "model" / "palewright",
    "palewright_drawings": ROOT / "drawings" / "palewright_drawings",
}
LONGEST_FILE = 600

DOORS: dict[str, set[str]] = {
    "cadquery": {"palewright.solids"},
    "OCP": {"palewright.solids"},
    "manifold3d": {"palewright.prisms"},
    "trimesh": {"palewright.surfaces"},
    "ezdxf": set(),
    "typst": set(),
    "segno": set(),
    "icalendar": set(),
    "mitsuba": set(),
    "mitsuba_oidn": set(),
    "aiohttp": set(),
}
"""Modules of the model that may import a heavy library."""

DRAWING_DOORS = {
    "cadquery": ("step", "assembl", "project", "view", "solid"),
    "OCP": ("step", "assembl", "project", "view", "solid"),
    "manifold3d": (),
    "trimesh": ("mesh", "glb", "stl"),
    "ezdxf": ("dxf", "flat"),
    "typst": ("typst",),
    "segno": ("code",),
    "icalendar": ("calendar",),
    "mitsuba": ("renderers",),
    "mitsuba_oidn": ("renderers",),
    "aiohttp": ("servers", "guards", "streams", "doors"),
}
"""What a drawing module's name must hold for it to import a heavy library."""

STAGES = (
    ("parameters", "variant_files", "settings"),
    ("boards", "boxes"),
    ("solids",),
    ("findings", "verdicts"),
)


def sources() -> list[Path]:
    """Every module of both packages."""
    return sorted(path for folder in PACKAGES.values() for path in folder.rglob("*.py"))


def module_of(path: Path) -> str:
    """Return a file's dotted module name."""
    root = next(folder for folder in PACKAGES.values() if path.is_relative_to(folder))
    parts = list(path.relative_to(root.parent).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_of(path): path for path in sources()}
PATHS = sorted(MODULES.values())


@cache
def tree_of(path: Path) -> ast.Module:
    """Return a file as a syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def typing_only(node: ast.stmt) -> bool:
    """Whether a statement is ``if TYPE_CHECKING:``."""
    if not isinstance(node, ast.If):
        return False
    test = node.test
    return (isinstance(test, ast.Name) and test.id == "TYPE_CHECKING") or (
        isinstance(test, ast.Attribute) and test.attr == "TYPE_CHECKING"
    )


def statements(body: list[ast.stmt], inside: bool = False) -> Iterator[tuple[ast.stmt, bool]]:
    """Yield every statement that can run, and whether it is inside a function."""
    for node in body:
        if typing_only(node):
            assert isinstance(node, ast.If)
            yield from statements(node.orelse, inside)
            continue
        yield node, inside
        deeper = inside or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        for name in ("body", "orelse", "finalbody"):
            yield from statements(getattr(node, name, []), deeper)
        for handler in getattr(node, "handlers", []):
            yield from statements(handler.body, deeper)
        for case in getattr(node, "cases", []):
            yield from statements(case.body, deeper)


@cache
def imports(path: Path) -> list[tuple[str, bool]]:
    """Return (module, whether it is imported only when used) of each import that can run."""
    found = []
    for node, inside in statements(tree_of(path).body):
        if isinstance(node, ast.Import):
            found += [(alias.name, inside) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                package = module_of(path).split(".")
                up = node.level - (1 if path.name == "__init__.py" else 0)
                base = ".".join([*package[: len(package) - up], base]).rstrip(".")
            for alias in node.names:
                whole = f"{base}.{alias.name}"
                found.append((whole if whole in MODULES else base, inside))
    return found


def test_both_packages_are_found() -> None:
    assert len(MODULES) > 40
    assert {"palewright.units", "palewright.checks.clashes", "palewright_drawings"} <= set(MODULES)
    assert ("palewright.units", False) in imports(MODULES["palewright.fields"])
    assert ("palewright.checks", False) in imports(MODULES["palewright.verdicts"])
    assert ("cadquery", True) in imports(MODULES["palewright.solids"])
    assert ("cadquery", False) not in imports(MODULES["palewright.solids"])


def test_the_model_never_imports_the_drawings() -> None:
    backward = [
        (module, name)
        for module, path in MODULES.items()
        if module.split(".")[0] == "palewright"
        for name, _ in imports(path)
        if name.split(".")[0] == "palewright_drawings"
    ]
    assert backward == []


def test_data_flows_from_parameters_to_boards_to_solids_to_findings() -> None:
    reached = {module: _reached(module) for module in MODULES}
    for earlier, later in ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3)):
        for first in STAGES[earlier]:
            for second in STAGES[later]:
                assert f"palewright.{second}" not in reached[f"palewright.{first}"], (first, second)


def _reached(module: str) -> set[str]:
    """Return every module that importing one module imports, now or later."""
    found: set[str] = set()
    open_ends = [module]
    while open_ends:
        for name, _ in imports(MODULES[open_ends.pop()]):
            if name in MODULES and name not in found:
                found.add(name)
                open_ends.append(name)
    return found


def test_no_module_imports_itself_round_a_circle() -> None:
    state: dict[str, int] = {}

    def visit(module: str, way: tuple[str, ...]) -> None:
        if state.get(module) == 2:
            return
        assert state.get(module) != 1, f"imports go in a circle: {' -> '.join((*way, module))}"
        state[module] = 1
        for name, _ in imports(MODULES[module]):
            package_itself = module.startswith(f"{name}.")
            if name in MODULES and not package_itself:
                visit(name, (*way, module))
        state[module] = 2

    for module in MODULES:
        visit(module, ())


@pytest.mark.parametrize("library", sorted(DOORS))
def test_a_heavy_library_has_one_door_and_is_loaded_only_when_used(library: str) -> None:
    for module, path in MODULES.items():
        for name, when_used in imports(path):
            if name.split(".")[0] != library:
                continue
            assert when_used, f"{module} imports {library} at its top"
            if module.startswith("palewright."):
                assert module in DOORS[library], f"{module} imports {library}"
            else:
                last = module.rpartition(".")[2]
                words = DRAWING_DOORS[library]
                assert any(word in last for word in words), f"{module} imports {library}"


def test_every_door_of_the_model_is_used() -> None:
    for library, doors in DOORS.items():
        for module in doors:
            names = {name.split(".")[0] for name, _ in imports(MODULES[module])}
            assert library in names or library == "OCP"


@pytest.mark.parametrize(
    "modules",
    ["palewright.verdicts, palewright.design", "palewright.variant_files, palewright.settings"],
)
def test_importing_the_model_loads_no_heavy_library(modules: str) -> None:
    heavy = ("OCP", "cadquery", "vtk", "vtkmodules", "trimesh", "manifold3d", "ezdxf", "scipy")
    code = f"import sys, {modules}; print([name for name in {heavy} if name in sys.modules])"
    assert _run(code) == "[]"


def test_a_verdict_never_loads_the_cad_kernel() -> None:
    code = (
        "import sys\n"
        "from palewright.parameters import Parameters\n"
        "from palewright.design import design\n"
        "assert design(Parameters()).verdict.passed\n"
        "print([name for name in ('OCP', 'cadquery', 'vtk', 'trimesh') if name in sys.modules])"
    )
    assert _run(code) == "[]"


def _run(code: str) -> str:
    """Return what a fresh interpreter prints."""
    way = [str(ROOT / "model"), str(ROOT / "drawings")]
    before = f"import sys; sys.path[:0] = {way!r}\n"
    done = subprocess.run(
        [sys.executable, "-c", before + code], capture_output=True, text=True, check=True
    )
    return done.stdout.strip()


@pytest.mark.parametrize("path", PATHS, ids=[str(path.relative_to(ROOT)) for path in PATHS])
def test_every_public_name_says_what_it_is(path: Path) -> None:
    silent = []
    tree = tree_of(path)
    if not ast.get_docstring(tree):
        silent.append("the module")

    def look(body: list[ast.stmt], prefix: str) -> None:
        for node in body:
            named = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
            if not isinstance(node, named):
                continue
            hidden = node.name.startswith("_") and not node.name.startswith("__")
            special = node.name.startswith("__")
            if not hidden and not special and not ast.get_docstring(node):
                silent.append(prefix + node.name)
            if isinstance(node, ast.ClassDef):
                look(node.body, f"{prefix}{node.name}.")

    look(tree.body, "")
    assert silent == []


@pytest.mark.parametrize("path", PATHS, ids=[str(path.relative_to(ROOT)) for path in PATHS])
def test_no_file_grows_past_its_limit(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_source_roots_hold_one_package_each() -> None:
    for folder in ("model", "drawings", "tests"):
        assert not (ROOT / folder / "__init__.py").exists()
    for name, folder in PACKAGES.items():
        beside = {path.name for path in folder.parent.glob("*/__init__.py")}
        assert beside <= {"__init__.py"}
        assert [path.parent.name for path in folder.parent.glob("*/__init__.py")] == [name]


def test_no_source_knows_a_path_of_some_machine() -> None:
    for path in [*PATHS, *sorted((ROOT / "tests").glob("*.py"))]:
        text = path.read_text(encoding="utf-8")
        for start in ("/home" + "/", "/work" + "/", "/tmp" + "/w", "C:" + "\\Users"):
            assert start not in text, f"{path.name} mentions {start}"
