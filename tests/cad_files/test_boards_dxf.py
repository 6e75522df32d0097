"""`boards.dxf` and `boards-turned.dxf`: every board on its blank, as two other readers see it."""

from __future__ import annotations

import hashlib
import io
import itertools
import math
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import ezdxf
import pyogrio
import pytest
import shapely

from case_lists import mostly_thorough
from command_runs import run_python
from palewright.construction.boards import Board
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.cad_files import nested_boards_dxf
from palewright_drawings.cad_files.nested_boards_dxf import (
    WAYS,
    Lying,
    nest_plans,
    nested_blanks,
    nested_files,
    way_to_lie,
)
from palewright_drawings.documents.router_sheet import router_sheet
from shipped_designs import shipped

SCALE = {"inch": 25.4, "metric": 1.0}
NEAR = 0.01
VARIANTS = ["stoop-tub", "market-gable", "terrace-crate", "gate-pair"]
FIRST, TURNED = "boards.dxf", "boards-turned.dxf"

Point = tuple[float, float]


class Work(NamedTuple):
    """A circle: what is done, tool and depth (mm; 0 right through) by its layer, where, radius."""

    second: bool
    what: str
    tool: float
    depth: float
    centre: Point
    radius: float


class Nest(NamedTuple):
    """A box, its files, and what ezdxf reads of them, in mm, all of it as the first face shows it.

    What stands in the second file is turned back over the middle line of its blank.
    """

    box: Design
    files: dict[str, bytes]
    documents: dict[str, Any]
    blanks: list[shapely.Polygon]
    outlines: list[list[Point]]
    cut_second: list[bool]
    work: list[Work]
    scale: float


def read(content: bytes) -> Any:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def corners_of(loop: Any, scale: float) -> list[Point]:
    return [(x * scale, y * scale) for x, y in loop.get_points("xy")]


_LAYER = re.compile(r"([1-4])_([A-Z_]+?)_(\d+_\d+)_(?:THROUGH|DEEP_(\d+_\d+))_(IN|MM)")


def operation(layer: str, scale: float) -> tuple[int, str, float, float]:
    """Turn, what is done, diameter of the tool and depth (mm) that a layer's name tells."""
    found = _LAYER.fullmatch(layer)
    assert found, layer
    turn, what, tool, depth, unit = found.groups()
    assert (unit == "IN") == (scale == 25.4)
    sizes = (float((text or "0").replace("_", ".")) * scale for text in (tool, depth))
    return (int(turn), what, *sizes)  # type: ignore[return-value]


def nest_of(box: Design, files: dict[str, bytes]) -> Nest:
    documents = {name: read(content) for name, content in files.items()}
    scale = SCALE[box.parameters.product.units]
    blanks: list[shapely.Polygon] = []
    outlines: list[list[Point]] = []
    cut_second: list[bool] = []
    work: list[Work] = []
    for name, document in documents.items():
        space, second = document.modelspace(), name == TURNED
        loops = list(space.query("LWPOLYLINE"))
        assert all(loop.closed for loop in loops)
        frames = [
            shapely.Polygon(corners_of(one, scale)) for one in loops if one.dxf.layer == "0_BLANK"
        ]
        blanks += frames if not second else []
        for frame in frames:
            assert any(frame.equals_exact(one, NEAR) for one in blanks)

        def back(
            point: Point, second: bool = second, frames: list[shapely.Polygon] = frames
        ) -> Point:
            if not second:
                return point
            on = next(f for f in frames if f.buffer(NEAR).covers(shapely.Point(point)))
            return point[0], on.bounds[1] + on.bounds[3] - point[1]

        for loop in loops:
            if loop.dxf.layer != "0_BLANK":
                assert operation(loop.dxf.layer, scale)[:2] == (4, "CUT_OUTSIDE")
                outlines.append([back(corner) for corner in corners_of(loop, scale)])
                cut_second.append(second)
        for one in space.query("CIRCLE"):
            centre = back((one.dxf.center.x * scale, one.dxf.center.y * scale))
            told = (0, "PIN", 0.0, 0.0)
            if one.dxf.layer != "0_PIN_IN_PLACE":
                told = operation(one.dxf.layer, scale)
            work.append(Work(second, *told[1:], centre, one.dxf.radius * scale))
    return Nest(box, files, documents, blanks, outlines, cut_second, work, scale)


@pytest.fixture(scope="module", params=mostly_thorough(VARIANTS, "stoop-tub", "terrace-crate"))
def nest(request: pytest.FixtureRequest) -> Nest:
    box = shipped(request.param)
    return nest_of(box, dict(nested_files(box, nested_blanks(box))))


# --- the files ---


def test_audit_finds_nothing_and_units_are_declared(nest: Nest) -> None:
    for document in nest.documents.values():
        audit = document.audit()
        assert (audit.errors, audit.fixes) == ([], [])
        assert document.dxfversion == "AC1024"
        inch = nest.scale == 25.4
        assert document.header["$INSUNITS"] == (1 if inch else 4)
        assert document.header["$MEASUREMENT"] == (0 if inch else 1)


def test_extents_are_those_of_the_blanks(nest: Nest) -> None:
    for document in nest.documents.values():
        frames = document.modelspace().query('LWPOLYLINE[layer=="0_BLANK"]')
        every = [corner for frame in frames for corner in frame.get_points("xy")]
        low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
        assert low[:2] == pytest.approx((min(x for x, _ in every), min(y for _, y in every)))
        assert high[:2] == pytest.approx((max(x for x, _ in every), max(y for _, y in every)))


def test_a_machine_finds_shapes_alone_and_each_layer_is_one_tool_to_one_depth(nest: Nest) -> None:
    for document in nest.documents.values():
        entities = list(document.modelspace())
        assert {entity.dxftype() for entity in entities} == {"LWPOLYLINE", "CIRCLE"}
        used = {entity.dxf.layer for entity in entities}
        declared = {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"}
        assert used == declared
    # half of the last digit: a thousandth of an inch, a tenth of a mm
    near = 0.0128 if nest.scale == 25.4 else 0.0501
    for one in nest.work:
        if one.tool:
            assert abs(one.tool - 2 * one.radius) <= near
    turns = {"PIN_HOLE": 1, "DRILL": 2, "SINK": 3, "CUT_OUTSIDE": 4}
    for name in used - {"0_BLANK", "0_PIN_IN_PLACE"}:
        turn, what, *_ = operation(name, nest.scale)
        assert turns[what] == turn


def test_no_entity_is_doubled_or_of_no_length(nest: Nest) -> None:
    circles = [
        (one.second, one.what, *(round(x, 2) for x in (*one.centre, one.radius)))
        for one in nest.work
    ]
    assert len(set(circles)) == len(circles)
    assert min(one.radius for one in nest.work) > 0.1
    rings = [tuple(sorted((round(x, 2), round(y, 2)) for x, y in one)) for one in nest.outlines]
    assert len(set(rings)) == len(rings)
    for loop in nest.outlines:
        sides = zip(loop, loop[1:] + loop[:1], strict=True)
        assert min(math.dist(a, b) for a, b in sides) > 0.5


def test_another_reader_sees_the_same(nest: Nest, tmp_path: Path) -> None:
    for name, content in nest.files.items():
        path = tmp_path / name
        path.write_bytes(content)
        meta, _, shapes, columns = pyogrio.raw.read(path)
        layers = [str(layer) for layer in dict(zip(meta["fields"], columns, strict=True))["Layer"]]
        ours = Counter(entity.dxf.layer for entity in nest.documents[name].modelspace())
        assert Counter(layers) == ours
        area = 0.0
        for shape, layer in zip(shapes, layers, strict=True):
            if layer.startswith("4_CUT_OUTSIDE"):
                line = shapely.from_wkb(shape)
                assert line.geom_type == "Polygon" or line.is_ring
                area += shapely.Polygon(shapely.get_coordinates(line)).area * nest.scale**2
        cut = zip(nest.outlines, nest.cut_second, strict=True)
        own = sum(shapely.Polygon(o).area for o, second in cut if second == (name == TURNED))
        assert area == pytest.approx(own, rel=1e-6)


def test_the_same_box_gives_the_same_bytes(nest: Nest) -> None:
    again = design(nest.box.parameters, nest.box.name)
    assert dict(nested_files(again, nested_blanks(again))) == nest.files
    assert router_sheet(again, nested_blanks(again)) == router_sheet(
        nest.box, nested_blanks(nest.box)
    )


@pytest.mark.thorough
@pytest.mark.parametrize("seed", ["1", "77"])
def test_the_bytes_do_not_depend_on_the_hash_seed(seed: str) -> None:
    code = (
        "import hashlib\n"
        "from palewright.design import design\n"
        "from palewright.parameters.variant_files import load_variant\n"
        "from palewright_drawings.cad_files.nested_boards_dxf import nested_blanks, nested_files\n"
        "box = design(load_variant('stoop-tub').parameters, 'stoop-tub')\n"
        "files = dict(nested_files(box, nested_blanks(box)))\n"
        "print(hashlib.sha256(b''.join(files.values())).hexdigest())\n"
    )
    done = run_python("-c", code, PYTHONHASHSEED=seed)
    assert done.returncode == 0, done.stderr
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    content = b"".join(dict(nested_files(box, nested_blanks(box))).values())
    assert done.stdout.strip() == hashlib.sha256(content).hexdigest()


# --- the boards on their blanks ---


def test_blanks_lie_apart_and_are_as_the_stock_is(nest: Nest) -> None:
    sizes = {
        (round(s.length - s.length_spread, 2), round(s.width - s.width_spread, 2))
        for s in (part.stock for part in nest.box.parts)
    }
    for i, blank in enumerate(nest.blanks):
        x0, y0, x1, y1 = blank.bounds
        assert blank.area == pytest.approx((x1 - x0) * (y1 - y0))
        assert any(
            abs(x1 - x0 - long) < 0.02 and abs(y1 - y0 - wide) < 0.02 for long, wide in sizes
        )
        assert all(blank.distance(other) > 10 for other in nest.blanks[i + 1 :])


def test_as_many_outlines_as_boards_each_inside_one_blank(nest: Nest) -> None:
    assert len(nest.outlines) == len(nest.box.box.boards)
    for outline in nest.outlines:
        shape = shapely.Polygon(outline)
        assert shape.is_valid
        assert sum(blank.buffer(NEAR).covers(shape) for blank in nest.blanks) == 1


def test_the_tool_goes_between_any_two_outlines(nest: Nest) -> None:
    tool = nest.box.parameters.saw.tool
    shapes = [shapely.Polygon(outline) for outline in nest.outlines]
    nearest = math.inf
    for i, shape in enumerate(shapes):
        for other in shapes[i + 1 :]:
            nearest = min(nearest, shape.distance(other))
    assert nearest >= tool - 0.02
    assert nearest < tool + 1, "boards lie a tool's diameter apart, not more"


def test_clamps_and_pins_have_the_ends_to_themselves(nest: Nest) -> None:
    """Where no part is as long as its board; and turned over, the pins meet their holes again."""
    clamp = nest.box.parameters.saw.clamp
    longest = max(part.length for part in nest.box.parts)
    tool = nest.box.parameters.saw.tool
    for blank in nest.blanks:
        x0, y0, x1, y1 = blank.bounds
        mine = [one for one in nest.work if blank.buffer(NEAR).covers(shapely.Point(one.centre))]
        pins = [one for one in mine if one.what.startswith("PIN")]
        inner = shapely.box(x0 + clamp - NEAR, y0 - NEAR, x1 - clamp + NEAR, y1 + NEAR)
        inside = [
            shapely.Polygon(o)
            for o in nest.outlines
            if blank.contains(shapely.Point(o[0]).buffer(1e-9))
            or blank.buffer(NEAR).covers(shapely.Polygon(o))
        ]
        if longest > x1 - x0 - 2 * clamp and not all(inner.covers(o) for o in inside):
            assert not pins
            continue
        assert all(inner.covers(outline) for outline in inside)
        assert all(inner.covers(shapely.Point(w.centre)) for w in mine if w not in pins)
        turned = any(one.second for one in mine)
        assert [(w.second, w.what) for w in pins] == (
            [(False, "PIN_HOLE")] * 2 + [(True, "PIN")] * 2 if turned else []
        )
        for pin in pins:
            assert pin.radius == pytest.approx(tool / 2, abs=0.01)
            assert pin.centre[1] == pytest.approx((y0 + y1) / 2, abs=NEAR), (
                "on the line it is turned over"
            )
            assert min(pin.centre[0] - x0, x1 - pin.centre[0]) == pytest.approx(clamp / 2, abs=0.02)


def test_a_blank_is_cut_out_where_it_is_drilled_last(nest: Nest) -> None:
    for blank in nest.blanks:
        on = blank.buffer(NEAR)
        seconds = {one.second for one in nest.work if on.covers(shapely.Point(one.centre))}
        cuts = {
            second
            for outline, second in zip(nest.outlines, nest.cut_second, strict=True)
            if on.covers(shapely.Polygon(outline))
        }
        assert cuts == {True in seconds}


def laid(board: Board, outline: Sequence[Point], end: bool, edge: bool) -> list[Work]:
    """What a board on its outline's place asks for, laid end for end and edge for edge as asked.

    Turned one way only, its datum face is up; else its datum face lies below. Truth is the board's
    own holes; sinks are by a pointed bit of 82 degrees (flat heads of the inch series, common
    practice, no source).
    """
    x0, y0 = min(x for x, _ in outline), min(y for _, y in outline)
    found = []
    for hole in board.holes:
        if abs(hole.axis[2]) < 0.999:
            continue
        x, y = hole.start[:2]
        place = (x0 + (board.length - x if end else x), y0 + (board.width - y if edge else y))
        above = (hole.start[2] < board.thickness / 2) == (end != edge)
        deep = 0.0 if hole.through else hole.depth
        second = not above and not hole.through
        found.append(Work(second, "DRILL", hole.diameter, deep, place, hole.diameter / 2))
        if hole.sink > hole.diameter:
            point = hole.sink / 2 / math.tan(math.radians(41))
            found.append(Work(not above, "SINK", hole.sink, point, place, hole.sink / 2))
    return found


def fits(board: Board, outline: list[Point], drawn: list[Work]) -> bool:
    """Whether an outline and what is drilled in it are a board's, laid in one of four ways."""
    shape = shapely.Polygon(outline)
    x0, y0 = shape.bounds[:2]
    for end, edge in itertools.product((False, True), repeat=2):
        ring = [
            (x0 + (board.length - x if end else x), y0 + (board.width - y if edge else y))
            for x, y in board.outline
        ]
        if shapely.Polygon(ring).symmetric_difference(shape).area >= 0.5:
            continue
        wanted = laid(board, outline, end, edge)
        if all(any(alike(w, d) for d in drawn) for w in wanted) and all(
            any(alike(w, d) for w in wanted) for d in drawn
        ):
            return True
    return False


def alike(one: Work, two: Work) -> bool:
    return (
        (one.second, one.what) == (two.second, two.what)
        and math.dist(one.centre, two.centre) < 0.15
        and abs(one.radius - two.radius) < 0.02
        and abs(one.depth - two.depth) < 0.051
    )


def boards_of_outlines(nest: Nest) -> dict[int, str]:
    """Return for each outline, by number, a board that fits, none twice, as many as can be."""
    shapes = [shapely.Polygon(outline) for outline in nest.outlines]
    drawn = [
        [one for one in nest.work if shape.contains(shapely.Point(one.centre))] for shape in shapes
    ]
    pins = sum(one.what.startswith("PIN") for one in nest.work)
    assert sum(map(len, drawn)) + pins == len(nest.work), "a hole that is in no board"
    taken: dict[int, str] = {}
    ways = {
        name: [i for i, o in enumerate(nest.outlines) if fits(board, o, drawn[i])]
        for name, board in nest.box.box.boards.items()
    }

    def find(name: str, tried: set[int]) -> bool:
        for i in ways[name]:
            if i not in tried:
                tried.add(i)
                if i not in taken or find(taken[i], tried):
                    taken[i] = name
                    return True
        return False

    for name in ways:
        find(name, set())
    return taken


def test_every_board_lies_on_a_blank_with_all_its_holes_from_their_faces(nest: Nest) -> None:
    assert len(nest.outlines) == len(nest.box.box.boards)
    assert len(boards_of_outlines(nest)) == len(nest.outlines)


def test_boards_lie_so_that_least_is_done_from_the_second_face(nest: Nest) -> None:
    """No board could lie otherwise on its place with fewer holes to be drilled from there."""
    gained = 0
    for number, name in boards_of_outlines(nest).items():
        board, outline = nest.box.box.boards[name], nest.outlines[number]
        shape = shapely.Polygon(outline)
        holes = {
            one.centre
            for one in nest.work
            if shape.contains(shapely.Point(one.centre)) and one.second
        }
        for end, edge in itertools.product((False, True), repeat=2):
            x0, y0 = shape.bounds[:2]
            ring = [
                (x0 + (board.length - x if end else x), y0 + (board.width - y if edge else y))
                for x, y in board.outline
            ]
            if shapely.Polygon(ring).symmetric_difference(shape).area < 0.5:
                least = len({one.centre for one in laid(board, outline, end, edge) if one.second})
                assert len(holes) <= least, name
                gained += least > len(holes)
    assert gained, "no board gained anything by the way it lies"


def test_the_page_tells_every_layer_and_every_blank(nest: Nest) -> None:
    page = router_sheet(nest.box, nested_blanks(nest.box)).decode("utf-8")
    for document in nest.documents.values():
        for layer in {entity.dxf.layer for entity in document.modelspace()}:
            count = sum(entity.dxf.layer == layer for entity in document.modelspace())
            (row,) = re.findall(rf"<tr><td><code>{layer}</code></td>.*</tr>", page)
            assert f"<td>{count}</td>" in row
    turned = TURNED in nest.files
    assert (TURNED in page) == turned
    for number in range(1, len(nest.blanks) + 1):
        assert f"Blank {number}: " in page


# --- how a board lies ---


def test_a_board_turned_over_wrongly_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests above have teeth: caps that lean the wrong way show, and boards upside down."""
    box = shipped("stoop-tub")
    right, below = way_to_lie, nested_boards_dxf.from_lower_face

    # of two caps that lie side by side one leans the wrong way
    blank = max(nested_blanks(box), key=lambda b: sum(o.board.role == "cap" for o in b.boards))
    odd = next(one.board.name for one in blank.boards if one.board.role == "cap")

    def wrong(board: Board, piece: Any) -> Lying:
        way = right(board, piece)
        return Lying(way.along, -way.over) if board.name == odd else way

    monkeypatch.setattr(nested_boards_dxf, "way_to_lie", wrong)
    with pytest.raises(AssertionError):
        test_the_tool_goes_between_any_two_outlines(
            nest_of(box, dict(nested_files(box, nested_blanks(box))))
        )
    # one stile is drilled as if it lay upside down; all of them would make the box in a mirror
    monkeypatch.setattr(nested_boards_dxf, "way_to_lie", right)
    ways = {one.board.name: one.lying for b in nested_blanks(box) for one in b.boards}
    monkeypatch.setattr(nested_boards_dxf, "way_to_lie", lambda board, _: ways[board.name])
    stile = {id(hole) for hole in box.box.boards["front.stile-left"].holes}
    monkeypatch.setattr(
        nested_boards_dxf,
        "from_lower_face",
        lambda hole, lie: below(hole, lie) != (id(hole) in stile),
    )
    broken = nest_of(box, dict(nested_files(box, nested_blanks(box))))
    assert len(boards_of_outlines(broken)) < len(broken.outlines)


def test_every_way_to_lie_keeps_the_board_and_turns_it_over_or_not() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    brace = next(b for b in box.box.boards.values() if b.role == "brace")
    for way in WAYS:
        points = [way.point(brace, x, y) for x, y in brace.outline]
        ring = shapely.LinearRing(points)
        assert ring.is_ccw != way.datum_up
        assert shapely.Polygon(points).area == pytest.approx(shapely.Polygon(brace.outline).area)
        assert ring.bounds == pytest.approx((0, 0, brace.length, brace.width))


def test_a_piece_that_is_not_the_board_is_refused() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    plan = nest_plans(box)[0].plan
    pieces = [piece for layout in plan.layouts for piece in layout.pieces]
    cap = next(part.mark for part in box.parts if part.role == "cap")
    cap_piece = next(p for p in pieces if p.part == cap)
    stile = next(b for b in box.box.boards.values() if b.role == "stile")
    with pytest.raises(ValueError, match="does not lie"):
        way_to_lie(stile, cap_piece)
