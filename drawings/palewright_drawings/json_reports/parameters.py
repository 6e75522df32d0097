"""The parameters of a design as JSON-ready data: every key, lengths in mm and as shop text."""

from __future__ import annotations

from typing import Any

from typing_extensions import TypedDict

from palewright.parameters.schema import OWN_TABLES, tables
from palewright.parameters.tables import Parameters
from palewright.reading.fields import AUTO
from palewright.reading.lengths import print_length
from palewright.reading.quantities import INSIDE, Quantity, print_quantity


class LengthJson(TypedDict):
    """A length: mm to 0.1 µm, and as the shop writes it."""

    mm: float
    text: str


class QuantityJson(TypedDict):
    """A force, speed, load and the like: SI, and text in both systems."""

    value: float
    unit: str
    text: str


ParametersJson = dict[str, dict[str, Any]]
"""Every parameter by table and key; lengths and quantities as above, ``"auto"`` where it is."""


def length_as_json(length: float, system: str) -> LengthJson:
    """Return a length (mm) as ``{"mm", "text"}``: mm to 0.1 µm, text in inches or mm."""
    return {"mm": round(length, 4) + 0.0, "text": print_length(length, system)}


def quantity_as_json(value: float, quantity: Quantity) -> QuantityJson:
    """Return a quantity as ``{"value", "unit", "text"}``: SI, and text in both systems."""
    return {
        "value": round(value, 4) + 0.0,
        "unit": INSIDE[quantity],
        "text": print_quantity(value, quantity),
    }


def parameters_as_json(parameters: Parameters) -> ParametersJson:
    """Return every parameter by table and key, bases and defaults filled in.

    A length is ``{"mm", "text"}``, or ``"auto"``; a force, speed and the like ``{"value", "unit",
    "text"}``; the maker's own stock and species are given
    with plain numbers in mm.
    """
    system = parameters.product.units
    found: ParametersJson = {}
    for table, (_, group) in tables().items():
        record = getattr(parameters, table)
        found[table] = {}
        for setting in group:
            key = setting.key.partition(".")[2]
            value = getattr(record, key)
            if setting.kind == "length":
                value = AUTO if value is None else length_as_json(value, system)
            if setting.quantity:
                value = quantity_as_json(value, setting.quantity)
            found[table][key] = value
    for table in OWN_TABLES:
        own = getattr(parameters, table)
        if own:
            found[table] = {name: own[name].model_dump(mode="json") for name in sorted(own)}
    return found
