"""Parameter records: defaults, ranges, refusals; and what is generated from their metadata."""

from __future__ import annotations

import json
import math
import pickle
import tomllib
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from pydantic import ValidationError

from case_lists import tried
from palewright.catalogue.lumber import shipped_stock
from palewright.construction.box_layout import lay_out
from palewright.parameters.schema import (
    OWN_TABLES,
    allowed_at,
    json_schema,
    keys_of,
    reference_rows,
    settings,
    tables,
    template,
)
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError
from palewright.reading.fields import Setting
from palewright.reading.lengths import read_length
from palewright.reading.quantities import read_quantity

MINE: dict[str, Any] = {
    "thickness": "20 mm", "width": "140 mm", "length": "2 m", "price": "4.50", "species": "larch"
}  # fmt: skip
LARCH: dict[str, Any] = {"density": 590, "color": "#c08040"}
SCHEMA = json_schema()
EDITOR = jsonschema.Draft202012Validator(SCHEMA)


def one(key: str, value: Any) -> dict[str, Any]:
    """The tables of a variant file that says one key."""
    table, _, name = key.partition(".")
    return {table: {name: value}}


def refusal(said: dict[str, Any]) -> InputError:
    """The complaint about what a file says."""
    with pytest.raises(InputError) as refused:
        parameters_from(said, {})
    assert "\n" not in str(refused.value)
    return refused.value


def value_of(parameters: Parameters, key: str) -> Any:
    """The value of a dotted key."""
    table, _, name = key.partition(".")
    return getattr(getattr(parameters, table), name)


BY_KIND: dict[str, list[Setting]] = {}
for _setting in settings().values():
    BY_KIND.setdefault(_setting.kind, []).append(_setting)

LENGTHS = BY_KIND["length"]


def test_parameters_are_frozen() -> None:
    with pytest.raises(ValidationError):
        Parameters().box.width = 3.0  # type: ignore[misc]


def test_every_kind_of_setting_is_there() -> None:
    assert set(BY_KIND) == {"length", "choice", "text", "count", "yes or no", "quantity"}
    assert len(keys_of()) >= 59
    assert allowed_at("box.width") == "6 in to 96 in"
    assert allowed_at("panel.lip").endswith("or auto")
    assert allowed_at("stock.mine.thickness") == "1/4 in to 4 in"
    assert allowed_at("stock.mine.nothing") == ""


@pytest.mark.parametrize("setting", LENGTHS, ids=lambda s: s.key)
def test_a_length_takes_its_whole_range_and_not_a_hair_more(setting: Setting) -> None:
    low, high = read_length(setting.low), read_length(setting.high)
    assert 0 <= low < high
    for text in (str(setting.low), str(setting.high)):
        parameters = parameters_from(one(setting.key, text), {})
        assert value_of(parameters, setting.key) == read_length(text)
    for text in (f"{high + 0.001:.4f} mm", f"{low - 0.001:.4f} mm"):
        refused = refusal(one(setting.key, text))
        assert refused.key == setting.key
        assert str(setting.low) in refused.message and str(setting.high) in refused.message


@pytest.mark.parametrize("setting", LENGTHS, ids=lambda s: s.key)
@pytest.mark.parametrize(
    "value",
    [16, 16.5, math.nan, math.inf, True, "16", "16 kg", "-1 in", "1e9 in", "nan in", "", [], {}],
    ids=repr,
)
def test_a_length_refuses_what_is_none(setting: Setting, value: Any) -> None:
    assert refusal(one(setting.key, value)).key == setting.key


@pytest.mark.parametrize("setting", LENGTHS, ids=lambda s: s.key)
def test_auto_is_taken_only_where_the_tool_works_it_out(setting: Setting) -> None:
    if setting.may_be_auto:
        assert value_of(parameters_from(one(setting.key, "auto"), {}), setting.key) is None
    else:
        assert refusal(one(setting.key, "auto")).key == setting.key


@pytest.mark.parametrize("setting", BY_KIND["count"], ids=lambda s: s.key)
def test_a_count_takes_whole_numbers_in_its_range(setting: Setting) -> None:
    low, high = int(setting.low or 0), int(setting.high or 0)
    for value in (low, high):
        assert value_of(parameters_from(one(setting.key, value), {}), setting.key) == value
    for bad in (low - 1, high + 1, 10**30, 2.5, float(low), "3", True, math.nan):
        assert refusal(one(setting.key, bad)).key == setting.key


@pytest.mark.parametrize("setting", BY_KIND["quantity"], ids=lambda s: s.key)
def test_a_quantity_takes_its_whole_range_with_its_unit(setting: Setting) -> None:
    assert setting.quantity is not None
    low, unit = str(setting.low).split()
    high = str(setting.high).split()[0]
    for text in (str(setting.low), str(setting.high), f"{high}{unit}", f" {low}  {unit} "):
        value = value_of(parameters_from(one(setting.key, text), {}), setting.key)
        assert value == read_quantity(text, setting.quantity)
    for text in (f"{float(high) + 0.01:.2f} {unit}", f"{float(low) - 0.01:.2f} {unit}"):
        refused = refusal(one(setting.key, text))
        assert refused.key == setting.key
        assert str(setting.low) in refused.message and str(setting.high) in refused.message
    for bad in (40, 40.0, "40", "40 in", "forty mph", f"1e3 {unit}", f"nan {unit}", "", True, []):
        assert refusal(one(setting.key, bad)).key == setting.key


@pytest.mark.parametrize("setting", BY_KIND["yes or no"], ids=lambda s: s.key)
def test_yes_or_no_takes_nothing_else(setting: Setting) -> None:
    for value in (True, False):
        assert value_of(parameters_from(one(setting.key, value), {}), setting.key) is value
    for bad in (0, 1, "true", "yes", None):
        assert "true or false" in refusal(one(setting.key, bad)).message


@pytest.mark.parametrize("setting", BY_KIND["choice"], ids=lambda s: s.key)
def test_a_choice_names_what_is_allowed(setting: Setting) -> None:
    for word in setting.among:
        assert value_of(parameters_from(one(setting.key, word), {}), setting.key) == word
    if setting.among:
        refused = refusal(one(setting.key, "no such word"))
        assert refused.key == setting.key
        assert all(word in refused.message for word in setting.among)
    assert refusal(one(setting.key, 3)).key == setting.key


@pytest.mark.parametrize("setting", BY_KIND["text"], ids=lambda s: s.key)
def test_free_text_is_one_short_line(setting: Setting) -> None:
    assert value_of(parameters_from(one(setting.key, "Größe 3"), {}), setting.key) == "Größe 3"
    assert refusal(one(setting.key, "x" * 201)).key == setting.key
    assert refusal(one(setting.key, "two\nlines")).key == setting.key


@pytest.mark.parametrize(
    ("said", "key", "word"),
    [
        ({"box": {"witdh": "20 in"}}, "box.witdh", "'width'"),
        ({"bxo": {"width": "20 in"}}, "bxo", "'box'"),
        ({"panel": {"stile": "3 in"}}, "panel.stile", "'stile_width'"),
        ({"box": 3}, "box", "[box]"),
        ({"box": [{"width": "20 in"}]}, "box", "[box]"),
        ({"stock": {"mine": MINE | {"thicknes": "1 in"}}}, "stock.mine.thicknes", "unknown key"),
        ({"stock": {"mine": {"thickness": "20 mm"}}}, "stock.mine.width", "missing"),
        ({"stock": {"mine": MINE | {"price": 4.5}}}, "stock.mine.price", "quotes"),
        ({"stock": {"mine": MINE | {"price": "-1"}}}, "stock.mine.price", "between 0"),
        ({"stock": {"mine": MINE | {"price": "NaN"}}}, "stock.mine.price", "between 0"),
        ({"stock": {"mine": MINE | {"price": "dear"}}}, "stock.mine.price", "not a price"),
        ({"stock": {"mine": MINE | {"thickness": "5 in"}}}, "stock.mine.thickness", "127"),
        ({"stock": {"mine": MINE | {"thickness_spread": "11 mm"}}}, "stock.mine", "at most half"),
        ({"stock": 3}, "stock", "[stock]"),
        ({"species": {"larch": LARCH | {"color": "brown"}}}, "species.larch.color", "brown"),
        ({"species": {"larch": LARCH | {"density": 5}}}, "species.larch.density", "5"),
    ],
)  # fmt: skip
def test_a_refusal_names_the_key_and_the_way_out(said: dict[str, Any], key: str, word: str) -> None:
    refused = refusal(said)
    assert refused.key == key
    assert word in refused.message


def test_own_lumber_and_woods_are_used_before_the_shipped() -> None:
    said = {
        "lumber": {"board": "mine", "cap": "same", "post": "fence-58"},
        "stock": {"mine": MINE, "fence-58": MINE},
        "species": {"larch": LARCH},
    }
    parameters = parameters_from(said, {})
    mine = parameters.materials.stock["board"]
    assert mine.thickness == 20.0 and mine.width == 140.0 and mine.length == 2000.0
    assert str(mine.price) == "4.50"
    assert parameters.materials.stock["cap"] is mine
    assert parameters.materials.stock["post"] == mine
    assert parameters.materials.species[mine].density == 590
    assert parameters_from({}, {}).materials.stock["board"].thickness == pytest.approx(15.875)


def test_unknown_names_are_refused_with_what_there_is() -> None:
    with pytest.raises(InputError, match="fence-58") as refused:
        parameters_from({"lumber": {"cap": "oak"}}, {}).materials.stock["cap"]
    assert refused.value.key == "lumber.cap"
    with pytest.raises(InputError, match="#8 x 1 in") as refused:
        parameters_from({"screws": {"wall": "nail"}}, {}).materials.screw["wall"]
    assert refused.value.key == "screws.wall"
    parameters = parameters_from({"stock": {"mine": MINE}}, {})
    with pytest.raises(InputError, match="cedar"):
        parameters.materials.species[parameters.stock["mine"]]


def test_what_a_box_does_not_use_is_not_refused() -> None:
    said = {"lumber": {"post": "oak"}, "screws": {"floor": "nail"}}
    parameters = parameters_from(said, {})
    assert lay_out(parameters).boards
    for asked in ({"corner": {"style": "post"}}, {"floor": {"kind": "hung"}}):
        with pytest.raises(
            InputError, match=r"^(lumber\.post: no stock 'oak'|screws\.floor: 'nail')"
        ):
            lay_out(parameters_from({**said, **asked}, {}))


def test_a_copy_and_a_copy_in_another_process_have_materials_of_their_own() -> None:
    parameters = parameters_from({"screws": {"wall": "#8 x 40 mm"}}, {})
    before = parameters.materials.stock["board"], parameters.materials.screw["wall"]
    lumber = parameters.lumber.model_copy(update={"board": "two-by-2"})
    changed = parameters.model_copy(update={"lumber": lumber})
    assert changed.materials.stock["board"] == shipped_stock()["two-by-2"] != before[0]
    sent = pickle.loads(pickle.dumps(parameters))
    assert (sent.materials.stock["board"], sent.materials.screw["wall"]) == before
    assert sent == parameters == parameters_from({"screws": {"wall": "#8 x 40 mm"}}, {})
    assert sent.materials.stock["cap"] == before[0]  # asked for there first


def test_the_template_says_every_default() -> None:
    written = tomllib.loads(template())
    assert Parameters.model_validate(written) == Parameters()
    assert {f"{table}.{key}" for table, inner in written.items() for key in inner} == set(keys_of())


def test_a_template_with_a_base_says_nothing_but_the_title() -> None:
    written = tomllib.loads(template(title='The "long" one \\ 2', base="stoop-tub"))
    assert written.pop("base") == "stoop-tub"
    assert written.pop("product") == {"title": 'The "long" one \\ 2'}
    assert all(inner == {} for inner in written.values())


@given(st.text(max_size=60))
def test_a_template_takes_any_title(title: str) -> None:
    assert tomllib.loads(template(title=title))["product"]["title"] == title


def test_the_reference_lists_exactly_every_key() -> None:
    rows = reference_rows()
    assert [key for key, *_ in rows] == list(keys_of())
    for (_, default, *told), one in zip(rows, settings().values(), strict=True):
        assert told == [one.allowed, one.meaning]
        assert tomllib.loads(f"default = {default}")


def test_every_setting_has_a_meaning_and_every_table_a_purpose() -> None:
    for purpose, group in tables().values():
        assert purpose.endswith(".") and group
        assert all(setting.meaning for setting in group)


def test_the_schema_is_a_valid_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    assert set(SCHEMA["properties"]) == {"base", *tables(), *OWN_TABLES}
    written = {f"{t}.{k}": said for t in tables() for k, said in table_schema(t).items()}
    assert list(written) == list(keys_of())
    for key, setting in settings().items():
        # a default as a person writes it, never in mm; what it says of itself must let it through
        assert written[key]["default"] == setting.default
        assert jsonschema.Draft202012Validator(written[key]).is_valid(setting.default)


def table_schema(name: str) -> dict[str, Any]:
    """The schemas of a table's keys, by key."""
    return SCHEMA["$defs"][SCHEMA["properties"][name]["$ref"].rpartition("/")[2]]["properties"]


GOOD: list[dict[str, Any]] = [
    {},
    tomllib.loads(template()),
    *(one(s.key, s.default) for s in settings().values()),
    *(one(s.key, s.low) for s in (*LENGTHS, *BY_KIND["count"], *BY_KIND["quantity"])),
    *(one(s.key, s.high) for s in (*LENGTHS, *BY_KIND["count"], *BY_KIND["quantity"])),
    {"species": {"larch": LARCH | {"gravity": 0.5, "bending": "450 psi", "shrink_tangential": 4}}},
    {"species": {"larch": LARCH | {"stiffness": "9000 MPa", "breaking": "7.7 ksi"}}},
    *(
        one("box.width", text)
        for text in (
            "16½ in", "16-1/2\"", "1 ft 4 in", "1' 4\"", "419 mm", "41.9 cm", ".5 m", "16.5 IN",
            " 16 inches ", "16 0/1 in", "16½″", "1′4″", "2 Feet",
        )
    ),
    one("panel.setback", "½ in"),
    one("panel.setback", "¾″"),
    {"stock": {"mine": MINE}, "species": {"larch": LARCH}},
    {"stock": {"mine": MINE | {"price": 4, "meaning": "larch board"}}},
    {"species": {"larch": LARCH | {"treated": True}}},
]  # fmt: skip
BAD: list[dict[str, Any]] = [
    {"nonsense": {}},
    {"species": {"larch": LARCH | {"shrink_radial": 4}}},  # was a key once, that nothing read
    {"box": 3},
    {"box": {"witdh": "20 in"}},
    *(one(s.key, value) for s in LENGTHS for value in (16, 16.5, True, "16", "sixteen")),
    *(one(s.key, "auto") for s in LENGTHS if not s.may_be_auto),
    *(one(s.key, value) for s in BY_KIND["count"] for value in (-1, 10**9, "3", True, 2.5)),
    *(one(s.key, value) for s in BY_KIND["yes or no"] for value in (0, "yes")),
    *(one(s.key, value) for s in BY_KIND["choice"] for value in (3, True)),
    *(one(s.key, "no such word") for s in BY_KIND["choice"] if s.among),
    {"product": {"title": "x" * 201}},
    {"stock": {"mine": {"thickness": "20 mm"}}},
    {"stock": {"mine": MINE | {"colour": "red"}}},
    {"stock": {"mine": MINE | {"thickness": 20}}},
    {"stock": {"mine": MINE | {"price": 4.5}}},
    {"species": {"larch": LARCH | {"treated": "no"}}},
    {"species": {"larch": LARCH | {"density": "heavy"}}},
    {"species": {"larch": LARCH | {"color": "brown"}}},
    *(one(s.key, value) for s in BY_KIND["quantity"] for value in (16, True, "16", "16 in", "mph")),
    {"species": {"larch": LARCH | {"gravity": 5.5}}},
    {"species": {"larch": LARCH | {"gravity": "0.5"}}},
    {"species": {"larch": LARCH | {"bending": "450"}}},
]


@pytest.mark.parametrize("said", GOOD, ids=lambda said: str(said)[:50])
def test_schema_and_reader_take_the_same(said: dict[str, Any]) -> None:
    parameters_from(said, {})
    assert not list(EDITOR.iter_errors(said))


@pytest.mark.parametrize("said", BAD, ids=lambda said: str(said)[:50])
def test_schema_and_reader_refuse_the_same(said: dict[str, Any]) -> None:
    assert refusal(said).key
    assert list(EDITOR.iter_errors(said))


WORDS = st.sampled_from(["in", "mm", '"', "ft", "auto", "same", "true", "16", "1/2", "-", " ", "½"])
ODDITIES = st.one_of(
    st.none(), st.booleans(), st.integers(-5, 5), st.floats(), st.text(max_size=12),
    st.lists(WORDS, max_size=5).map("".join), st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)  # fmt: skip


@hypothesis_settings(
    max_examples=tried(300), deadline=None, suppress_health_check=list(HealthCheck)
)
@given(st.sampled_from(keys_of()), ODDITIES)
def test_what_the_reader_takes_the_schema_takes(key: str, value: Any) -> None:
    """The reader also knows ranges of lengths, so the other way round only plain cases agree."""
    if value is None:
        return  # no file can say None
    said = one(key, value)
    try:
        parameters_from(said, {})
    except InputError as refused:
        assert refused.key.startswith(key)
        assert "\n" not in str(refused)
    else:
        assert not list(EDITOR.iter_errors(said))


NAMES = st.one_of(
    st.sampled_from(["box", "width", "stock", "mine", "species", "lumber", "price"]),
    st.text(min_size=1, max_size=5),
)
NESTED = st.recursive(
    ODDITIES, lambda inner: st.dictionaries(NAMES, inner, max_size=3), max_leaves=12
)


@hypothesis_settings(max_examples=tried(200), deadline=None)
@given(NESTED)
def test_any_data_is_parameters_or_refused(data: Any) -> None:
    if not isinstance(data, dict):
        data = {"box": data}
    try:
        parameters_from(data, {})
    except InputError as refused:
        assert refused.key or "" in data
        assert "\n" not in str(refused)
