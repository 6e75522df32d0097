"""Records read from TOML files, each complaint with its file, line, key and what is allowed."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from palewright.parameters.schema import (
    FORMER,
    allowed_at,
    keys_of,
    own_tables,
    settings,
    unknown_key,
)
from palewright.reading.errors import InputError
from palewright.reading.fields import Record
from palewright.reading.lengths import both_units
from palewright.reading.quantities import print_quantity

LARGEST_FILE = 256 * 1024  # bytes; the longest shipped variant has 3 KB

_ENDLESS = re.compile(
    r"""(?<![\w"'.-])(?:(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){20}"""
    r"|\b0[xob]\w{400}"
)
"""Keys of 20 parts, and numbers of 400 digits that are not decimal: the parser takes memory by the
square of the first (a file of 240 KB fills 50 GB), and Python does not print the second."""

FileLine = tuple[str, int]
"""A file as the user named it, and a line in it (0 when unknown)."""

Some = TypeVar("Some", bound=Record)


def read_table(path: Path, kind: str = "variant") -> tuple[dict[str, Any], dict[str, int]]:
    """Return the TOML of one file and the line of each of its keys.

    Args:
        path: the file.
        kind: what it should be, for complaints: variant, shop, season.

    Raises:
        InputError: if it cannot be read, is too large, is binary, empty, or not TOML.
    """
    shown = str(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError(
                f"larger than {LARGEST_FILE // 1024} KiB: this is no {kind} file", file=shown
            )
        content = path.read_bytes().decode("utf-8")
    except UnicodeDecodeError:
        raise InputError(f"not UTF-8 text: this is no {kind} file", file=shown) from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", file=shown) from None
    return table_from_text(content, shown, kind)


def table_from_text(
    content: str, shown: str, kind: str = "variant"
) -> tuple[dict[str, Any], dict[str, int]]:
    """Return the TOML of a text and the line of each of its keys.

    Args:
        content: the text.
        shown: what complaints call the file.
        kind: what it should be, for complaints: variant, shop, season.

    Raises:
        InputError: if it is empty, or not TOML.
    """
    if found := _ENDLESS.search(content):
        line = content.count("\n", 0, found.start()) + 1
        raise InputError(
            f"a key of 20 parts or a number of 400 digits: this is no {kind} file",
            file=shown,
            line=line,
        )
    try:
        table = tomllib.loads(content)
    except (ValueError, RecursionError) as error:  # ValueError also for 5000 digits
        deep = isinstance(error, RecursionError)
        said = "nested too deeply" if deep else str(error)
        raise _not_toml(said, content, shown) from None
    if not table:
        see = {"variant": "new"}.get(kind, kind)
        raise InputError(f"says nothing; see: palewright {see}", file=shown)
    return table, key_lines(content)


def _not_toml(problem: str, content: str, shown: str) -> InputError:
    """Return one line for what the parser says of a text: where, what, and what is allowed."""
    found = re.search(r" \(at (?:line (\d+).*|end of document)\)$", problem)
    if found is None:
        return InputError(f"not TOML: {problem}", file=shown)
    what, line = problem[: found.start()], int(found[1] or content.count("\n") + 1)
    allowed = "a line is [table], key = value or # remark; sizes and other texts are in quotes"
    if what.startswith("Cannot"):  # overwrite a value, declare a table again
        allowed = "each key and each table is said once"
    return InputError(f"not TOML: {what}; {allowed}", file=shown, line=line)


_HEADER = re.compile(r"^\s*\[([^\[\]]+)\]\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*([A-Za-z0-9_.\"'-]+(?:\s*\.\s*[A-Za-z0-9_\"'-]+)*)\s*=")


def key_lines(content: str) -> dict[str, int]:
    """Return the line number of each dotted key and table of a TOML text.

    The parser of the standard library keeps no positions; this reads the plain forms that
    variant files use. A key it does not see is reported without a line, never wrongly parsed.
    """
    lines: dict[str, int] = {}
    table = ""
    for number, text in enumerate(content.splitlines(), start=1):
        if header := _HEADER.match(text):
            table = _plain(header[1])
            lines.setdefault(table, number)
        elif key := _KEY.match(text):
            lines[".".join(part for part in (table, _plain(key[1])) if part)] = number
    return lines


def _plain(key: str) -> str:
    """Return a dotted key without quotes and blanks."""
    return ".".join(part.strip().strip("\"'") for part in key.split("."))


def record_from(model: type[Some], said: Mapping[str, Any], places: Mapping[str, FileLine]) -> Some:
    """Return the checked record of what files and settings said.

    Raises:
        InputError: for the first value that is not allowed, at its place.
    """
    try:
        return model.model_validate(dict(said))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        cause = first.get("ctx", {}).get("error")
        inner = cause.key if isinstance(cause, InputError) else ""
        key = inner or ".".join(str(part) for part in first["loc"])
        file, line = _place_of(key, places)
        raise InputError(_complaint(model, first, key), key=key, file=file, line=line) from None


def _siblings(model: type[Record], table: str) -> list[str]:
    """Return the keys that a table knows; the tables themselves for no table."""
    if not table:
        return sorted({known.split(".")[0] for known in keys_of(model)} | set(own_tables(model)))
    own = own_tables(model).get(table.partition(".")[0])
    if own is not None:
        return list(own.model_fields)
    return [known.rpartition(".")[2] for known in keys_of(model) if known.startswith(f"{table}.")]


def _place_of(key: str, places: Mapping[str, FileLine]) -> FileLine:
    """Return where a key was said, or else the nearest table above it."""
    while key:
        if key in places:
            return places[key]
        key = key.rpartition(".")[0]
    return "", 0


def _complaint(model: type[Record], error: ErrorDetails, key: str) -> str:
    """Return one line for one complaint of the record reader."""
    kind = error["type"]
    table, _, name = key.rpartition(".")
    if kind == "extra_forbidden":
        return unknown_key(key if key in FORMER else name, _siblings(model, table))
    allowed = allowed_at(key, model)
    value = error.get("input")
    shown = repr(value) if not isinstance(value, dict | list) else "a table"
    if kind == "missing":
        return "is missing"
    if kind in ("model_type", "dict_type", "mapping_type"):
        return f"is a table: write [{key}]"
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, InputError):
        return cause.message
    if cause is not None:
        return str(cause)
    known = settings(model).get(key)
    if isinstance(value, float) and known and known.kind == "length":
        shown = both_units(value)
    if isinstance(value, float) and known and known.quantity:
        shown = print_quantity(value, known.quantity)
    if len(shown) > 50:
        shown = f"{shown[:47]}…"
    return f"{shown} is not allowed; allowed: {allowed or error['msg']}"
