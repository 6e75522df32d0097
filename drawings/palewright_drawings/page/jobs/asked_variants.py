"""What a request asks, turned into a variant; no path is ever taken from a request."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from palewright.design import Design, design
from palewright.parameters.schema import OWN_TABLES, keys_of, toml_value
from palewright.parameters.tables import Parameters
from palewright.parameters.toml_reader import LARGEST_FILE, FileLine, table_from_text
from palewright.parameters.variant_files import (
    lay_over,
    parameters_from,
    read_chain,
    shipped_variants,
)
from palewright.reading.errors import InputError, nearest

MOST_CHANGES = 300
"""More keys than a variant file knows: a request with more is none of ours."""

OPENED = "your file"
"""What complaints call an opened file without a name."""

NAMELESS = "own-box"
"""What a box is called if its file has no name that a folder can have."""

_LONGEST_NAME = 60
"""Letters of an opened file's name that are shown: it comes from outside."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A variant as a request asks for it.

    Attributes:
        name: of the shipped variant, of the opened file, or made of the title that is set in the
            page; fit for a folder.
        base: the shipped variant that it begins from; empty if it stands alone.
        own: what an opened file says beyond its base, by table and key.
        changes: settings made in the page, by dotted key.
        parameters: all of it together, checked.
    """

    name: str
    base: str
    own: Mapping[str, Any]
    changes: Mapping[str, Any]
    parameters: Parameters

    def design(self) -> Design:
        """Return its design; nothing is worked out yet."""
        return design(self.parameters, self.name)


def read_asked(request: Mapping[str, Any]) -> Asked:
    """Return the variant that a request asks for.

    Args:
        request: ``variant``: a shipped variant's name; or ``text``: an opened TOML file, and
            ``file``: what it is called; ``changes``: values by dotted key, laid over it.

    Raises:
        InputError: for anything that cannot be used.
    """
    text, name, changes = (request.get(key) for key in ("text", "variant", "changes"))
    own: dict[str, Any] = {}
    places: dict[str, FileLine] = {}
    file = _shown(request.get("file"))
    if text is not None:
        own, places, base = _opened(text, file)
        name = box_name(file)
    else:
        base = _shipped(name, "variant")
    said = read_chain(shipped_variants()[base])[0] if base else {}
    lay_over(said, own)
    checked = _checked_changes({} if changes is None else changes)
    for key, value in checked.items():
        table, _, last = key.partition(".")
        inner = said.setdefault(table, {})
        if not isinstance(inner, dict):
            raise InputError("is not a table", key=table, file=file)
        inner[last] = value
        places[key] = ("", 0)
    title = checked.get("product.title")
    if isinstance(title, str):  # who names a box has its files called so
        name = box_name(title.lower()) if title.strip() else name
    try:
        return Asked(str(name), base, own, checked, parameters_from(said, places))
    except InputError as error:
        if text is None or error.key in checked:
            raise
        raise error.at(file=file) from None  # of the file, though its line is not known


def _shown(file: object) -> str:
    """Return what complaints call an opened file: its own name, without signs that do not print."""
    said = file if isinstance(file, str) else ""
    return "".join(sign for sign in said if sign.isprintable())[:_LONGEST_NAME].strip() or OPENED


def box_name(file: str) -> str:
    """Return a box's name, made of its file's or title: letters, digits, ``-``, ``_``, inner dots.

    A packet's folder is named by it, so nothing of it may lead to another place.
    """
    stem = "" if file == OPENED else re.sub(r"\.toml$", "", file, flags=re.IGNORECASE)
    return re.sub(r"[^\w.-]+", "-", stem).strip("-._") or NAMELESS


def _opened(text: object, file: str) -> tuple[dict[str, Any], dict[str, FileLine], str]:
    """Return what an opened file says, where, and the shipped variant it is based on."""
    if not isinstance(text, str) or len(text.encode()) > LARGEST_FILE:
        raise InputError(f"larger than {LARGEST_FILE // 1024} KiB: no variant file", file=file)
    if all(line.lstrip()[:1] in ("", "#") for line in text.splitlines()):
        raise InputError(f"is empty; a variant file begins with {_bases()}", file=file)
    table, lines = table_from_text(text, file)
    places = {key: (file, line) for key, line in lines.items()}
    base = table.pop("base", "")
    try:
        # a base in a folder of the maker's is out of the page's reach: only shipped names
        return table, places, _shipped(base, "base") if base else ""
    except InputError as error:
        raise error.at(file=file, line=lines.get("base", 0)) from None


def _bases() -> str:
    """Return how a variant file may begin, in words."""
    return "base = and one of " + ", ".join(f'"{name}"' for name in shipped_variants())


def _shipped(name: object, key: str) -> str:
    """Return a shipped variant's name; anything else is refused."""
    known = shipped_variants()
    if not isinstance(name, str) or name not in known:
        shown = str(name)[:40]
        raise InputError(
            f"no shipped variant '{shown}'{nearest(shown, known)}; allowed: {', '.join(known)}",
            key=key,
        )
    return name


def _checked_changes(changes: object) -> dict[str, Any]:
    """Return the changes if each names a known key and holds a plain value."""
    if not isinstance(changes, Mapping) or len(changes) > MOST_CHANGES:
        raise InputError(f"takes at most {MOST_CHANGES} values by key", key="changes")
    known = keys_of()
    for key, value in changes.items():
        if key not in known:
            raise InputError(f"unknown key{nearest(str(key), known)}", key=str(key)[:60])
        if not isinstance(value, str | int | float | bool):
            raise InputError("takes text, a number, true or false", key=key)
    return dict(changes)


def saved_toml(asked: Asked) -> str:
    """Return a variant file that says what is asked: the base's name and what differs from it."""
    lines = ["# Saved by palewright page."]
    if asked.base:
        lines += [f"base = {toml_value(asked.base)}"]
    said: dict[str, dict[str, Any]] = {}
    lay_over(said, asked.own)
    for key, value in asked.changes.items():
        table, _, last = key.partition(".")
        said.setdefault(table, {})[last] = value
    for name, whole in said.items():
        if name in OWN_TABLES:
            for one, inner in whole.items():
                lines += _table_lines(f"{name}.{toml_value(one)}", inner)
        else:
            lines += _table_lines(name, whole)
    return "\n".join(lines) + "\n"


def _table_lines(header: str, table: Mapping[str, Any]) -> list[str]:
    """Return one table of a TOML file."""
    return ["", f"[{header}]", *(f"{key} = {toml_value(value)}" for key, value in table.items())]
