"""Cases for the cut tests: readers of the open data and the bridge to the verifier."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

import cut_verifier
from palewright.cutting_stock import (
    CutPlan,
    Offcut,
    PartDemand,
    SawSettings,
    StockBoard,
    plan_as_json,
)

DATA = Path(__file__).parents[1] / "data" / "cutting"
SIXTEENTH = 25.4 / 16


class LengthsCase(NamedTuple):
    """A one-dimensional case: full-width parts, no kerf."""

    name: str
    capacity: int
    lengths: tuple[tuple[int, int], ...]
    optimum: int


class BoardCase(NamedTuple):
    """A box of parts from fence boards and how many boards so many boxes need."""

    name: str
    boxes: int
    linear_bound: float
    boards: int
    status: str


def lengths_cases(family: str) -> Iterator[LengthsCase]:
    """The cases of one family."""
    with (DATA / "lengths" / "optimum-1d.csv").open(newline="") as file:
        optimum = {row["instance"]: int(row["upper_bound"]) for row in csv.DictReader(file)}
    lines = (DATA / "lengths" / f"{family}.bpp").read_text().splitlines()
    lines = [line.strip() for line in lines if line.strip()]
    at = 0
    while at < len(lines):
        name, number, capacity = lines[at].strip("'"), int(lines[at + 1]), int(lines[at + 2])
        rows = [line.split() for line in lines[at + 3 : at + 3 + number]]
        pairs = tuple((int(length), int(count)) for length, count in rows)
        yield LengthsCase(name, capacity, pairs, optimum[name])
        at += 3 + number


def falkenauer_cases(file_name: str, scale: int) -> Iterator[LengthsCase]:
    """The cases of the two CSV files."""
    with (DATA / file_name).open(newline="") as file:
        for row in csv.DictReader(file):
            sizes = [round(float(text) * scale) for text in row["lengths"].split()]
            pairs = tuple((size, sizes.count(size)) for size in sorted(set(sizes)))
            capacity = round(float(row["stock_length"]) * scale)
            yield LengthsCase(row["instance"], capacity, pairs, int(row["upper_bound"]))


def lengths_question(
    case: LengthsCase,
) -> tuple[list[PartDemand], list[StockBoard], SawSettings]:
    """A lengths case as parts and boards in millimetres."""
    parts = [PartDemand(f"p{size}", size, 100.0, count) for size, count in case.lengths]
    return parts, [StockBoard("board", case.capacity, 100.0)], SawSettings(kerf=0.0)


def board_cases() -> Iterator[BoardCase]:
    """All board cases."""
    with (DATA / "board" / "optimum-board.csv").open(newline="") as file:
        for row in csv.DictReader(file):
            yield BoardCase(
                row["instance"],
                int(row["boxes"]),
                float(row["lp_bound_3stage"]),
                int(row["best_3stage"]),
                row["status"],
            )


def board_question(name: str, boxes: int) -> tuple[list[PartDemand], list[StockBoard], SawSettings]:
    """A board case as parts and boards in millimetres."""
    data = json.loads((DATA / "board" / f"{name}.json").read_text())
    parts = [
        PartDemand(
            part["name"],
            part["length_16"] * SIXTEENTH,
            part["width_16"] * SIXTEENTH,
            part["per_box"] * boxes,
        )
        for part in data["parts"]
    ]
    board = data["board"]
    stock = StockBoard("board", board["length"] * SIXTEENTH, board["width"] * SIXTEENTH)
    return parts, [stock], SawSettings(kerf=data["kerf"] * SIXTEENTH)


def complaints_of(
    plan: CutPlan,
    parts: Sequence[PartDemand],
    stock: Sequence[StockBoard | Offcut],
    saw: SawSettings,
) -> list[str]:
    """What the verifier says of a plan."""
    wanted = [
        cut_verifier.Wanted(part.name, part.length, part.width, part.count, part.end_angles)
        for part in parts
    ]
    boards = [_board(kind, saw) for kind in stock]
    return cut_verifier.complaints(plan_as_json(plan), wanted, boards, saw.kerf, order=saw.order)


def _board(kind: StockBoard | Offcut, saw: SawSettings) -> cut_verifier.Board:
    """A board as it lies on the saw: its ends and edges trimmed."""
    if isinstance(kind, Offcut):
        return cut_verifier.Board(kind.name, kind.length, kind.width, kind.count)
    clip = max(0.0, kind.clipped_end - saw.end_trim)
    return cut_verifier.Board(
        kind.name,
        kind.length - saw.end_trim * 2,
        kind.width - saw.edge_trim * 2,
        kind.available,
        clip,
        kind.corner_depth * clip / kind.clipped_end if clip else 0.0,
        true_end=not saw.end_trim and not kind.sold_length > kind.length,
    )
