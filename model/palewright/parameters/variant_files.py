"""Parameters read from a variant file, its bases, and settings typed on the command line.

Variants whose bases lead to the same first one are a family.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from palewright.parameters.schema import keys_of, toml_value, unknown_key
from palewright.parameters.tables import Parameters
from palewright.parameters.toml_reader import FileLine, read_table, record_from
from palewright.reading.errors import InputError, nearest

DEEPEST_CHAIN = 16  # bases of bases; a chain so long is a mistake


@dataclass(frozen=True, slots=True)
class Variant:
    """A variant ready to design: its name, parameters, where each key was said, and its file."""

    name: str
    parameters: Parameters
    places: Mapping[str, FileLine]
    said: Mapping[str, Any]
    path: Path

    def located(self, error: InputError) -> InputError:
        """Return ``error`` with the file and line at which its key was said."""
        file, line = self.places.get(error.key, ("", 0))
        return error.at(file=file, line=line)


def shipped_folder() -> Path:
    """Return the folder of the shipped variants: in the wheel, or in the source tree."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "variants", package.parents[1] / "variants"):
        if folder.is_dir():
            return folder
    raise InputError("the shipped variants are missing; install palewright again")


def shipped_variants() -> dict[str, Path]:
    """Return the shipped variant files by name, in alphabetical order."""
    return {path.stem: path for path in sorted(shipped_folder().glob("*.toml"))}


def find_variant(name: str, beside: Path | None = None) -> Path:
    """Return the file of a variant given by name or path.

    Args:
        name: a path, or the name of a file in the folder, or a shipped name: in this order.
        beside: the folder of the file that mentions it as its base; else the present one.

    Raises:
        InputError: if there is no such file, naming the nearest that there is.
    """
    looks_like_path = name.endswith(".toml") or "/" in name or "\\" in name
    folder = Path() if beside is None else beside
    near = [folder / f"{name}.toml"]
    near += [folder / name] if looks_like_path or beside is not None else []
    for path in reversed(near):
        if _is_file(path):
            return path
    shipped = shipped_variants()
    if not looks_like_path and name in shipped:
        return shipped[name]
    if _is_folder(folder / name):
        raise InputError("is a folder; name a file in it", file=name)
    if looks_like_path:
        raise InputError("no such variant file", file=name)
    known = [*own_variants(folder), *shipped]
    raise InputError(f"no variant '{name}'{nearest(name, known)}; see: palewright variants")


def own_variants(folder: Path) -> dict[str, Path]:
    """Return by name the files of a folder that may be variants: those that say nothing else."""
    found = {}
    for path in sorted(folder.glob("*.toml")):
        try:
            tables = read_table(path)[0].keys()
        except InputError:
            continue
        if tables and tables <= {"base", *Parameters.model_fields}:
            found[path.stem] = path
    return found


def _is_folder(path: Path) -> bool:
    """Return whether there is such a folder; a name that no file can have is none."""
    try:
        return path.is_dir()
    except OSError:
        return False


def _is_file(path: Path) -> bool:
    """Return whether there is such a file; a name that no file can have is none."""
    try:
        return path.is_file()
    except OSError:
        return False


def load_variant(name: str, typed: Sequence[str] = ()) -> Variant:
    """Return the variant of a name or path, with ``KEY=VALUE`` settings laid over it.

    Raises:
        InputError: for anything that cannot be used, with file, line, key and what is allowed.
    """
    path = find_variant(name)
    if not path.stem.isprintable():  # it names folders, and stands in every plan
        raise InputError("the name holds signs that do not print; rename it", file=str(path))
    said, places = read_chain(path)
    for setting in typed:
        key, value = read_setting(setting)
        put_value(said, key, value)
        places[key] = ("--set", 0)
    parameters = parameters_from(said, places)
    return Variant(path.stem, parameters, places, said, path)


def read_chain(path: Path) -> tuple[dict[str, Any], dict[str, FileLine]]:
    """Return what a file and its bases say, nearest last, and where each key was said.

    Raises:
        InputError: for a missing base, a cycle, or a file that is no variant.
    """
    chain: list[Path] = []
    tables: list[tuple[dict[str, Any], dict[str, FileLine]]] = []
    current: Path | None = path
    while current is not None:
        whole = current.resolve()
        if whole in chain:
            names = " -> ".join(link.stem for link in [*chain, whole])
            raise InputError(f"bases go in a circle: {names}", key="base", file=str(path))
        if len(chain) == DEEPEST_CHAIN:
            raise InputError(f"more than {DEEPEST_CHAIN} bases deep", key="base", file=str(path))
        chain.append(whole)
        table, lines = read_table(current)
        base = table.pop("base", None)
        tables.append((table, {key: (str(current), line) for key, line in lines.items()}))
        current = None if base is None else _base_file(base, current, lines.get("base", 0))
    said: dict[str, Any] = {}
    places: dict[str, FileLine] = {}
    for table, where in reversed(tables):
        lay_over(said, table)
        places.update(where)
    return said, places


def base_of(path: Path) -> Path | None:
    """Return the file that a variant file begins from, if any.

    Raises:
        InputError: if it cannot be read, or there is no such base.
    """
    table, lines = read_table(path)
    base = table.get("base")
    return None if base is None else _base_file(base, path, lines.get("base", 0))


def _base_file(base: object, child: Path, line: int) -> Path:
    """Return the file that ``base = …`` names, or complain at its line."""
    if not isinstance(base, str) or not base:
        raise InputError(
            "base takes a variant's name in quotes", key="base", file=str(child), line=line
        )
    try:
        return find_variant(base, beside=child.parent)
    except InputError as error:
        raise InputError(
            f"no base '{base}'{nearest(base, shipped_variants())}",
            key="base",
            file=str(child),
            line=line,
        ) from error


def lay_over(under: dict[str, Any], over: Mapping[str, Any]) -> None:
    """Lay the tables of ``over`` upon ``under``, key by key."""
    for key, value in over.items():
        if isinstance(value, Mapping) and isinstance(under.get(key), dict):
            lay_over(under[key], value)
        else:
            under[key] = dict(value) if isinstance(value, Mapping) else value


def read_setting(setting: str) -> tuple[str, object]:
    """Return the key and value of one ``KEY=VALUE``.

    The value is TOML where it reads as such (true, 3, "text"), else plain text, so that the
    shell's quotes are enough: ``--set box.width="20 in"``.

    Raises:
        InputError: if there is no ``=``, or no key before it.
    """
    key, equals, value = setting.partition("=")
    key = key.strip()
    if not equals or not key:
        raise InputError(f"--set takes KEY=VALUE, such as box.width='20 in'; got '{setting}'")
    try:
        return key, tomllib.loads(f"value = {value.strip()}")["value"]
    except (ValueError, RecursionError):
        return key, value.strip()


def put_value(tables: dict[str, Any], key: str, value: object) -> None:
    """Put a value at a dotted key.

    Raises:
        InputError: if the key names no known setting.
    """
    known = keys_of()
    free = key.startswith(("stock.", "species.")) and key.count(".") == 2
    if key not in known and not free:
        raise InputError(unknown_key(key, known), key=key, file="--set")
    *path, last = key.split(".")
    table = tables
    for part in path:
        inner = table.setdefault(part, {})
        if not isinstance(inner, dict):
            raise InputError("is not a table", key=part)
        table = inner
    table[last] = value


def parameters_from(said: Mapping[str, Any], places: Mapping[str, FileLine]) -> Parameters:
    """Return the checked parameters of what files and settings said.

    Raises:
        InputError: for the first value that is not allowed, at its place.
    """
    return record_from(Parameters, said, places)


_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,60}")


def derived_text(
    variant: Variant,
    called: str,
    place: Path,
    typed: Sequence[str],
    settings: Sequence[tuple[str, object]],
    title: str,
) -> str:
    """Return a variant file that says only what differs from the variant it is made of.

    Args:
        variant: what it is made of.
        called: how that was named: a shipped name or a path.
        place: where the file goes; a base that is a file is named as seen from there.
        typed: ``KEY=VALUE`` that were laid over the variant.
        settings: key and value of what changes.
        title: what the customer reads.
    """
    base = called
    if not (called in shipped_variants() and variant.path == shipped_variants()[called]):
        base = Path(os.path.relpath(variant.path.resolve(), place.parent.resolve())).as_posix()
    said: dict[str, Any] = {"product": {"title": title}}
    for key, value in [*map(read_setting, typed), *settings]:
        put_value(said, key, value)
    lines = [f"base = {toml_value(base)}"]
    for table, values in _tables_of(said):
        lines += ["", f"[{table}]", *(f"{key} = {toml_value(v)}" for key, v in values.items())]
    return "\n".join([*lines, ""])


def _tables_of(said: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the tables of a file by name, with their own keys."""
    for name, values in said.items():
        own = {key: value for key, value in values.items() if not isinstance(value, Mapping)}
        if own:
            yield f"{before}{name}", own
        inner = {key: value for key, value in values.items() if isinstance(value, Mapping)}
        yield from _tables_of(inner, f"{before}{name}.")


TAKEN = "is there already; choose another name"
"""What is said where something stands at the place of a new file."""


def new_variant_path(name: str) -> Path:
    """Return the path at which ``new`` may start a variant file.

    Args:
        name: a name such as ``porch-tub``, or a path that ends in ``.toml``.

    Raises:
        InputError: if the name cannot be a file's, or something is there already.
    """
    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    if not _NAME.fullmatch(path.stem):
        raise InputError(
            f"'{name}' cannot name a variant; allowed: letters, digits, - _ . and at most 60"
        )
    if not path.parent.is_dir():
        raise InputError("no such folder", file=str(path.parent))
    if path.exists():
        raise InputError(TAKEN, file=str(path))
    return path


Relatives = Callable[[], Sequence[tuple[str, Parameters]]]
"""Gives the variants of one family, by name, when somebody asks for them."""

MOST_RELATIVES = 8
"""So many relatives are told of at most: the plan's page holds them."""


def relatives_of(path: Path) -> tuple[tuple[str, Parameters], ...]:
    """Return (name, parameters) of the variants in a file's folder that share its first base.

    The file itself is left out, and so is whatever cannot be read: it is not what was asked for.
    By name, at most `MOST_RELATIVES`.
    """
    root = _root(path)
    if root is None:
        return ()
    found = []
    for other in sorted(path.resolve().parent.glob("*.toml")):
        if other == path.resolve() or _root(other) != root:
            continue
        try:
            found.append((other.stem, load_variant(str(other)).parameters))
        except InputError:
            continue
    return tuple(found[:MOST_RELATIVES])


def _root(path: Path) -> Path | None:
    """Return the file at which a variant's bases end: itself where it has none."""
    current = path.resolve()
    try:
        for _ in range(DEEPEST_CHAIN):
            base = base_of(current)
            if base is None:
                return current
            current = base.resolve()
    except InputError:
        pass
    return None
