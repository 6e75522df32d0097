"""What a request asks, turned into a variant; no path is ever taken from a request."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from palewright.design import Design, design
from palewright.errors import InputError, nearest
from palewright.parameters import Parameters
from palewright.settings import OWN_TABLES, keys_of, toml_value
from palewright.toml_records import LARGEST_FILE, Place, table_from_text
from palewright.variant_files import lay_over, parameters_from, read_chain, shipped_variants
from palewright_drawings.page.shop_figures import kept_figures

MOST_CHANGES = 300
"""More keys than a variant file knows: a request with more is none of ours."""

OPENED = "your file"
"""What complaints call a file that was opened in the page."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A variant as a request asks for it.

    Attributes:
        name: of the shipped variant, or ``own-box`` for an opened file.
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
        return design(self.parameters, self.name, figures=kept_figures)


def read_asked(request: Mapping[str, Any]) -> Asked:
    """Return the variant that a request asks for.

    Args:
        request: ``variant``: a shipped variant's name; or ``text``: an opened TOML file;
            ``changes``: values by dotted key, laid over it.

    Raises:
        InputError: for anything that cannot be used.
    """
    text, name, changes = (request.get(key) for key in ("text", "variant", "changes"))
    own: dict[str, Any] = {}
    places: dict[str, Place] = {}
    if text:
        own, places, base = _opened(text)
        name = "own-box"
    else:
        base = _shipped(name, "variant")
    said = read_chain(shipped_variants()[base])[0] if base else {}
    lay_over(said, own)
    checked = _checked_changes({} if changes is None else changes)
    for key, value in checked.items():
        table, _, last = key.partition(".")
        inner = said.setdefault(table, {})
        if not isinstance(inner, dict):
            raise InputError("is not a table", key=table, file=OPENED)
        inner[last] = value
        places[key] = ("", 0)
    return Asked(str(name), base, own, checked, parameters_from(said, places))


def _opened(text: object) -> tuple[dict[str, Any], dict[str, Place], str]:
    """Return what an opened file says, where, and the shipped variant it is based on."""
    if not isinstance(text, str) or len(text.encode()) > LARGEST_FILE:
        raise InputError(f"larger than {LARGEST_FILE // 1024} KiB: no variant file", file=OPENED)
    table, lines = table_from_text(text, OPENED)
    places = {key: (OPENED, line) for key, line in lines.items()}
    base = table.pop("base", "")
    # a base in a folder of the maker's is out of the page's reach: only shipped names
    return table, places, _shipped(base, "base") if base else ""


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
