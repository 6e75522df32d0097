"""What the cut command was asked, turned into plans: a batch of variants, or any parts list."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from palewright.cut_plans import StockPlan, plan_demands
from palewright.cutting import Offcut, SawSettings, StockBoard, read_parts
from palewright.demands import StockDemand, demands_of, saw_of
from palewright.design import Design, design
from palewright.errors import InputError
from palewright.units import read_length
from palewright.variant_files import load_variant
from palewright_drawings.progress import Progress

_SIZE = re.compile(r"(.*?(?:in|inch|inches|ft|feet|mm|cm|m|\"|'))\s*[x×]\s*(.+)", re.I)
_MOST_BOXES = 1_000_000


def asked_plans(
    variants: Sequence[str],
    parts: str,
    stock: str,
    settings: Sequence[str],
    how: Mapping[str, Any],
    progress: Progress,
) -> tuple[list[StockPlan], str]:
    """Return the plans, and the units (``inch`` or ``metric``) in which to print them.

    Args:
        variants: names or paths, each with ``:COUNT`` or without.
        parts: a parts list, instead of variants.
        stock: with a parts list: the boards, ``LENGTHxWIDTH``.
        settings: ``KEY=VALUE`` for every variant.
        how: kerf, trim, order, offcuts and seconds as they were typed.
        progress: told the share done.

    Raises:
        InputError: for anything that cannot be used.
    """
    offcuts = [read_offcut(text) for text in how["offcuts"]]
    tell = told(progress)
    if parts:
        if variants or settings:
            raise InputError("--parts goes without a variant and without --set")
        if not stock or not how["kerf"]:
            raise InputError("--parts needs --stock LENGTHxWIDTH and --kerf K beside it")
        saw = _saw(SawSettings(kerf=0.0), how)
        demand = _listed(Path(parts), read_size(stock, "--stock"))
        system = "metric" if re.search(r"\d\s*(mm|cm|m)\b", stock) else "inch"
        return plan_demands([demand], saw, offcuts, how["seconds"], progress=tell), system
    if stock:
        raise InputError("--stock goes with --parts; a variant names its own: lumber.board")
    if not variants:
        raise InputError("nothing to cut; allowed: VARIANT[:COUNT], or --parts FILE.csv")
    batch = [counted(text, settings) for text in variants]
    saw = _saw(saw_of(batch[0][0].parameters), how)
    plans = plan_demands(demands_of(batch), saw, offcuts, how["seconds"], progress=tell)
    return plans, batch[0][0].parameters.product.units


def told(progress: Progress) -> Callable[[str, float], None]:
    """Return what moves a bar of a hundred steps to a share."""
    done = 0

    def tell(text: str, share: float) -> None:
        nonlocal done
        steps = max(0, int(100 * min(share, 1.0)) - done)
        done += steps
        progress.advance(steps)
        progress.note(text)

    return tell


def counted(text: str, settings: Sequence[str]) -> tuple[Design, int]:
    """Return the design and the count of ``VARIANT:COUNT``; a count of one may be left out.

    Raises:
        InputError: for anything that cannot be used, at its place.
    """
    name, colon, number = text.rpartition(":")
    if not colon:
        name, number = text, "1"
    if not number.isdigit() or not 1 <= int(number) <= _MOST_BOXES:
        raise InputError(f"'{text}': the count is a whole number, 1 to {_MOST_BOXES}")
    found = load_variant(name, settings)
    box = design(found.parameters, found.name)
    try:
        box.box  # noqa: B018  (lay it out here, where a complaint can be given its place)
    except InputError as error:
        raise found.located(error) from None
    return box, int(number)


def _saw(saw: SawSettings, how: Mapping[str, Any]) -> SawSettings:
    """Return the saw settings with what was typed laid over them."""
    for key in ("kerf", "trim"):
        if how[key]:
            try:
                size = read_length(how[key])
            except InputError as error:
                raise error.at(key=f"--{key}") from None
            if size < 0:
                raise InputError(f"'{how[key]}' is below 0; allowed: from 0", key=f"--{key}")
            saw = replace(saw, kerf=size) if key == "kerf" else replace(saw, end_trim=size)
    return replace(saw, order=how["order"]) if how["order"] else saw


def _listed(path: Path, size: tuple[float, float]) -> StockDemand:
    """Return a parts list as the demand on boards of one size."""
    board = StockBoard("board", *size)
    return StockDemand("board", None, board, read_parts(path, read_length))


def read_size(text: str, key: str) -> tuple[float, float]:
    """Return the two lengths (mm) of ``LENGTHxWIDTH``, such as ``72in x 5-1/2in``.

    Raises:
        InputError: if it is not written so.
    """
    match = _SIZE.fullmatch(text.strip())
    if not match:
        raise InputError(f"'{text}' is no size; write LENGTHxWIDTH, such as 72inx5.5in", key=key)
    try:
        length, width = read_length(match[1]), read_length(match[2])
    except InputError as error:
        raise error.at(key=key) from None
    if min(length, width) <= 0:
        raise InputError(f"'{text}' is no size; both lengths are above 0", key=key)
    return length, width


def read_offcut(text: str) -> Offcut:
    """Return the piece on hand that ``LENGTHxWIDTH[:COUNT]`` names.

    Raises:
        InputError: if it is not written so.
    """
    size, colon, number = text.rpartition(":")
    if not colon:
        size, number = text, "1"
    if not number.isdigit() or int(number) < 1:
        raise InputError(f"'{text}': the count is a whole number from 1", key="--offcut")
    length, width = read_size(size, "--offcut")
    return Offcut(f"offcut {size.strip()}", length, width, int(number))
