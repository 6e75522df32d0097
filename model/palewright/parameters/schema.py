"""Every setting of a variant file as data, and what is made from it.

The template file, the JSON Schema for editors and the reference table are written from the
metadata of the parameter records, so that they cannot disagree with what is read. The shop's
rates and a season are files of the same kind, with records of their own.
"""

from __future__ import annotations

import json
from collections.abc import Container, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from palewright.parameters.tables import Parameters
from palewright.reading.fields import AUTO, LONGEST_LINE, ONE_LINE, extra_of
from palewright.reading.quantities import Quantity, quantity_pattern

OWN_TABLES = ("stock", "species")


Kind = Literal[
    "length", "choice", "text", "count", "number", "amount", "quantity", "date", "yes or no"
]
"""What a setting holds; an amount is money, a quantity any other number with its unit."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One key of a variant file: how it is written and what it means.

    ``default``, ``low`` and ``high`` are as a person writes them.
    """

    key: str
    kind: Literal[
        "length", "choice", "text", "count", "number", "amount", "quantity", "date", "yes or no"
    ]
    meaning: str
    default: str | float | bool | None
    low: str | float | None = None
    high: str | float | None = None
    among: tuple[str, ...] = ()
    quantity: Quantity | None = None

    @property
    def may_be_auto(self) -> bool:
        """Whether ``auto`` is allowed."""
        return self.kind == "length" and self.default == AUTO

    @property
    def allowed(self) -> str:
        """Return in words what is allowed."""
        if self.kind == "length":
            return f"{self.low} to {self.high}" + (", or auto" if self.may_be_auto else "")
        if self.kind == "quantity":
            return f"{self.low} to {self.high}"
        if self.kind == "count":
            return f"a whole number, {self.low} to {self.high}"
        if self.kind == "yes or no":
            return "true or false"
        if self.kind in ("number", "amount"):
            quoted = ", in quotes" if self.kind == "amount" else ""
            return f"{self.low} to {self.high}{quoted}"
        if self.kind == "date":
            return "a date such as 2027-04-24, without quotes"
        if self.kind == "text":
            return f"one line of at most {LONGEST_LINE} letters, in quotes"
        return ", ".join(self.among) if self.among else "text in quotes"


def _setting_of(key: str, info: FieldInfo) -> Setting:
    """Return one field as a setting."""
    extra = extra_of(info)
    return Setting(
        key=key,
        kind=extra["kind"],
        meaning=info.description or "",
        default=extra["shown"],
        low=extra.get("low"),
        high=extra.get("high"),
        among=tuple(extra.get("among", ())),
        quantity=extra.get("quantity"),
    )


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
        if info is not None and isinstance(info.json_schema_extra, dict):
            found = _setting_of(key, info)
    return found.allowed if found else ""


def toml_value(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return str(value)
    # the escapes of JSON are a part of TOML's; TOML also wants the delete sign escaped
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def template_lines(
    model: type[BaseModel], said: Mapping[str, Any] | None = None, off: Container[str] = ()
) -> list[str]:
    """Return the tables of a file, a line a setting with its meaning and what is allowed.

    Args:
        model: the record of the file.
        said: values by table and key, shown instead of the defaults.
        off: keys that are commented out.
    """
    lines = []
    for name, (purpose, group) in tables(model).items():
        lines += ["", f"# {purpose}", f"[{name}]"]
        for one in group:
            key = one.key.partition(".")[2]
            value = said.get(name, {}).get(key, one.default) if said else one.default
            mark = "# " if one.key in off else ""
            lines.append(f"{mark}{key} = {toml_value(value)}    # {one.meaning}; {one.allowed}")
    return lines


def template(
    title: str = "Untitled box", base: str = "", said: Mapping[str, Any] | None = None
) -> str:
    """Return a variant file that says every setting with its default, commented.

    Args:
        title: what the customer reads.
        base: name of a variant to begin from; then every setting is left commented out.
        said: what the base says, by table and key: shown instead of the defaults.
    """
    lines = ["# A variant of your own. Lengths take a unit: '16 1/2 in', '16-1/2\"', '419 mm'."]
    if base:
        lines += ["# Only what differs from the base needs a line: take the # off it.", ""]
        lines += [f'base = "{base}"']
    shown = {**(said or {})}
    shown["product"] = {**shown.get("product", {}), "title": title}
    off = set(keys_of()) - {"product.title"} if base else ()
    lines += template_lines(Parameters, shown, off)
    lines += ["", "# Your own lumber and woods go into [stock.NAME] and [species.NAME].", ""]
    return "\n".join(lines)


def reference_table(model: type[BaseModel] = Parameters) -> str:
    """Return every setting as a Markdown table."""
    rows = ["| key | default | allowed | meaning |", "| --- | --- | --- | --- |"]
    rows += [
        f"| `{one.key}` | `{toml_value(one.default)}` | {one.allowed} | {one.meaning} |"
        for one in settings(model).values()
    ]
    return "\n".join(rows) + "\n"


def _any_case(word: str) -> str:
    """Return a pattern for a word in capital or small letters, or both."""
    return "".join(f"[{c}{c.upper()}]" for c in word)


_UNITS = "|".join(
    _any_case(u) for u in ("in", "inch", "inches", "ft", "foot", "feet", "mm", "cm", "m")
)
_LENGTH = rf"[0-9½¼¾⅛⅜⅝⅞].*({_UNITS}|[\"'″′])"
"""What an editor can tell of a length: an amount, then a unit. The reader knows more."""


def _length_schema(may_be_auto: bool = False) -> dict[str, Any]:
    """Return the JSON Schema of a length."""
    plain = rf"[-−]?.*{_LENGTH}"
    return {
        "type": "string",
        "pattern": rf"^\s*({AUTO}|{plain})\s*$" if may_be_auto else rf"^{plain}\s*$",
    }


_KIND_SCHEMAS: dict[str, dict[str, Any]] = {
    "yes or no": {"type": "boolean"},
    "date": {"type": "string", "format": "date"},
    "amount": {"type": ["string", "integer"], "pattern": r"^\s*[0-9][0-9_]*(\.[0-9]+)?\s*$"},
}
"""The JSON Schema of a kind of setting, as far as an editor can tell."""


def _own_field_schema(info: FieldInfo) -> dict[str, Any]:
    """Return the JSON Schema of one field of the maker's own tables."""
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    limits: dict[str, Any] = {}
    for limit in info.metadata:
        for here, there in (("ge", "minimum"), ("le", "maximum"), ("pattern", "pattern")):
            value = getattr(limit, here, None)
            if value is not None:
                limits[there] = value
    if extra.get("kind") == "length":
        return _length_schema()
    if extra.get("kind") == "quantity":
        return {"type": "string", "pattern": quantity_pattern(extra["quantity"])}  # type: ignore[arg-type]
    if extra.get("kind") in _KIND_SCHEMAS:
        return _KIND_SCHEMAS[str(extra["kind"])]
    if extra.get("kind") == "number":
        return {"type": "number", **limits}
    if info.annotation in (int, float):
        return {"type": "integer" if info.annotation is int else "number", **limits}
    if info.annotation is str:
        return {"type": "string", **limits}
    return {"type": ["string", "integer"]}


def _schema_of(setting: Setting) -> dict[str, Any]:
    """Return the JSON Schema of one setting."""
    schema: dict[str, Any] = {"description": f"{setting.meaning}; {setting.allowed}"}
    if setting.kind == "count":
        schema |= {"type": "integer", "minimum": setting.low, "maximum": setting.high}
    elif setting.kind == "number":
        schema |= {"type": "number", "minimum": setting.low, "maximum": setting.high}
    elif setting.kind in _KIND_SCHEMAS:
        schema |= _KIND_SCHEMAS[setting.kind]
    else:
        schema["type"] = "string"
        if setting.among:
            schema["enum"] = list(setting.among)
        if setting.kind == "length":
            schema |= _length_schema(setting.may_be_auto)
        if setting.kind == "text":
            schema |= {"maxLength": LONGEST_LINE, "pattern": ONE_LINE}
        if setting.quantity:
            schema["pattern"] = quantity_pattern(setting.quantity)
    schema["default"] = setting.default
    return schema


def _own_table_schema(model: type[BaseModel]) -> dict[str, Any]:
    """Return the JSON Schema of tables that the maker names, such as ``[stock.NAME]``."""
    fields = {
        field: {"description": info.description or field, **_own_field_schema(info)}
        for field, info in model.model_fields.items()
    }
    needed = [field for field, info in model.model_fields.items() if info.is_required()]
    one = {
        "type": "object",
        "properties": fields,
        "required": needed,
        "additionalProperties": False,
    }
    return {"type": "object", "additionalProperties": one}


def json_schema(model: type[BaseModel] = Parameters) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a variant file, or of another, for editors."""
    properties: dict[str, Any] = {}
    if model is Parameters:
        based = "name or file of the variant to begin from"
        properties["base"] = {"type": "string", "description": based}
    for name, (purpose, group) in tables(model).items():
        inner = {one.key.partition(".")[2]: _schema_of(one) for one in group}
        properties[name] = {
            "type": "object",
            "description": purpose,
            "properties": inner,
            "additionalProperties": False,
        }
    for name, record in own_tables(model).items():
        properties[name] = _own_table_schema(record)
    title = "variant" if model is Parameters else model.__name__.lower()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"palewright {title}",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }
