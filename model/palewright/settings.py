"""Every setting of a variant file as data, and what is made from it.

The template file, the JSON Schema for editors and the reference table are written from the
metadata of the parameter records, so that they cannot disagree with what is read.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from palewright.fields import AUTO, LONGEST_LINE, ONE_LINE, extra_of
from palewright.parameters import Parameters

OWN_TABLES = ("stock", "species")


@dataclass(frozen=True, slots=True)
class Setting:
    """One key of a variant file: how it is written and what it means.

    ``default``, ``low`` and ``high`` are as a person writes them.
    """

    key: str
    kind: Literal["length", "choice", "text", "count", "yes or no"]
    meaning: str
    default: str | int | bool | None
    low: str | int | None = None
    high: str | int | None = None
    among: tuple[str, ...] = ()

    @property
    def may_be_auto(self) -> bool:
        """Whether ``auto`` is allowed."""
        return self.kind == "length" and self.default == AUTO

    @property
    def allowed(self) -> str:
        """Return in words what is allowed."""
        if self.kind == "length":
            return f"{self.low} to {self.high}" + (", or auto" if self.may_be_auto else "")
        if self.kind == "count":
            return f"a whole number, {self.low} to {self.high}"
        if self.kind == "yes or no":
            return "true or false"
        if self.kind == "text":
            return f"one line of at most {LONGEST_LINE} letters, in quotes"
        return ", ".join(self.among) if self.among else "text in quotes"


def _settings_of(model: type[BaseModel], prefix: str) -> list[Setting]:
    """Return the settings of one record, keys prefixed."""
    found = []
    for name, info in model.model_fields.items():
        extra = extra_of(info)
        found.append(
            Setting(
                key=f"{prefix}{name}",
                kind=extra["kind"],
                meaning=info.description or "",
                default=extra["shown"],
                low=extra.get("low"),
                high=extra.get("high"),
                among=tuple(extra.get("among", ())),
            )
        )
    return found


@cache
def tables() -> dict[str, tuple[str, tuple[Setting, ...]]]:
    """Return by table name: what the table is for, and its settings in order."""
    found: dict[str, tuple[str, tuple[Setting, ...]]] = {}
    for name, info in Parameters.model_fields.items():
        model = info.annotation
        if get_origin(model) is None and isinstance(model, type) and issubclass(model, BaseModel):
            purpose = (model.__doc__ or "").strip().splitlines()[0]
            found[name] = (purpose, tuple(_settings_of(model, f"{name}.")))
    return found


@cache
def settings() -> dict[str, Setting]:
    """Return every setting by its dotted key, in the order of the template."""
    return {one.key: one for _, group in tables().values() for one in group}


@cache
def keys_of() -> tuple[str, ...]:
    """Return every dotted key."""
    return tuple(settings())


def allowed_at(key: str) -> str:
    """Return in words what a key allows; empty for a key of the maker's own tables."""
    found = settings().get(key)
    return found.allowed if found else ""


def _toml(value: object) -> str:
    """Return a value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    # the escapes of JSON are a part of TOML's; TOML also wants the delete sign escaped
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


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
    for name, (purpose, group) in tables().items():
        lines += ["", f"# {purpose}", f"[{name}]"]
        for one in group:
            key = one.key.partition(".")[2]
            value = _toml(said.get(name, {}).get(key, one.default) if said else one.default)
            if one.key == "product.title":
                value = _toml(title)
            off = "# " if base and one.key != "product.title" else ""
            lines.append(f"{off}{key} = {value}    # {one.meaning}; {one.allowed}")
    lines += ["", "# Your own lumber and woods go into [stock.NAME] and [species.NAME].", ""]
    return "\n".join(lines)


def reference_table() -> str:
    """Return every setting as a Markdown table."""
    rows = ["| key | default | allowed | meaning |", "| --- | --- | --- | --- |"]
    rows += [
        f"| `{one.key}` | `{_toml(one.default)}` | {one.allowed} | {one.meaning} |"
        for one in settings().values()
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
    if extra.get("kind") == "yes or no":
        return {"type": "boolean"}
    if info.annotation is int:
        return {"type": "integer", **limits}
    if info.annotation is str:
        return {"type": "string", **limits}
    return {"type": ["string", "integer"]}


def _schema_of(setting: Setting) -> dict[str, Any]:
    """Return the JSON Schema of one setting."""
    schema: dict[str, Any] = {"description": f"{setting.meaning}; {setting.allowed}"}
    if setting.kind == "count":
        schema |= {"type": "integer", "minimum": setting.low, "maximum": setting.high}
    elif setting.kind == "yes or no":
        schema["type"] = "boolean"
    else:
        schema["type"] = "string"
        if setting.among:
            schema["enum"] = list(setting.among)
        if setting.kind == "length":
            schema |= _length_schema(setting.may_be_auto)
        if setting.kind == "text":
            schema |= {"maxLength": LONGEST_LINE, "pattern": ONE_LINE}
    schema["default"] = setting.default
    return schema


def _own_table_schema(name: str) -> dict[str, Any]:
    """Return the JSON Schema of ``[stock.NAME]`` or ``[species.NAME]`` tables."""
    annotation = Parameters.model_fields[name].annotation
    model: type[BaseModel] = get_args(annotation)[1]
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


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a variant file, for editors."""
    properties: dict[str, Any] = {
        "base": {"type": "string", "description": "name or file of the variant to begin from"}
    }
    for name, (purpose, group) in tables().items():
        inner = {one.key.partition(".")[2]: _schema_of(one) for one in group}
        properties[name] = {
            "type": "object",
            "description": purpose,
            "properties": inner,
            "additionalProperties": False,
        }
    for name in OWN_TABLES:
        properties[name] = _own_table_schema(name)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "palewright variant",
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }
