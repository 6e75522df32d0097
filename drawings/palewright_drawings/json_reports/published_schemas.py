"""JSON Schemas of what the tool tells other programs, made from the records that it is built of."""

from __future__ import annotations

import re
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema

from palewright_drawings.json_reports.report import ReportJson
from palewright_drawings.json_reports.verdicts import CheckJson

PUBLISHED: dict[str, type[Any]] = {"check": CheckJson, "report": ReportJson}
"""What is told, by name: by ``check --json``, and in a packet's ``report.json``."""


class _Told(GenerateJsonSchema):
    """Pydantic's JSON Schema without titles: each key is one."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Give no field a title."""
        return False


def published_schema(name: str) -> dict[str, Any]:
    """Return a JSON Schema (draft 2020-12); objects of ours have no keys but those it names."""
    made = TypeAdapter(PUBLISHED[name]).json_schema(schema_generator=_Told)
    for record in (made, *made.get("$defs", {}).values()):
        record.pop("title", None)
        record["additionalProperties"] = False
        record["description"] = _sentence(record.get("description", ""))
    title = f"palewright {name}"
    return {"$schema": _Told.schema_dialect, **made, "title": title}


def _sentence(text: str) -> str:
    """Return a docstring in one line, without its marks of code."""
    return re.sub(r"\s+", " ", text).replace("``", "").strip()
