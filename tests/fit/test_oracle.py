"""The model's verdict against an oracle that knows only the files, itself tried on wrong boxes.

The oracle itself is tried first on a box made here by hand, in which one thing after another is
broken. Then random variants over the whole range are judged by both: what passes must be sound,
and what does not fit must be unfit for the reason that is told.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest

import oracle
from case_lists import mostly_thorough, thorough
from oracle.judging import CaseBox, Reason, contacts, judge, reasons
from oracle.reported import differences
from oracle.screws import INCH, find_screws
from oracle.segments import distances
from oracle.solids import Bore, Solid, read_step
from oracle_variants import Drawn, box_in, compared, drawn, listed_boards, step_of
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.design import Design
from palewright.parameters.variant_files import load_variant, shipped_variants

THICK = 16.0
"""Every board of the box made by hand, mm."""

NUMBER_EIGHT = (0.164 * INCH, 0.312 * INCH)
"""D and D_H (mm) of a #8 screw: NDS, Appendix L, Table L3."""

FACES = np.array(
    [
        *((0, 1, 3), (0, 3, 2), (4, 6, 5), (5, 6, 7), (0, 4, 1), (1, 4, 5)),
        *((2, 3, 6), (3, 7, 6), (0, 2, 4), (2, 6, 4), (1, 5, 3), (3, 5, 7)),
    ]
)
"""Triangles, seen from outside, of a box whose corners count x, y, z as bits 4, 2, 1."""

Boards = dict[str, Solid]


def block(name: str, low: tuple[float, ...], high: tuple[float, ...]) -> Solid:
    """A board square to the axes, given two opposite corners."""
    ends = np.sort(np.array((low, high), dtype=float), axis=0)
    bits = np.array([(i >> 2 & 1, i >> 1 & 1, i & 1) for i in range(8)])
    return Solid(name, np.take_along_axis(ends, bits, axis=0), FACES, ())


def driven(boards: Boards, stack: tuple[str, ...], head: np.ndarray, tip: np.ndarray) -> None:
    """Drill the boards of a stack for a #8 screw."""
    axis = (tip - head) / np.linalg.norm(tip - head)
    for i, name in enumerate(stack):
        enter, leave = boards[name].crossed(head, axis)
        last, length = i == len(stack) - 1, float(np.linalg.norm(tip - head))
        if enter >= length:
            continue
        end = min(leave, length) if last else leave
        bore = Bore(
            name,
            head + axis * max(enter, 0.0),
            head + axis * end,
            1.19 if last else 2.18,
            0.0 if i else NUMBER_EIGHT[1] / 2,
        )
        boards[name] = replace(boards[name], bores=(*boards[name].bores, bore))


def sound_box() -> Boards:
    """A box of 400 x 400 x 316 mm, every board 16 mm thick, that nobody's model has laid out."""
    boards: Boards = {}
    to_box: dict[str, Callable[[float, float, float], tuple[float, float, float]]] = {
        "front": lambda u, z, w: (u, w, z),
        "back": lambda u, z, w: (400 - u, 400 - w, z),
        "left": lambda u, z, w: (w, u, z),
        "right": lambda u, z, w: (400 - w, u, z),
    }
    walls = []
    for panel, at in to_box.items():
        outer = panel in ("front", "back")
        low, high = (0.0, 400.0) if outer else (THICK, 400.0 - THICK)
        edge = 34.0  # the staves' end: the lip of an outer panel, the set-back of a side
        made = {
            "stile-left": (low, 80, 0, 300, 0), "stile-right": (320, high, 0, 300, 0),
            "rail-bottom": (80, 320, 0, 70, 0), "rail-top": (80, 320, 230, 300, 0),
            "stave-1": (edge, 200, 0, 300, THICK), "stave-2": (200, 400 - edge, 0, 300, THICK),
        }  # fmt: skip
        for own, (u0, u1, z0, z1, w) in made.items():
            boards[f"{panel}.{own}"] = block(f"{panel}.{own}", at(u0, z0, w), at(u1, z1, w + THICK))
        for u, stave, frame, heights in (
            (57, 1, "stile-left", (60, 240)), (343, 2, "stile-right", (60, 240)),
            (100, 1, "rail", (35, 265)), (180, 1, "rail", (35, 265)),
            (220, 2, "rail", (35, 265)), (300, 2, "rail", (35, 265)),
        ):  # fmt: skip
            for z in heights:
                name = frame if frame != "rail" else f"rail-{'bottom' if z < 150 else 'top'}"
                ends = np.array((at(u, z, 2 * THICK), at(u, z, 2 * THICK - 25)), dtype=float)
                walls.append(((f"{panel}.stave-{stave}", f"{panel}.{name}"), *ends))
    for panel, y, inner in (("front", 2 * THICK, 1), ("back", 400 - 2 * THICK, -1)):
        name = f"{panel}.cleat"
        boards[name] = block(name, (40, y, 90), (360, y + inner * THICK, 130))
        for x in (120, 280):
            stave = 1 if (x < 200) == (panel == "front") else 2
            head = np.array((x, y + inner * THICK, 110.0))
            walls.append(((name, f"{panel}.stave-{stave}"), head, head - (0, inner * 25, 0)))
    for side, x in (("left", 8.0), ("right", 392.0)):
        for outer, y, inner in (("front", 0.0, 1), ("back", 400.0, -1)):
            mine = "left" if (side == "left") == (outer == "front") else "right"
            stile = "left" if outer == "front" else "right"
            for z in (120.0, 180.0):
                head = np.array((x, y, z))
                stack = (f"{outer}.stile-{mine}", f"{side}.stile-{stile}")
                walls.append((stack, head, head + np.array((0, inner * 50, 0))))
    caps = {"front": (0, 0, 400, 60), "back": (0, 340, 400, 400),
            "left": (0, 60, 60, 340), "right": (340, 60, 400, 340)}  # fmt: skip
    for panel, (x0, y0, x1, y1) in caps.items():
        name = f"cap.{panel}"
        boards[name] = block(name, (x0, y0, 300), (x1, y1, 300 + THICK))
        for u in (130, 270):
            x, y, _ = to_box[panel](u, 0, THICK / 2)
            head = np.array((x, y, 300 + THICK))
            walls.append(((name, f"{panel}.rail-top"), head, head - (0, 0, 40.0)))
    for i, x in enumerate((60, 150, 240), start=1):
        name = f"floor.slat-{i}"
        boards[name] = block(name, (x, 34, 130), (x + 80, 366, 130 + THICK))
    for stack, head, tip in walls:
        driven(boards, stack, head, tip)
    return boards


def found_in(boards: Boards) -> list[Reason]:
    """The oracle's reasons against a box made by hand."""
    return list(reasons(CaseBox("nominal", boards)))


def undrilled(boards: Boards, *stack: str, at: float | None = None) -> None:
    """Take out the screws through a stack of boards; only those at a height, where it is given."""
    for screw in find_screws(boards)[0]:
        if screw.boards == stack and (at is None or abs(screw.head[2] - at) < 1e-6):
            for bore in screw.bores:
                board = boards[bore.board]
                left = tuple(one for one in board.bores if one is not bore)
                boards[bore.board] = replace(board, bores=left)


def again(boards: Boards, *stack: str, length: float) -> None:
    """Drive all screws through a stack anew, so long."""
    old = [one for one in find_screws(boards)[0] if one.boards == stack]
    assert old
    undrilled(boards, *stack)
    for one in old:
        driven(boards, stack, one.head, one.head + one.axis * length)


def moved(boards: Boards, name: str, by: tuple[float, float, float]) -> None:
    """Move a board with its holes."""
    board, shift = boards[name], np.array(by)
    bores = tuple(replace(b, start=b.start + shift, end=b.end + shift) for b in board.bores)
    boards[name] = Solid(name, board.points + shift, board.triangles, bores)


def test_the_box_made_by_hand_is_sound() -> None:
    boards = sound_box()
    screws, lonely = find_screws(boards)
    assert len(screws) == 4 * 12 + 4 + 8 + 8
    assert not lonely
    assert found_in(boards) == []
    assert list(contacts(CaseBox("nominal", boards))) == []


def without_corner(boards: Boards) -> None:
    for outer, mine in (("front", "left"), ("back", "right")):
        undrilled(
            boards, f"{outer}.stile-{mine}", f"left.stile-{'left' if outer == 'front' else 'right'}"
        )
    undrilled(boards, "cap.left", "left.rail-top")


def cut_in_two(boards: Boards) -> None:
    """Part the front, alone, from everything else: each panel stays whole."""
    undrilled(boards, "front.stile-left", "left.stile-left")
    undrilled(boards, "front.stile-right", "right.stile-left")


def short_stave(boards: Boards) -> None:
    """Let the left's first stave hang on its stile alone, as if its rails reached past it."""
    for rail in ("bottom", "top"):
        undrilled(boards, "left.stave-1", f"left.rail-{rail}")


def broken(change: Callable[[Boards], object], *kinds: str) -> object:
    return pytest.param(change, set(kinds), id=getattr(change, "__name__", "-".join(kinds)))


STILE = ("front.stave-1", "front.stile-left")
RAIL = ("front.stave-1", "front.rail-top")
CORNER = ("front.stile-left", "left.stile-left")
CAP = ("cap.left", "left.rail-top")


@pytest.mark.parametrize(
    ("change", "kinds"),
    [
        # one screw less: the stile's lower end is free, and one that is left holds one end only
        broken(lambda b: undrilled(b, *STILE, at=60), "end"),
        # that stave is still held at its ends by the rails; the stile is not held at all
        broken(lambda b: undrilled(b, *STILE), "end", "panel"),
        broken(short_stave, "end", "panel"),
        broken(without_corner, "pieces"),
        broken(cut_in_two, "pieces"),
        # the cap's own screws are its only tie, glue or not
        broken(lambda b: undrilled(b, *CAP), "pieces"),
        # 16 + 7.9 of the 8 mm that half a 16 mm board asks for; and what it held is loose
        broken(lambda b: again(b, *STILE, length=23.9), "bite", "end", "panel"),
        broken(lambda b: again(b, *STILE, length=32.5), "through", "end", "panel"),
        broken(lambda b: again(b, *STILE, length=15.0), "thread", "end", "panel"),
        # 4 D are 16.7 mm, less than half of the stile's 64 mm
        broken(lambda b: again(b, *CORNER, length=32.5), "bite"),
        broken(lambda b: again(b, *CAP, length=32.5), "bite", "pieces"),
        broken(lambda b: moved(b, "cap.left", (0, 0, 0.03)), "gap", "pieces"),
        broken(lambda b: moved(b, "cap.left", (0, 0, -0.5)), "clash", "path"),
        broken(lambda b: moved(b, "floor.slat-1", (0, 0, 0.5)), "slat"),
        broken(lambda b: moved(b, "floor.slat-1", (0, 0, -0.5)), "clash", "path"),
        broken(lambda b: driven_near(b, 3.0), "meet"),
        broken(lambda b: bored(b, "floor.slat-2"), "hole"),
    ],
)
def test_a_broken_box_is_caught(change: Callable[[Boards], object], kinds: set[str]) -> None:
    boards = sound_box()
    change(boards)
    assert {one.kind for one in found_in(boards)} == kinds


def driven_near(boards: Boards, apart: float) -> None:
    """Drive one more screw so many mm beside another."""
    head = np.array((57.0 + apart, 2 * THICK, 60.0))
    driven(boards, STILE, head, head - (0, 25.0, 0))


def bored(boards: Boards, name: str) -> None:
    """Bore a hole that no screw comes to."""
    board = boards[name]
    top = np.array((board.low[0] + 40, 200.0, board.high[2]))
    bore = Bore(name, top, top - (0, 0, THICK), 1.2)
    boards[name] = replace(board, bores=(bore,))


def test_screws_keep_two_diameters_of_axes_apart() -> None:
    """Two radii and half a diameter of wood are 1.5 D: 6.2 mm for #8."""
    for apart, kinds in ((6.2, {"meet"}), (6.3, set())):
        boards = sound_box()
        driven_near(boards, apart)
        assert {one.kind for one in found_in(boards)} == kinds


def test_a_screw_that_stands_in_a_board_without_a_hole_is_caught() -> None:
    """From the cleat to the stile it would have to pass the stave between them."""
    boards = sound_box()
    head = np.array((57.0, 3 * THICK, 110.0))
    driven(boards, ("front.cleat", "front.stile-left"), head, head - (0, 41.0, 0))
    found = [one for one in found_in(boards) if one.kind == "stray"]
    assert {one.boards[-1] for one in found} == {"front.stave-1"}
    assert any(one.kind == "gap" for one in found_in(boards))


def test_mitres_that_stand_open_are_caught() -> None:
    boards = sound_box()
    for name in [n for n in boards if n in ("cap.left", "left.rail-top")]:
        # the pair moves as one, so that no screw parts
        moved(boards, name, (0, 0.5, 0))
    found = found_in(boards)
    assert {frozenset(one.boards) for one in found if one.kind == "mitre"} == {
        frozenset(("cap.left", "cap.front"))
    }


@pytest.mark.parametrize(("far", "into", "met"), [
    (0.0, 3.0, False), (1.9, 3.0, False), (2.1, 1.9, False), (2.1, 3.0, True),
])  # fmt: skip
def test_lip_or_setback_may_be_spent_but_not_both(far: float, into: float, met: bool) -> None:
    """A side 32 mm deep has 2 mm of play in a lip of 34, and its staves stop 2 mm short.

    Staves moved inwards, or along the wall, by more than one of the two still slide in.
    """
    boards = sound_box()
    moved(boards, "left.stave-1", (far, -into, 0))
    kinds = {one.kind for one in found_in(boards)}
    assert kinds & {"clash", "path"} == ({"clash", "path"} if met else set())


@pytest.mark.parametrize(("first", "blocked"), [("floor", False), ("cap", True)])
def test_slats_come_in_before_the_cap_lies_over_them(first: str, blocked: bool) -> None:
    boards = sound_box()
    second = "cap" if first == "floor" else "floor"
    order = ("front", "left", "right", "back", first, second)
    steps = [[n for n in boards if n.startswith(f"{panel}.")] for panel in order]
    found = list(reasons(CaseBox("nominal", boards, steps)))
    assert {one.kind for one in found} == ({"path"} if blocked else set())


def test_little_contact_is_told() -> None:
    """A stile that laps its stave by 3 mm: 3 x 300 mm² is enough for two screws, 0.9 is not."""
    for lap, told in ((3.0, False), (0.9, True)):
        boards = sound_box()
        stile = boards["front.stile-left"]
        narrow = block(stile.name, (0, 0, 0), (34 + lap, THICK, 300))
        boards[stile.name] = replace(narrow, bores=stile.bores)
        found = list(contacts(CaseBox("nominal", boards)))
        assert any(one.boards == STILE for one in found) is told


def test_distances_between_segments_against_a_fine_grid() -> None:
    rng = np.random.default_rng(7)
    a0, a1, b0, b1 = rng.uniform(-1, 1, (4, 60, 3))
    b1[:10] = b0[:10] + (a1 - a0)[:10] * rng.uniform(-2, 2, (10, 1))  # parallel ones too
    shares = np.linspace(0, 1, 201)[:, None]
    for i, got in enumerate(distances(a0, a1, b0, b1)):
        first = a0[i] + shares * (a1[i] - a0[i])
        second = b0[i] + shares * (b1[i] - b0[i])
        grid = np.linalg.norm(first[:, None] - second[None], axis=2).min()
        assert grid - 0.02 < got < grid + 1e-9


def test_holes_are_read_from_a_step_file_drawn_by_hand(tmp_path: Path) -> None:
    """A board and a block drilled with the kernel's own tools, named and turned in an assembly."""
    size, sink = 2 * 2.2, NUMBER_EIGHT[1]
    board = cq.Workplane().box(100, 60, 16, centered=False)
    bore = cq.Solid.makeCylinder(size / 2, 16, cq.Vector(30, 20, 0))
    cone = cq.Solid.makeCone(sink / 2, size / 2, 1.8, cq.Vector(30, 20, 16), cq.Vector(0, 0, -1))
    board = board.cut(cq.Workplane(bore)).cut(cq.Workplane(cone))
    under = cq.Workplane().box(100, 60, 40, centered=False)
    pilot = cq.Solid.makeCylinder(1.2, 20, cq.Vector(30, 20, 40), cq.Vector(0, 0, -1))
    under = under.cut(cq.Workplane(pilot))
    turn = cq.Location(cq.Vector(5, 6, 7), cq.Vector(0, 0, 1), 90)
    made = cq.Assembly(name="box").add(
        board, name="front.board", loc=turn * cq.Location((0, 0, 40))
    )
    made.add(under, name="front.block", loc=turn)
    path = tmp_path / "by-hand.step"
    made.export(str(path))
    read = read_step(path.read_bytes())
    assert sorted(read) == ["front.block", "front.board"]
    # turned a quarter about z: (30, 20) comes to (-20, 30)
    (top,), (below,) = (read[name].bores for name in ("front.board", "front.block"))
    assert (2 * top.radius, 2 * top.sink) == pytest.approx((size, sink))
    ends = (below.start, below.end)
    assert max(ends, key=lambda p: p[2]) == pytest.approx((-15, 36, 47))
    assert min(ends, key=lambda p: p[2]) == pytest.approx((-15, 36, 27))
    exact = board.val().Volume()  # type: ignore[union-attr]
    assert exact <= read["front.board"].body.volume() <= exact + 300
    assert read["front.board"].low == pytest.approx((5 - 60, 6, 47))
    assert not find_screws(read)[1]


def test_a_list_of_screws_is_held_against_the_holes() -> None:
    screws = find_screws(sound_box())[0]
    listed = [
        {
            "screw": "#8 x 1 in",
            "head_mm": one.head.tolist(),
            "axis": one.axis.tolist(),
            "boards": list(one.boards),
            "bite_mm": {"nominal": round(one.bite, 3)},
        }
        for one in screws
    ]
    assert differences(listed, {"nominal": screws}) == []
    for key, value in (
        ("head_mm", [0.0, 0.0, 0.0]),
        ("boards", ["cap.left", "cap.right"]),
        ("axis", [1.0, 0.0, 0.0]),
        ("screw", "#9 x 1 in"),
    ):
        # the screw is not listed so, and what is listed has no holes
        wrong = [listed[0] | {key: value}, *listed[1:]]
        assert len(differences(wrong, {"nominal": screws})) == 2, key
    wrong = [listed[0] | {"bite_mm": {"nominal": 7.0}}, *listed[1:]]
    assert len(differences(wrong, {"nominal": screws})) == 1
    assert len(differences(listed[1:], {"nominal": screws})) == 1
    assert len(differences(listed, {"nominal": screws[1:]})) == 1


def test_the_oracle_imports_nothing_that_it_judges() -> None:
    folder = Path(oracle.__file__).parent
    files = sorted(folder.glob("*.py"))
    assert len(files) >= 5
    allowed = {"__future__", "collections", "dataclasses", "functools", "io", "itertools", "typing",
               "manifold3d", "numpy", "scipy", "OCP", "oracle"}  # fmt: skip
    for path in files:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert {name.partition(".")[0] for name in names} <= allowed, path.name


def test_numbers_name_the_same_variant_each_time() -> None:
    assert drawn(5) == drawn(5)
    assert len({drawn(number).command for number in range(200)}) == 200


@pytest.mark.parametrize(
    "name", mostly_thorough(shipped_variants(), "stoop-tub", "bean-tower", "winter-tub")
)
def test_a_shipped_variant_is_sound_in_all_lumber(name: str) -> None:
    found = compared(Drawn(0, name, ()), light=True)
    assert (found.state, found.reasons, found.false) == ("passed", (), ())


@pytest.mark.parametrize(
    ("base", "setting", "state"),
    [
        # either clearance of a seat may be spent, not both
        ("stoop-tub", "panel.lip=1-1/8 in", "passed"),
        ("stoop-tub", "panel.setback=0 in", "passed"),
        # 1/16 in of thread in thick boards
        ("stoop-tub", "screws.wall=#8 x 3/4 in", "unfit"),
        ("stoop-tub", "screws.corner=#8 x 3/4 in", "unfit"),
        ("gate-pair", "screws.post=#8 x 1-1/2 in", "unfit"),
    ],
)
def test_boxes_that_were_once_judged_wrongly(base: str, setting: str, state: str) -> None:
    found = compared(Drawn(0, base, (setting,)), light=True)
    assert (found.state, found.wrong) == (state, False)


def test_files_and_lists_give_the_same_reasons() -> None:
    typed = ("screws.wall=#8 x 3/4 in", "panel.lip=1/2 in", "panel.setback=0 in")
    design = Design("stoop-tub", load_variant("stoop-tub", typed).parameters)
    box = box_in(design, "thick")
    read, listed = (
        {(one.kind, one.boards) for one in judge([CaseBox("thick", boards)], True)}
        for boards in (read_step(step_of(design, box)), listed_boards(box))
    )
    assert {"bite", "panel", "clash", "path"} <= {kind for kind, _ in read}
    assert read == listed


def agreed(numbers: range, cases: Sequence[LumberCase], light: bool) -> list[str]:
    """What model and oracle contradict each other in, a line each; fails if no box passed."""
    found = [compared(drawn(n), cases, light) for n in numbers]
    assert any(one.state == "passed" for one in found)
    return [json.dumps(one.as_json()) for one in found if one.wrong]


ENDS: tuple[LumberCase, ...] = ("thin", "thick")
"""The ends of every lumber; nominal and mixed boards lie between."""


# a box that passes takes four seconds of a processor a lumber case in files, a tenth of it without
@pytest.mark.parametrize("numbers", [range(1), *map(thorough, (range(1, 8), range(8, 15)))])
def test_model_and_oracle_agree_on_files(numbers: range) -> None:
    assert agreed(numbers, ENDS, False) == []


@pytest.mark.parametrize("numbers", [range(100, 105), thorough(range(105, 140))])
def test_model_and_oracle_agree_on_more_boxes(numbers: range) -> None:
    assert agreed(numbers, LUMBER_CASES, True) == []


@pytest.mark.thorough
@pytest.mark.parametrize("chunk", range(2))
def test_model_and_oracle_agree_on_many_files(chunk: int) -> None:
    assert agreed(range(1000 + chunk * 7, 1007 + chunk * 7), LUMBER_CASES, False) == []


@pytest.mark.thorough
@pytest.mark.parametrize("chunk", range(10))  # more by hand: oracle_hour.py
def test_model_and_oracle_agree_on_hundreds_of_boxes(chunk: int) -> None:
    assert agreed(range(2000 + chunk * 30, 2030 + chunk * 30), LUMBER_CASES, True) == []
