"""A variant file changed in place, its remarks kept; and what it changed of what it began from."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from palewright.parameters.schema import settings, toml_value
from palewright.parameters.variant_files import (
    Variant,
    base_of,
    read_chain,
    read_setting,
    shipped_folder,
)
from palewright.reading.errors import InputError

_NOT_THE_BOX = ("product.", "plan.", "jig.", "size.", "site.")
"""Keys that are nothing of how the box is built: taking them back cures nothing."""

TYPED = "--set"
"""Stands as the file of what was typed on the command line."""


def is_shipped(variant: Variant) -> bool:
    """Return whether it is a shipped variant, whose file is not the maker's."""
    return variant.path.resolve().parent == shipped_folder().resolve()


def own_keys(variant: Variant) -> list[str]:
    """Return the keys that were typed, then those that the maker's own file says."""
    typed = [key for key, (file, _) in variant.places.items() if file == TYPED]
    there = [key for key, (file, _) in variant.places.items() if file == str(variant.path)]
    if is_shipped(variant):
        there = []
    return [key for key in (*typed, *there) if key in settings()]


def taken_back(variant: Variant) -> list[tuple[str, str]]:
    """Return key and value, as ``--set`` takes it, of what it would be without the own keys.

    Of a typed key that is what the file says, of a key of the file what its base says, else the
    default.
    """
    file = read_chain(variant.path)[0]
    base = base_of(variant.path)
    under = read_chain(base)[0] if base is not None else {}
    found = []
    for key in own_keys(variant):
        told = file if variant.places[key][0] == TYPED else under
        before = _value(told, key)
        if before != _value(variant.said, key) and not key.startswith(_NOT_THE_BOX):
            found.append((key, before.strip('"')))
    return found


def _value(said: Mapping[str, Any], key: str) -> str:
    """Return what tables say of a key, as TOML writes it, or its default."""
    table, _, name = key.partition(".")
    return toml_value(said.get(table, {}).get(name, settings()[key].default))


def with_changes(text: str, changes: Iterable[tuple[str, str]], shown: str = "") -> str:
    """Return the text of a variant file with some settings changed, all else as it stands.

    Args:
        text: of the file.
        changes: key and value, as ``--set`` takes it.
        shown: what complaints call the file.

    Raises:
        InputError: if it is written in a way in which that cannot be done.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    wanted = tomllib.loads(text)
    try:
        document = tomlkit.parse(text)
        for key, value in changes:
            table, _, name = key.partition(".")
            worth = read_setting(f"{key}={value}")[1]
            wanted.setdefault(table, {})[name] = worth
            if table not in document:
                document.add(table, tomlkit.table())
            document[table][name] = worth
        changed = tomlkit.dumps(document)
        kept = tomllib.loads(changed) == wanted
    except (TOMLKitError, tomllib.TOMLDecodeError, TypeError):
        kept = False
    if not kept:
        raise InputError(
            "cannot be changed as it is written; put the settings in by hand", file=shown
        )
    return changed
