"""Files broken at random: each is read, or refused in one line; never a traceback, never exit 70.

Each case has a number, and one number is one file on every machine. The commands themselves judge:
what they read without a complaint they would work on, which is not what is tried here, so that
the work behind a good file is left out.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

import oracle_variants
from case_lists import thorough
from command_runs import run_here
from palewright.costing.shop_file import load_shop, shipped_text
from palewright.cutting_stock import first_plan
from palewright.cutting_stock.problem.parts_csv import PartsListError, read_parts
from palewright.design import design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import read_length
from palewright.sawing import stock_plans
from palewright.season.season_file import load_season, shipped_seasons
from palewright_drawings.json_reports.verdicts import verdict_as_json
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.check_text import check_text

VALUES = (
    "nan", "-inf", "1e999", "-1", "0", "9" * 400, "1_000", "0x10", "true", "[]", "[[1], {a = 1}]",
    "{}", "{ a.b = 1 }", '""', '"20 in"', '"20"', '"-3 in"', '"20 \u0130n"', '"20 inche\u017f"',
    '"\u00b2 in"', '"1/0 in"', '"1e400 in"', '"nan in"', '"auto"', '"same"', '"#8 x 2 in"', '"""',
    "'x\ny'", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z",
    '"\\u0000"', '"\\ud800"', '"\\q"',
    "[" * 3000, '"../../etc/passwd"', '"stoop-tub"', '"broken"', '"."', '"a\u202eb"',
)  # fmt: skip
"""What stands after the sign of equality, or in a cell: of wrong kind, size, letters or nesting."""

SCRAPS = (
    b"\xff", b"\x00", b"\xef\xbb\xbf", b"\xc3", b"\r", b"\r\r\n", b"\n", b"=", b"[", b"]", b'"',
    b"'", b"#", b",", b".", b"[box]\n", b"[[box]]\n", b"[stock.mine]\n", b"\x85",
    b'base = "broken"\n',
    "\u2028".encode(), "\u00bd".encode(), b" " * 5000, b"x = 1\n", b"a,b,c\n", b"\x1b[31m",
)  # fmt: skip
"""Bytes that are laid in anywhere."""


def broken(whole: bytes, pick: random.Random) -> bytes:
    """Return a good file with one to four things done to it."""
    found = whole
    for _ in range(pick.randint(1, 4)):
        found = pick.choice(WAYS)(found, pick)
    return found


def _other_value(found: bytes, pick: random.Random) -> bytes:
    """Put another value behind one sign of equality, or into one cell."""
    sign = b"=" if b"=" in found else b","
    lines = found.split(b"\n")
    at = [i for i, line in enumerate(lines) if sign in line and not line.startswith(b"#")]
    if at:
        i = pick.choice(at)
        cells = lines[i].split(sign)
        cells[pick.randint(1, len(cells) - 1)] = b" " + pick.choice(VALUES).encode()
        lines[i] = sign.join(cells)
    return b"\n".join(lines)


def _other_line(found: bytes, pick: random.Random) -> bytes:
    """Drop, double or swap lines."""
    lines = found.split(b"\n")
    i, k = pick.randrange(len(lines)), pick.randrange(len(lines))
    way = pick.randrange(3)
    if way == 0:
        del lines[i]
    elif way == 1:
        lines.insert(k, lines[i])
    else:
        lines[i], lines[k] = lines[k], lines[i]
    return b"\n".join(lines)


def _other_bytes(found: bytes, pick: random.Random) -> bytes:
    """Lay something in, take something out, or let a byte be another."""
    i = pick.randint(0, len(found))
    way = pick.randrange(4)
    if way == 0:
        return found[:i] + pick.choice(SCRAPS) + found[i:]
    if way == 1:
        return found[:i] + found[i + pick.randint(1, 40) :]
    if way == 2:
        return found[:i] + bytes([pick.randrange(256)]) + found[i + 1 :]
    return found[:i]


def _other_text(found: bytes, pick: random.Random) -> bytes:
    """Write it in another way as a whole."""
    way = pick.randrange(6)
    if way == 0:
        return b"\xef\xbb\xbf" + found
    if way == 1:
        return found.decode("utf-8", "replace").encode("utf-16")
    if way == 2:
        return found.replace(b"\n", b"\r\n")
    if way == 3:
        return found.replace(b"\n", b"\r")
    return found.replace(b"\n", b"\n\n") if way == 4 else pick.randbytes(200)


WAYS = (_other_value, _other_value, _other_value, _other_line, _other_bytes, _other_text)

PARTS = (
    b"part,length,width,count\nrail,16 1/2 in,3 in,4\nstave,12 in,5-3/8 in,10\nslat,300 mm,90,2\n"
)


def _kinds() -> dict[str, tuple[list[bytes], str, Callable[[Path], object], list[str]]]:
    """Return by kind: good files, the ending, what reads one, the command that takes it."""
    variants = [path.read_bytes() for path in shipped_variants().values()]
    seasons = [text.encode() for text in shipped_seasons().values()]
    cut = ["cut", "--stock", "72inx5-1/2in", "--kerf", "1/8in", "--parts"]
    return {
        "variant": (
            variants,
            "toml",
            lambda path: design(load_variant(str(path)).parameters).box,
            ["check"],
        ),
        "shop": ([shipped_text().encode()], "toml", load_shop, ["price", "stoop-tub", "--shop"]),
        "season": (seasons, "toml", load_season, ["season"]),
        "parts": ([PARTS], "csv", lambda path: read_parts(path, read_length), cut),
    }


@pytest.mark.parametrize("kind", ["variant", "shop", "season", "parts"])
@pytest.mark.parametrize("numbers", [range(40), thorough(range(40, 3000))], ids=len)
def test_a_file_broken_at_random_is_read_or_refused_in_one_line(
    kind: str, numbers: range, tmp_path: Path
) -> None:
    good, ending, read, command = _kinds()[kind]
    ends: Counter[str] = Counter()
    place = tmp_path / f"broken.{ending}"
    for number in numbers:
        pick = random.Random(f"{kind} {number}")
        place.write_bytes(broken(pick.choice(good), pick))
        try:
            read(place)
        except (InputError, PartsListError):
            done = run_here(*command, str(place), cwd=tmp_path)
            where = f"{kind} {number}: {done.stderr}"
            assert done.returncode == 2, where
            assert done.stdout == "", where
            assert done.stderr.count("\n") == 1, where
            assert done.stderr.startswith("palewright: "), where
            assert done.stderr.rstrip("\n").isprintable(), where
            assert len(done.stderr) < 1100, where
            ends["refused"] += 1
        else:
            ends["read"] += 1
    assert sorted(path.name for path in tmp_path.iterdir()) == [place.name]
    assert ends["refused"] > len(numbers) / 4, ends
    assert ends["read"], ends


@pytest.mark.parametrize("numbers", [range(1), thorough(range(1, 60))], ids=len)
def test_what_is_told_of_any_variant_can_be_printed_and_read(
    numbers: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Verdict, remedies, text, and JSON without NaN; of what is refused, one line.

    The boards to buy are those of the first plan: one board less is printed in the same way.
    """
    monkeypatch.setattr(stock_plans, "plan_cuts", lambda *asked, **_: first_plan(*asked))
    for number in numbers:
        one = oracle_variants.drawn(number)
        try:
            found = load_variant(one.base, one.settings)
            box = design(found.parameters, found.name)
            if len(box.box.boards) > oracle_variants.MOST_BOARDS:
                continue
        except InputError as error:
            assert len(str(error).splitlines()) == 1, one.command
            continue
        text = plain(check_text(box, load_shop(None), found, None, notes=True))
        assert "nan" not in text.lower().split(), one.command
        told = json.loads(json.dumps(verdict_as_json(box), allow_nan=False))
        assert told["passed"] is box.verdict.passed, one.command
        assert all(finding["code"] in text for finding in told["findings"]), one.command
