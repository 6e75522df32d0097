"""Variant files: bases, places of keys, settings typed on the command line, and broken files."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.parameters.schema import template
from palewright.parameters.tables import Parameters
from palewright.parameters.toml_reader import LARGEST_FILE, key_lines
from palewright.parameters.variant_files import (
    DEEPEST_CHAIN,
    find_variant,
    lay_over,
    load_variant,
    new_variant_path,
    put_value,
    read_chain,
    read_setting,
    shipped_variants,
)
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH


def write(folder: Path, name: str, text: str) -> Path:
    """Write a variant file."""
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refusal(path: Path | str, *typed: str) -> InputError:
    """The complaint about a file and settings."""
    with pytest.raises(InputError) as refused:
        load_variant(str(path), typed)
    assert "\n" not in str(refused.value)
    return refused.value


def test_a_file_changes_what_it_says_and_nothing_else(tmp_path: Path) -> None:
    variant = load_variant(str(write(tmp_path, "tub", '[box]\nwidth = "20 in"\n')))
    assert variant.name == "tub"
    box = Parameters().box.model_copy(update={"width": 20 * INCH})
    assert variant.parameters == Parameters().model_copy(update={"box": box})


def test_each_file_in_a_chain_overrules_its_base(tmp_path: Path) -> None:
    write(
        tmp_path,
        "first",
        '[box]\nwidth = "20 in"\ndepth = "18 in"\nheight = "14 in"\n[cap]\nstyle = "butt"\n',
    )
    write(tmp_path, "second", 'base = "first"\n[box]\ndepth = "30 in"\nheight = "15 in"\n')
    third = write(tmp_path, "third", 'base = "second.toml"\n[box]\nheight = "16 in"\n')
    variant = load_variant(str(third))
    box = variant.parameters.box
    assert (box.width, box.depth, box.height) == (20 * INCH, 30 * INCH, 16 * INCH)
    assert variant.parameters.cap.style == "butt"
    places = {key: (Path(file).stem, line) for key, (file, line) in variant.places.items()}
    assert places["box.width"] == ("first", 2)
    assert places["box.depth"] == ("second", 3)
    assert places["box.height"] == ("third", 3)
    assert places["cap.style"] == ("first", 6)


def test_own_stock_is_inherited_field_by_field(tmp_path: Path) -> None:
    write(
        tmp_path,
        "mill",
        '[stock.mine]\nthickness = "20 mm"\nwidth = "140 mm"\nlength = "2 m"\nprice = "4.50"\n',
    )
    child = write(tmp_path, "dear", 'base = "mill"\n[stock.mine]\nprice = "5.20"\n')
    stock = load_variant(str(child)).parameters.stock["mine"]
    assert stock.thickness == 20.0 and str(stock.price) == "5.20"


def test_a_base_in_another_folder_and_a_shipped_base(tmp_path: Path) -> None:
    (tmp_path / "bases").mkdir()
    write(tmp_path / "bases", "tub", '[box]\nwidth = "21 in"\n')
    near = write(tmp_path, "near", 'base = "bases/tub.toml"\n')
    assert load_variant(str(near)).parameters.box.width == 21 * INCH
    name = next(iter(shipped_variants()))
    child = write(tmp_path, "child", f'base = "{name}"\n[box]\nfoot = "2 in"\n')
    base, of_base = load_variant(str(child)).parameters, load_variant(name).parameters
    assert base.box.foot == 2 * INCH
    assert base.model_copy(update={"box": of_base.box}) == of_base


def test_a_file_beside_the_child_comes_before_a_shipped_one(tmp_path: Path) -> None:
    name = next(iter(shipped_variants()))
    write(tmp_path, name, '[box]\nwidth = "33 in"\n')
    child = write(tmp_path, "child", f'base = "{name}"\n')
    assert load_variant(str(child)).parameters.box.width == 33 * INCH


@pytest.mark.parametrize("length", [1, 2, 3])
def test_bases_that_go_in_a_circle_are_refused(tmp_path: Path, length: int) -> None:
    for i in range(length):
        write(tmp_path, f"v{i}", f'base = "v{(i + 1) % length}"\n[box]\nfoot = "1 in"\n')
    refused = refusal(tmp_path / "v0.toml")
    assert refused.key == "base"
    assert " -> ".join([*(f"v{i}" for i in range(length)), "v0"]) in refused.message


def test_a_circle_through_a_link_is_seen(tmp_path: Path) -> None:
    path = write(tmp_path, "tub", 'base = "alias"\n')
    (tmp_path / "alias.toml").symlink_to(path)
    assert "circle" in refusal(path).message


def test_a_chain_may_be_long_and_not_endless(tmp_path: Path) -> None:
    write(tmp_path, "v0", '[box]\nwidth = "20 in"\n')
    for i in range(1, DEEPEST_CHAIN + 1):
        write(tmp_path, f"v{i}", f'base = "v{i - 1}"\n')
    last = load_variant(str(tmp_path / f"v{DEEPEST_CHAIN - 1}.toml"))
    assert last.parameters.box.width == 20 * INCH
    assert str(DEEPEST_CHAIN) in refusal(tmp_path / f"v{DEEPEST_CHAIN}.toml").message


def test_a_missing_base_is_named_with_its_line(tmp_path: Path) -> None:
    name = next(iter(shipped_variants()))
    path = write(tmp_path, "tub", f'# mine\n\nbase = "{name}x"\n')
    refused = refusal(path)
    assert (refused.file, refused.line, refused.key) == (str(path), 3, "base")
    assert f"'{name}x'" in refused.message and f"did you mean '{name}'" in refused.message
    assert refusal(write(tmp_path, "gone", 'base = "nowhere/tub.toml"\n')).line == 1


@pytest.mark.parametrize("base", ["3", '""', "true", '["tub"]', "{}", "1979-05-27"])
def test_a_base_that_is_no_name_is_refused(tmp_path: Path, base: str) -> None:
    refused = refusal(write(tmp_path, "tub", f"base = {base}\n"))
    assert (refused.key, refused.line) == ("base", 1)


BROKEN: dict[str, tuple[bytes, str, int]] = {
    "empty": (b"", "says nothing", 0),
    "blank": (b" \n\n# nothing but a remark\n", "says nothing", 0),
    "binary": (bytes(range(256)), "UTF-8", 0),
    "picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "UTF-8", 0),
    "zeros": (b"\x00" * 500, "not TOML", 1),
    "large": (b"#" * (LARGEST_FILE + 1), "KiB", 0),
    "no toml": (b"[box]\nwidth: 3\n", "not TOML", 2),
    "unclosed": (b'[box]\nwidth = "3 in\n', "not TOML", 2),
    "said twice": (b'[box]\nwidth = "9 in"\nwidth = "8 in"\n', "not TOML", 3),
    "table twice": (b'[box]\nwidth = "9 in"\n[box]\ndepth = "8 in"\n', "not TOML", 3),
    "deep": (b"a = " + b"[" * 50_000, "not TOML", 0),
    "digits": (b"a = " + b"9" * 5000, "not TOML", 0),
    "utf-16": ('[box]\nwidth = "9 in"\n'.encode("utf-16"), "UTF-8", 0),
    "prose": (b"Dear shop, please make me a box.", "not TOML", 1),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_file_is_refused_in_one_line(tmp_path: Path, kind: str) -> None:
    content, word, line = BROKEN[kind]
    path = tmp_path / "tub.toml"
    path.write_bytes(content)
    refused = refusal(path)
    assert refused.file == str(path)
    assert word in refused.message
    assert refused.line == line
    assert len(str(refused)) < len(str(path)) + 200


def test_a_huge_file_is_refused_without_being_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.toml"
    with path.open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    assert "KiB" in refusal(path).message


def test_the_largest_allowed_file_is_read(tmp_path: Path) -> None:
    text = '[box]\nwidth = "20 in"\n'
    path = write(tmp_path, "tub", text + "#" * (LARGEST_FILE - len(text)))
    assert load_variant(str(path)).parameters.box.width == 20 * INCH


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none.toml").file.endswith("none.toml")
    (tmp_path / "folder.toml").mkdir()
    assert refusal(tmp_path / "folder.toml").file.endswith("folder.toml")
    assert "no such variant file" in refusal("\\nowhere\\tub").message
    assert refusal("x" * 5000).message
    assert refusal("nul\x00byte.toml").message
    assert refusal("").message


def test_a_shipped_name_misspelt_is_answered_with_the_nearest() -> None:
    name = next(iter(shipped_variants()))
    assert f"did you mean '{name}'" in refusal(f"{name}s").message
    assert "palewright variants" in refusal(f"{name}s").message
    assert find_variant(name) == shipped_variants()[name]


@pytest.mark.parametrize(
    ("value", "word"),
    [
        ("20", "no unit"),
        ("20.5", "no unit"),
        ("nan", "no unit"),
        ("inf", "no unit"),
        ("-inf", "no unit"),
        ("true", "no unit"),
        ('"20 kg"', "not a length"),
        ('"-20 in"', "6 in to 96 in"),
        ('"20 miles"', "not a length"),
        ('"900 m"', "6 in to 96 in"),
        ('"5.99 in"', "6 in to 96 in"),
        ('"auto"', "not a length"),
        ("1979-05-27", "no unit"),
        ("[1, 2]", "no unit"),
        pytest.param("9" * 400, "no unit", id="digits"),
    ],
)
def test_a_bad_value_is_named_with_file_line_key_and_what_is_allowed(
    tmp_path: Path, value: str, word: str
) -> None:
    path = write(tmp_path, "tub", f"# remark\n[product]\ntitle = 'Tub'\n\n[box]\nwidth = {value}\n")
    refused = refusal(path)
    assert (refused.file, refused.line, refused.key) == (str(path), 6, "box.width")
    assert word in refused.message
    assert len(refused.message) < 250


def test_a_misspelt_key_is_answered_with_the_nearest_at_its_line(tmp_path: Path) -> None:
    refused = refusal(write(tmp_path, "tub", '[box]\ndepth = "20 in"\nwitdh = "20 in"\n'))
    assert (refused.key, refused.line) == ("box.witdh", 3)
    assert "did you mean 'width'" in refused.message
    refused = refusal(write(tmp_path, "tub2", '\n[bxo]\nwidth = "20 in"\n'))
    assert (refused.key, refused.line) == ("bxo", 2)
    assert "did you mean 'box'" in refused.message


def test_a_complaint_in_a_base_names_the_base(tmp_path: Path) -> None:
    base = write(tmp_path, "first", '[box]\n\nwidth = "200 in"\n')
    refused = refusal(write(tmp_path, "second", 'base = "first"\n[box]\nfoot = "2 in"\n'))
    assert (refused.file, refused.line, refused.key) == (str(base), 3, "box.width")


def test_the_child_cures_a_bad_value_of_its_base(tmp_path: Path) -> None:
    write(tmp_path, "first", '[box]\nwidth = "200 in"\n')
    child = write(tmp_path, "second", 'base = "first"\n[box]\nwidth = "20 in"\n')
    assert load_variant(str(child)).parameters.box.width == 20 * INCH


def test_a_complaint_of_the_design_is_located(tmp_path: Path) -> None:
    path = write(tmp_path, "tub", '[box]\nwidth = "20 in"\n[panel]\nstile_width = "9.99 in"\n')
    located = load_variant(str(path)).located(InputError("too wide", key="panel.stile_width"))
    assert str(located) == f"{path}:4: panel.stile_width: too wide"
    assert load_variant(str(path)).located(InputError("odd", key="box.foot")).file == ""


def test_key_lines_of_every_plain_form() -> None:
    content = (
        '# box.width = "1 in"\nbase = "x"\nbox.width = "2 in"\n\n[ cap ] # remark\n'
        '  style="butt"\n"width" = "3 in"\n[stock."my own"]\nthickness = "20 mm"\n'
        'wall . gap = "0 in"\n'
    )
    assert key_lines(content) == {
        "base": 2,
        "box.width": 3,
        "cap": 5,
        "cap.style": 6,
        "cap.width": 7,
        "stock.my own": 8,
        "stock.my own.thickness": 9,
        "stock.my own.wall.gap": 10,
    }


def test_the_lines_of_a_template_are_where_its_keys_are() -> None:
    content = template()
    lines = content.splitlines()
    for table, inner in tomllib.loads(content).items():
        for key in inner:
            assert lines[key_lines(content)[f"{table}.{key}"] - 1].startswith(f"{key} = ")


@pytest.mark.parametrize(
    ("typed", "key", "value"),
    [
        ("box.width=20 in", "box.width", "20 in"),
        ('box.width="20 in"', "box.width", "20 in"),
        (" box.width = 16-1/2 in ", "box.width", "16-1/2 in"),
        ('box.width=16-1/2"', "box.width", '16-1/2"'),
        ("trellis.fit=true", "trellis.fit", True),
        ("trellis.bars=7", "trellis.bars", 7),
        ("face.front=cross", "face.front", "cross"),
        ("product.title=a=b", "product.title", "a=b"),
        ("product.title=", "product.title", ""),
        pytest.param("product.title=" + "9" * 5000, "product.title", "9" * 5000, id="digits"),
        ("screws.wall=#8 x 1 in", "screws.wall", "#8 x 1 in"),
    ],
)
def test_a_typed_setting_is_read(typed: str, key: str, value: Any) -> None:
    assert read_setting(typed) == (key, value)


@pytest.mark.parametrize("typed", ["", "box.width", "=3", " = 3", "20 in"])
def test_a_typed_setting_without_key_or_value_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="KEY=VALUE"):
        read_setting(typed)


def test_typed_settings_overrule_the_file_in_their_order(tmp_path: Path) -> None:
    path = write(tmp_path, "tub", '[box]\nwidth = "20 in"\n')
    variant = load_variant(str(path), ["box.width=22 in", "trellis.fit=true", "box.width=24 in"])
    assert variant.parameters.box.width == 24 * INCH
    assert variant.parameters.trellis.fit
    assert variant.places["box.width"] == ("--set", 0)


@pytest.mark.parametrize(
    ("typed", "key", "word"),
    [
        ("box.witdh=20 in", "box.witdh", "did you mean 'box.width'"),
        ("box=20 in", "box", "unknown key"),
        ("width=20 in", "width", "unknown key"),
        ("box.width.x=20 in", "box.width.x", "unknown key"),
        ("box.width=20", "box.width", "unit"),
        ("box.width=2000 in", "box.width", "6 in to 96 in"),
        ("box.width=", "box.width", "not a length"),
        ("trellis.bars=nan", "trellis.bars", "whole number"),
        ("stock.mine.thickness=20 mm", "stock.mine.width", "missing"),
        ("stock.mine.nonsense=3", "stock.mine.", ""),
        ("base=stoop-tub", "base", "unknown key"),
    ],
)
def test_a_bad_typed_setting_is_refused_at_its_place(
    tmp_path: Path, typed: str, key: str, word: str
) -> None:
    refused = refusal(write(tmp_path, "tub", '[box]\ndepth = "20 in"\n'), typed)
    assert refused.key.startswith(key)
    assert word in refused.message
    if "missing" not in refused.message:
        assert refused.file == "--set"


def test_a_typed_setting_changes_one_field_of_own_stock(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "tub",
        '[stock.mine]\nthickness = "20 mm"\nwidth = "140 mm"\nlength = "2 m"\nprice = "4"\n',
    )
    variant = load_variant(str(path), ["stock.mine.thickness=18 mm"])
    assert variant.parameters.stock["mine"].thickness == 18.0


def test_a_setting_under_what_is_no_table_is_refused() -> None:
    with pytest.raises(InputError, match="not a table"):
        put_value({"box": 3}, "box.width", "20 in")
    with pytest.raises(InputError, match="not a table"):
        put_value({"stock": {"mine": 3}}, "stock.mine.width", "20 in")


TREES = st.recursive(
    st.integers(),
    lambda inner: st.dictionaries(st.sampled_from("abc"), inner, max_size=3),
    max_leaves=8,
)


@given(
    st.dictionaries(st.sampled_from("abc"), TREES), st.dictionaries(st.sampled_from("abc"), TREES)
)
def test_laying_over_keeps_every_leaf_of_the_upper(
    under: dict[str, Any], over: dict[str, Any]
) -> None:
    before = repr(over)
    lay_over(under, over)

    def kept(upper: Any, result: Any) -> bool:
        if isinstance(upper, dict):
            return isinstance(result, dict) and all(
                kept(v, result.get(k)) for k, v in upper.items()
            )
        return bool(upper == result)

    assert kept(over, under)
    assert repr(over) == before
    once = repr(under)
    lay_over(under, over)
    assert repr(under) == once


@hypothesis_settings(
    max_examples=tried(150),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda t: t.encode())))
def test_any_bytes_are_a_variant_or_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "any.toml"
    path.write_bytes(content)
    try:
        load_variant(str(path))
    except InputError as refused:
        assert "\n" not in str(refused)
        assert refused.file == str(path)


@given(st.text(max_size=60))
def test_any_typed_text_is_a_setting_or_refused(typed: str) -> None:
    said: dict[str, Any] = {}
    try:
        put_value(said, *read_setting(typed))
    except InputError as refused:
        assert "\n" not in str(refused)


@pytest.mark.parametrize("name", sorted(shipped_variants()))
def test_every_shipped_variant_is_read(name: str) -> None:
    variant = load_variant(name)
    assert variant.name == name
    assert variant.parameters.product.title != Parameters().product.title
    chain = read_chain(shipped_variants()[name])[0]
    assert chain == variant.said


def test_a_new_variant_never_overwrites(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert new_variant_path("porch-tub") == Path("porch-tub.toml")
    Path("porch-tub.toml").write_text("x", encoding="utf-8")
    for bad in ("porch-tub", "a/b", "", "../", ".hidden", "tub tub", "x" * 70, "nul\x00", "-x"):
        with pytest.raises(InputError):
            new_variant_path(bad)


def test_a_generated_template_is_a_variant_of_its_own(tmp_path: Path) -> None:
    assert load_variant(str(write(tmp_path, "tub", template()))).parameters == Parameters()
