"""Every setting of a variant file as data, and what is made from it.

The template file, the JSON Schema for editors and the reference table are written from the
metadata of the parameter records, so that they cannot disagree with what is read. The shop's
rates and a season are files of the same kind, with records of their own.
"""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core.core_schema import NullableSchema, WithDefaultSchema

from palewright.parameters.tables import Parameters
from palewright.reading.errors import nearest
from palewright.reading.fields import Setting, setting_of

OWN_TABLES = ("stock", "species")


def _setting_of(key: str, info: FieldInfo) -> Setting:
    """Return one field as a setting under its key."""
    return replace(setting_of(info), key=key)


@cache
def tables(model: type[BaseModel] = Parameters) -> dict[str, tuple[str, tuple[Setting, ...]]]:
    """Return by table name: what the table is for, and its settings in order."""
    found: dict[str, tuple[str, tuple[Setting, ...]]] = {}
    for name, info in model.model_fields.items():
        table = info.annotation
        if get_origin(table) is None and isinstance(table, type) and issubclass(table, BaseModel):
            purpose = (table.__doc__ or "").strip().splitlines()[0]
            fields = table.model_fields.items()
            found[name] = (purpose, tuple(_setting_of(f"{name}.{key}", one) for key, one in fields))
    return found


@cache
def settings(model: type[BaseModel] = Parameters) -> dict[str, Setting]:
    """Return every setting by its dotted key, in the order of the template."""
    return {one.key: one for _, group in tables(model).values() for one in group}


@cache
def keys_of(model: type[BaseModel] = Parameters) -> tuple[str, ...]:
    """Return every dotted key."""
    return tuple(settings(model))


def own_tables(model: type[BaseModel]) -> dict[str, type[BaseModel]]:
    """Return the record of each kind of table that the maker names, such as ``[stock.NAME]``."""
    found = {}
    for name, info in model.model_fields.items():
        if get_origin(info.annotation) is Mapping:
            found[name] = get_args(info.annotation)[1]
    return found


def allowed_at(key: str, model: type[BaseModel] = Parameters) -> str:
    """Return in words what a key allows; empty where nothing is known of it."""
    found = settings(model).get(key)
    if found is None:
        table, _, name = key.rpartition(".")
        record = own_tables(model).get(table.partition(".")[0])
        info = record.model_fields.get(name) if record and "." in table else None
        if info is not None and isinstance(info.json_schema_extra, Setting):
            found = _setting_of(key, info)
    return found.allowed if found else ""


FORMER = {
    "size.narrower_stiles": "size.least_stile",
    "size.narrower_rails": "size.least_rail",
    "size.narrower_step": "size.least_stile and size.least_rail: the search knows the widths",
    "size.either_wall": "size.walls",
}
"""Keys that are none any more, and what is said now."""


def unknown_key(key: str, known: Iterable[str]) -> str:
    """Return what is said of a key that names no setting."""
    if key in FORMER:
        return f"is no key any more; say now {FORMER[key]}"
    known = list(known)
    named = [one for one in known if one.endswith(f".{key}")]  # the table was left out
    meant = f"; did you mean '{named[0]}'?" if named else nearest(key, known)
    return f"unknown key{meant}"


def toml_value(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)
    # the escapes of JSON are a part of TOML's; TOML also wants the delete sign escaped
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


FEW = (
    "product.title", "product.units", "box.kind", "box.width", "box.depth", "box.height",
    "lumber.board", "face.front", "cap.style", "floor.kind", "liner.fit", "site.stands_on",
)  # fmt: skip
"""The settings that a maker changes first (judgement)."""


def template_lines(
    model: type[BaseModel],
    said: Mapping[str, Any] | None = None,
    off: Container[str] = (),
    keys: Container[str] | None = None,
    names: Mapping[str, Iterable[str]] | None = None,
) -> list[str]:
    """Return the tables of a file, a line a setting with its meaning and what is allowed.

    Args:
        model: the record of the file.
        said: values by table and key, shown instead of the defaults.
        off: keys that are commented out.
        keys: those that are written; all by default.
        names: that a key may have, where only another room knows them.
    """
    lines, known = [], names or {}
    for name, (purpose, every) in tables(model).items():
        group = [one for one in every if keys is None or one.key in keys]
        if not group:
            continue
        lines += ["", f"# {purpose}", f"[{name}]"]
        for one in group:
            key = one.key.partition(".")[2]
            value = said.get(name, {}).get(key, one.default) if said else one.default
            mark = "# " if one.key in off else ""
            allowed = ", ".join(known[one.key]) if one.key in known else one.allowed
            lines.append(f"{mark}{key} = {toml_value(value)}    # {one.meaning}; {allowed}")
    return lines


def template(
    title: str = "Untitled box",
    base: str = "",
    said: Mapping[str, Any] | None = None,
    few: bool = False,
    names: Mapping[str, Iterable[str]] | None = None,
) -> str:
    """Return a variant file that says every setting with its default, commented.

    Args:
        title: what the customer reads.
        base: name of a variant to begin from; then every setting is left commented out.
        said: what the base says, by table and key: shown instead of the defaults.
        few: only what is changed first.
        names: that a key may have, where only another room knows them.
    """
    lines = ["# A variant of your own. Lengths take a unit: '16 1/2 in', '16-1/2\"', '419 mm'."]
    if base:
        lines += ["# Only what differs from the base needs a line: take the # off it.", ""]
        lines += [f'base = "{base}"']
    shown = {**(said or {})}
    shown["product"] = {**shown.get("product", {}), "title": title}
    off = set(keys_of()) - {"product.title"} if base else ()
    lines += template_lines(Parameters, shown, off, FEW if few else None, names)
    if few:
        lines += [
            "",
            "# More: palewright settings; a file with all of them: palewright new --all",
        ]
    lines += ["", "# Your own lumber and woods go into [stock.NAME] and [species.NAME].", ""]
    return "\n".join(lines)


def reference_rows(model: type[BaseModel] = Parameters) -> list[tuple[str, str, str, str]]:
    """Return (key, default, what is allowed, meaning) of every setting."""
    return [
        (one.key, toml_value(one.default), one.allowed, one.meaning)
        for one in settings(model).values()
    ]


class _Written(GenerateJsonSchema):
    """Pydantic's JSON Schema of what a file says, not of what is read from it."""

    def default_schema(self, schema: WithDefaultSchema) -> JsonSchemaValue:
        """Leave out the default in mm: each setting says its own, as a person writes it."""
        return self.generate_inner(schema["schema"])

    def nullable_schema(self, schema: NullableSchema) -> JsonSchemaValue:
        """Leave out null: TOML has none."""
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Give no field a title: its key is one."""
        return False


def json_schema(model: type[BaseModel] = Parameters) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a variant file, or of another, for editors."""
    made = model.model_json_schema(schema_generator=_Written)
    for table in made["$defs"].values():
        del table["title"]  # the class's name, which no file says
        table["description"] = table["description"].partition("\n")[0]
    if model is Parameters:
        based = "name or file of the variant to begin from"
        made["properties"] = {
            "base": {"type": "string", "description": based},
            **made["properties"],
        }
    title = "variant" if model is Parameters else model.__name__.lower()
    return {"$schema": _Written.schema_dialect, **made, "title": f"palewright {title}"}
