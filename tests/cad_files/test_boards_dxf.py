"""`boards.dxf`: every board of a box on its blank, as two other readers see it."""

from __future__ import annotations

import hashlib
import io
import itertools
import math
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

import ezdxf
import ezdxf.bbox
import pyogrio
import pytest
import shapely

from command_runs import run_python
from palewright.construction.boards import Board
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.cad_files import nested_boards_dxf
from palewright_drawings.cad_files.nested_boards_dxf import (
    LAYERS,
    WAYS,
    Lying,
    boards_file,
    nest_plans,
    nest_sheet,
    way_to_lie,
)

ROOT = Path(__file__).resolve().parents[2]
SCALE = {"inch": 25.4, "metric": 1.0}
NEAR = 0.01
VARIANTS = ["stoop-tub", "market-gable", "terrace-crate", "gate-pair"]

Point = tuple[float, float]


class Nest(NamedTuple):
    """A box, its file, and what ezdxf reads of it, in mm."""

    box: Design
    content: bytes
    document: Any
    outlines: list[list[Point]]
    blanks: list[shapely.Polygon]
    circles: list[tuple[str, Point, float]]
    texts: list[Any]
    scale: float


def read(content: bytes) -> Any:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def corners_of(loop: Any, scale: float) -> list[Point]:
    return [(x * scale, y * scale) for x, y in loop.get_points("xy")]


def nest_of(box: Design, content: bytes) -> Nest:
    document = read(content)
    space, scale = document.modelspace(), SCALE[box.parameters.product.units]
    loops = list(space.query("LWPOLYLINE"))
    assert all(loop.closed for loop in loops)
    outlines = [corners_of(one, scale) for one in loops if one.dxf.layer == "CUT_OUTSIDE"]
    blanks = [shapely.Polygon(corners_of(o, scale)) for o in loops if o.dxf.layer == "BLANK"]
    assert len(outlines) + len(blanks) == len(loops)
    circles = [
        (
            one.dxf.layer,
            (one.dxf.center.x * scale, one.dxf.center.y * scale),
            one.dxf.radius * scale,
        )
        for one in space.query("CIRCLE")
    ]
    return Nest(box, content, document, outlines, blanks, circles, list(space.query("TEXT")), scale)


@pytest.fixture(scope="module", params=VARIANTS)
def nest(request: pytest.FixtureRequest) -> Nest:
    box = design(load_variant(request.param).parameters, request.param)
    return nest_of(box, boards_file(box))


# --- the file ---


def test_audit_finds_nothing_and_units_are_declared(nest: Nest) -> None:
    audit = nest.document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert nest.document.dxfversion == "AC1024"
    inch = nest.scale == 25.4
    assert nest.document.header["$INSUNITS"] == (1 if inch else 4)
    assert nest.document.header["$MEASUREMENT"] == (0 if inch else 1)


def test_extents_hold_every_line_and_caption_and_little_more(nest: Nest) -> None:
    header, drawn = nest.document.header, ezdxf.bbox.extents(nest.document.modelspace())
    low, high = header["$EXTMIN"], header["$EXTMAX"]
    assert low[0] == pytest.approx(drawn.extmin.x, abs=1e-6)
    assert 0 <= high[0] - drawn.extmax.x < 1e-6
    assert 0 <= drawn.extmin.y - low[1] < 12 / nest.scale, "the caption, half a letter more"
    assert -1e-6 <= high[1] - drawn.extmax.y < 1e-6
    assert tuple(header["$LIMMIN"]) == pytest.approx(low[:2])
    assert tuple(header["$LIMMAX"]) == pytest.approx(high[:2])


def test_layers_are_one_an_operation(nest: Nest) -> None:
    used = {entity.dxf.layer for entity in nest.document.modelspace()}
    assert used <= set(LAYERS)
    assert {"BLANK", "CUT_OUTSIDE", "DRILL_THROUGH", "LABEL"} <= used
    for name, colour in LAYERS.items():
        assert nest.document.layers.get(name).dxf.color == colour
    assert {e.dxftype() for e in nest.document.modelspace()} == {"LWPOLYLINE", "CIRCLE", "TEXT"}


def test_no_entity_is_doubled_or_of_no_length(nest: Nest) -> None:
    seen: set[Any] = set()
    for layer, (x, y), radius in nest.circles:
        assert radius > 0.1
        key = (layer, round(x, 2), round(y, 2), round(radius, 2))
        assert key not in seen
        seen.add(key)
    for loop in [*nest.outlines, *(list(blank.exterior.coords)[:-1] for blank in nest.blanks)]:
        sides = zip(loop, loop[1:] + loop[:1], strict=True)
        assert min(math.dist(a, b) for a, b in sides) > 0.5
        outline = tuple(sorted((round(x, 2), round(y, 2)) for x, y in loop))
        assert outline not in seen
        seen.add(outline)
    for text in nest.texts:
        assert text.dxf.text.strip() and text.dxf.height > 0
        place = text.dxf.align_point
        spot = (round(place.x, 4), round(place.y, 4))
        assert spot not in seen
        seen.add(spot)


def test_another_reader_sees_the_same(nest: Nest, tmp_path: Path) -> None:
    path = tmp_path / "boards.dxf"
    path.write_bytes(nest.content)
    meta, _, shapes, columns = pyogrio.raw.read(path)
    layers = [str(layer) for layer in dict(zip(meta["fields"], columns, strict=True))["Layer"]]
    ours = Counter(entity.dxf.layer for entity in nest.document.modelspace())
    assert Counter(layers) == ours
    area = 0.0
    for shape, layer in zip(shapes, layers, strict=True):
        if layer == "CUT_OUTSIDE":
            line = shapely.from_wkb(shape)
            assert line.geom_type == "Polygon" or line.is_ring
            area += shapely.Polygon(shapely.get_coordinates(line)).area * nest.scale**2
    assert area == pytest.approx(sum(shapely.Polygon(o).area for o in nest.outlines), rel=1e-6)


def test_the_same_box_gives_the_same_bytes(nest: Nest) -> None:
    again = design(load_variant(nest.box.name).parameters, nest.box.name)
    assert boards_file(again) == nest.content


@pytest.mark.thorough
@pytest.mark.parametrize("seed", ["1", "77"])
def test_the_bytes_do_not_depend_on_the_hash_seed(seed: str) -> None:
    code = (
        "import hashlib\n"
        "from palewright.design import design\n"
        "from palewright.parameters.variant_files import load_variant\n"
        "from palewright_drawings.cad_files.nested_boards_dxf import boards_file\n"
        "box = design(load_variant('stoop-tub').parameters, 'stoop-tub')\n"
        "print(hashlib.sha256(boards_file(box)).hexdigest())\n"
    )
    done = run_python("-c", code, PYTHONHASHSEED=seed)
    assert done.returncode == 0, done.stderr
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    assert done.stdout.strip() == hashlib.sha256(boards_file(box)).hexdigest()


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


def text_box(text: Any, scale: float) -> shapely.Polygon:
    found = ezdxf.bbox.extents([text])
    return shapely.box(
        *(edge * scale for edge in (*found.extmin.vec2, *found.extmax.vec2))  # type: ignore[misc]
    )


def board_of_outline(nest: Nest) -> list[tuple[Board, list[Point]]]:
    """Every outline with the board that the label inside it names."""
    labels = [text for text in nest.texts if not text.dxf.text.startswith("blank ")]
    marks = {name: part.mark for part in nest.box.parts for name in part.boards}
    found = []
    for outline in nest.outlines:
        shape = shapely.Polygon(outline)
        inside = [
            text
            for text in labels
            if shape.contains(
                shapely.Point(
                    text.dxf.align_point.x * nest.scale, text.dxf.align_point.y * nest.scale
                )
            )
        ]
        assert len(inside) == 1
        mark, name = inside[0].dxf.text.split()
        assert mark == marks[name]
        found.append((nest.box.box.boards[name], outline))
    assert sorted(board.name for board, _ in found) == sorted(nest.box.box.boards)
    return found


def test_labels_lie_inside_their_boards_and_beside_the_blanks(nest: Nest) -> None:
    board_of_outline(nest)
    shapes = [shapely.Polygon(outline).buffer(0.3) for outline in nest.outlines]
    numbered = 0
    for text in nest.texts:
        told = text_box(text, nest.scale)
        if text.dxf.text.startswith("blank "):
            numbered += 1
            _, _, right, _ = nest.blanks[0].bounds
            assert all(not blank.intersects(told) for blank in nest.blanks)
            assert min(blank.distance(told) for blank in nest.blanks) < 20
            assert told.bounds[0] >= -0.5 and told.bounds[2] <= right
        else:
            assert any(shape.covers(told) for shape in shapes), text.dxf.text
    assert numbered == len(nest.blanks)


def sides(corners: Sequence[Point]) -> list[float]:
    ring = [*corners, corners[0]]
    return sorted(math.dist(a, b) for a, b in itertools.pairwise(ring))


def test_each_outline_is_congruent_to_its_board(nest: Nest) -> None:
    for board, outline in board_of_outline(nest):
        real = shapely.Polygon(board.outline)
        assert shapely.Polygon(outline).area == pytest.approx(real.area, abs=0.5), board.name
        whole = [p for p in board.outline if _turns(board.outline, p)]
        assert sides(outline) == pytest.approx(sides(whole), abs=NEAR), board.name


def _turns(outline: Sequence[Point], corner: Point) -> bool:
    """Whether a corner is one: none that repeats its neighbour or lies on a straight edge."""
    i = list(outline).index(corner)
    before, after = outline[i - 1], outline[(i + 1) % len(outline)]
    if math.dist(before, corner) < 1e-3:
        return False
    turn = (corner[0] - before[0]) * (after[1] - corner[1])
    turn -= (corner[1] - before[1]) * (after[0] - corner[0])
    return abs(turn) > 1e-3


def laid(board: Board, outline: Sequence[Point], end: bool, edge: bool) -> dict[str, Any]:
    """A board laid on its outline's place, end for end and edge for edge as asked.

    Turned one way only, its datum face is up; else its datum face lies below.
    """
    x0, y0 = min(x for x, _ in outline), min(y for _, y in outline)

    def put(x: float, y: float) -> Point:
        return (
            x0 + (board.length - x if end else x),
            y0 + (board.width - y if edge else y),
        )

    datum_up = end != edge
    circles: set[tuple[str, float, float, float]] = set()

    def drilled(layer: str, place: Point, radius: float) -> None:
        circles.add((layer, round(place[0], 1), round(place[1], 1), round(radius, 2)))

    for hole in board.holes:
        if abs(hole.axis[2]) < 0.999:
            continue
        place = put(hole.start[0], hole.start[1])
        from_datum = hole.start[2] < board.thickness / 2
        above = from_datum == datum_up
        layer = "DRILL_BLIND" if above else "FROM_BELOW"
        drilled("DRILL_THROUGH" if hole.through else layer, place, hole.diameter / 2)
        if hole.sink > hole.diameter:
            drilled("SINK" if above else "FROM_BELOW", place, hole.sink / 2)
    return {"outline": [put(x, y) for x, y in board.outline], "circles": circles}


def test_every_hole_is_where_the_board_has_it_and_on_the_side_it_is_drilled_from(
    nest: Nest,
) -> None:
    placed = 0
    for board, outline in board_of_outline(nest):
        shape = shapely.Polygon(outline)
        own = [one for one in nest.circles if shape.contains(shapely.Point(one[1]))]
        placed += len(own)
        for layer, centre, radius in own:
            if layer not in ("SINK", "FROM_BELOW"):
                inside = shapely.Point(centre).distance(shape.exterior) > radius
                crosses = any(
                    abs(h.diameter / 2 - radius) < NEAR and _breaks_edge(board, h)
                    for h in board.holes
                )
                assert inside or crosses, f"{board.name}: a hole breaks its edge"
        fits = []
        for end, edge in itertools.product((False, True), repeat=2):
            here = laid(board, outline, end, edge)
            same_outline = shapely.Polygon(here["outline"]).symmetric_difference(shape).area < 0.5
            if same_outline and _same_circles(here["circles"], own):
                fits.append((end, edge))
        assert fits, f"{board.name}: no way to lie has its outline and its holes"
    assert placed == len(nest.circles), "a hole that is in no board"


def _breaks_edge(board: Board, hole: Any) -> bool:
    own = shapely.Polygon(board.outline).exterior
    return own.distance(shapely.Point(hole.start[:2])) <= hole.diameter / 2 + NEAR


def _same_circles(
    wanted: set[tuple[str, float, float, float]], drawn: list[tuple[str, Point, float]]
) -> bool:
    """Whether each wanted circle is drawn and each drawn one wanted, to a tenth of a mm."""
    if len({(layer, r, x, y) for layer, x, y, r in wanted}) < len(drawn):
        return False

    def alike(one: tuple[str, float, float, float], two: tuple[str, Point, float]) -> bool:
        near = math.dist(one[1:3], two[1]) < 0.15 and abs(one[3] - two[2]) < 0.02
        return one[0] == two[0] and near

    return all(any(alike(w, d) for d in drawn) for w in wanted) and all(
        any(alike(w, d) for w in wanted) for d in drawn
    )


# --- how a board lies ---


def test_a_board_turned_over_wrongly_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests above have teeth: caps that lean the wrong way show, and boards upside down."""
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    plans = nest_plans(box)
    right = way_to_lie

    def wrong(board: Board, piece: Any) -> Lying:
        way = right(board, piece)
        return Lying(way.along, -way.over) if board.name in ("cap.front", "cap.left") else way

    monkeypatch.setattr(nested_boards_dxf, "way_to_lie", wrong)
    content = nested_boards_dxf.sheet_bytes(nest_sheet(box, plans), "inch")
    broken = nest_of(box, content)
    with pytest.raises(AssertionError):
        test_the_tool_goes_between_any_two_outlines(broken)

    def upside_down(board: Board, piece: Any) -> Lying:
        way = right(board, piece)
        return Lying(way.along, -way.over)

    # drawn upside down, but drilled as if it were not
    monkeypatch.setattr(nested_boards_dxf, "way_to_lie", upside_down)
    below = nested_boards_dxf._from_below
    monkeypatch.setattr(
        nested_boards_dxf, "_from_below", lambda hole, lie: below(hole, Lying(lie.along, -lie.over))
    )
    content = nested_boards_dxf.sheet_bytes(nest_sheet(box, plans), "inch")
    with pytest.raises(AssertionError):
        test_every_hole_is_where_the_board_has_it_and_on_the_side_it_is_drilled_from(
            nest_of(box, content)
        )


def test_every_way_to_lie_keeps_the_board_and_turns_it_over_or_not() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    brace = next(b for b in box.box.boards.values() if b.role == "brace")
    for way in WAYS:
        points = [way.point(brace, x, y) for x, y in brace.outline]
        ring = shapely.LinearRing(points)
        assert ring.is_ccw != way.datum_up
        assert shapely.Polygon(points).area == pytest.approx(shapely.Polygon(brace.outline).area)
        assert ring.bounds == pytest.approx((0, 0, brace.length, brace.width))


def test_boards_lie_so_that_most_holes_are_drilled_from_above(nest: Nest) -> None:
    """No board could lie otherwise on its place with fewer holes to be drilled from below."""
    turned = 0
    for board, outline in board_of_outline(nest):
        shape = shapely.Polygon(outline)
        drawn = [one for one in nest.circles if shape.contains(shapely.Point(one[1]))]
        below = sum(layer == "FROM_BELOW" for layer, _, _ in drawn)
        for end, edge in itertools.product((False, True), repeat=2):
            here = laid(board, outline, end, edge)
            if shapely.Polygon(here["outline"]).symmetric_difference(shape).area < 0.5:
                least = sum(layer == "FROM_BELOW" for layer, *_ in here["circles"])
                assert below <= least, board.name
                turned += least > below
    assert turned, "no board gained anything by the way it lies"


def test_a_piece_that_is_not_the_board_is_refused() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    plan = nest_plans(box)[0].plan
    pieces = [piece for layout in plan.layouts for piece in layout.pieces]
    cap = next(part.mark for part in box.parts if part.role == "cap")
    cap_piece = next(p for p in pieces if p.part == cap)
    stile = next(b for b in box.box.boards.values() if b.role == "stile")
    with pytest.raises(ValueError, match="does not lie"):
        way_to_lie(stile, cap_piece)
