"""The floor: slats that bear on cleats, or slats hung from below, with drain gaps."""

from __future__ import annotations

from functools import lru_cache

from palewright.catalogue.screws import ScrewKind
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Plane, Vector
from palewright.construction.derived_sizes import Sizes
from palewright.construction.face_patterns import PatternPiece
from palewright.construction.joints import Joint, Parts, Screw
from palewright.construction.panel_screws import SHARES, free_place, keep_in
from palewright.construction.panels import panel_plane
from palewright.construction.standing_walls import Walls
from palewright.construction.tape_lines import Tape
from palewright.geometry.polygons import Point, centroid, clip, rectangle
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units

_UP, _DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
_LEAST_SLAT = 5.0
"""mm: what is narrower is no board, whatever the safe rip. Judgement."""


def slat_places(span: float, widest: float, gap: float) -> list[tuple[float, float]]:
    """Return (start, width) of the fewest equal slats, mm, that fill a span with drain gaps.

    Raises:
        InputError: if the gaps leave nothing for the slats.
    """
    count = max(1, -int(-((span + gap) / (widest + gap) - 1e-9) // 1))
    width = (span - gap * (count - 1)) / count
    if width < _LEAST_SLAT:
        raise InputError(
            f"gaps of {both_units(gap)} leave nothing for slats in a floor of {both_units(span)}; "
            "allowed: a narrower gap or wider slats",
            key="floor.gap",
        )
    return [(i * (width + gap), width) for i in range(count)]


def slats_run_back(sizes: Sizes, play: float) -> bool:
    """Return whether slats run front to back: the shorter way, and in a square box the steadier.

    The inside varies less with the lumber from front to back, where only staves lie between. From
    side to side thin boards leave it wider by two of their thicknesses' spread at each end; where
    slats would then bear on too little of a thin cleat, they run front to back as well.

    Args:
        sizes: of the box.
        play: by which slats are short at each end, mm.
    """
    stock = sizes.board
    bearing = stock.thinnest - play - 2 * (stock.thickest - stock.thinnest)
    return sizes.depth <= sizes.width or bearing < TOLERANCES.bearing_length


def floor_top(parameters: Parameters, sizes: Sizes, thickness: float) -> float:
    """Return the height (mm) of the top of slats so thick on cleats, else the foot."""
    return sizes.floor_bottom + thickness if parameters.floor.kind == "cleats" else sizes.foot


def widest_slat(parameters: Parameters, sizes: Sizes) -> float:
    """Return the width (mm) that no slat exceeds."""
    asked = parameters.floor.slat_width
    return sizes.board.true_width if asked is None else asked


def refuse_floor_outside(parameters: Parameters, sizes: Sizes) -> None:
    """Complain about a floor on cleats that would lie outside the box, or cleats beside staves.

    Raises:
        InputError: naming what is allowed.
    """
    floor = parameters.floor
    low, high = sizes.stave_ends(outer=slats_run_back(sizes, floor.play))
    lowest = floor.cleat_width + low - sizes.foot
    highest = min(sizes.top - 2 * sizes.board.thickest, high) - sizes.foot
    if not lowest - 1e-9 <= floor.rise <= highest:
        where, cleats = "is outside the box", "the cleats"
        if low > sizes.foot:
            where, cleats = "leaves cleats beyond the staves' ends", "cleats on staves"
        raise InputError(
            f"a floor {both_units(floor.rise)} above the foot {where}; allowed: "
            f"{both_units(lowest)} ({cleats}) to {both_units(highest)}",
            key="floor.rise",
        )
    if min(sizes.clear_width, sizes.clear_depth) - 2 * floor.play < 2 * sizes.board.thickest:
        raise InputError(
            'the inside is too small for a floor; allowed: a larger box or floor.kind = "none"',
            key="floor.kind",
        )


def cleat_floor(walls: Walls, *, screwed: bool) -> Parts:
    """Return cleats screwed to two walls and the loose slats that bear on them.

    Args:
        walls: that it is built into.
        screwed: whether the screws of cleats are placed, which takes most of the time.

    Raises:
        InputError: if the floor would lie outside the box.
    """
    parameters, sizes = walls.parameters, walls.sizes
    refuse_floor_outside(parameters, sizes)
    back = slats_run_back(sizes, parameters.floor.play)
    parts, cleats = Parts(), []
    for panel in ("front", "back") if back else ("left", "right"):
        made = _cleat(panel, walls, screwed=screwed)
        cleats += made.boards
        parts.add(made)
    play, stock = parameters.floor.play, sizes.board
    long, wide = sizes.clear_depth, sizes.clear_width
    long, wide = (long, wide) if back else (wide, long)
    u: Vector = (0.0, 1.0, 0.0) if back else (1.0, 0.0, 0.0)
    v: Vector = (-1.0, 0.0, 0.0) if back else (0.0, 1.0, 0.0)
    plane = Plane((0.0, 0.0, sizes.floor_bottom), u, v)
    span = wide - 2 * play
    half = long / 2 - play
    for i, (start, width) in enumerate(
        slat_places(span, widest_slat(parameters, sizes), parameters.floor.gap), start=1
    ):
        name = f"floor.slat-{i}"
        outline = rectangle(-half, start - span / 2, half, start - span / 2 + width)
        thick = walls.thickness(name, stock)
        parts.boards.append(plane.board(name, "slat", stock, outline, 0, thick))
        for cleat in cleats:
            parts.joints.append(
                Joint(
                    f"{name} on {cleat.name}",
                    "bearing",
                    (name,),
                    (cleat.name,),
                    _DOWN,
                    TOLERANCES.contact_glued,
                )
            )
    return parts


def _cleat(panel: str, walls: Walls, *, screwed: bool) -> Parts:
    """Return one cleat, if ``screwed`` once into each stave it crosses with room for a screw."""
    parameters, sizes = walls.parameters, walls.sizes
    floor, stock = parameters.floor, sizes.board
    outer = panel in ("front", "back")
    width = sizes.width if outer else sizes.side_length
    staves = walls.staves(panel)
    axis = 1 if outer else 0
    face = min(abs(stave.placement.out(0.0, 0.0, stave.thickness)[axis]) for stave in staves)
    plane = panel_plane(panel, width / 2, face)
    long = (sizes.clear_width if outer else sizes.clear_depth) - 2 * floor.play
    top = sizes.floor_bottom
    name = f"{panel}.cleat"
    piece = PatternPiece(
        "cleat",
        "cleat",
        rectangle((width - long) / 2, top - floor.cleat_width, (width + long) / 2, top),
        0,
    )
    cleat = plane.board(
        name, "cleat", stock, piece.polygon, 0, walls.thickness(name, stock), outward=False
    )
    parts = Parts(boards=[cleat])
    screw = parameters.materials.screw["wall"]
    taken = tuple(
        (_along(s.head, plane.origin, plane.u), s.head[2])
        for s in walls.screws
        if s.stack[0].startswith(f"{panel}.")
    )
    ways = Tape(0.0, width, sizes.tape), Tape(0.0, sizes.top, sizes.tape)
    for stave in staves if screwed else ():
        xs = [_along(point, plane.origin, plane.u) for point in stave.corners]
        zs = [point[2] for point in stave.corners]
        other = PatternPiece("", "stave", rectangle(min(xs), min(zs), max(xs), max(zs)), 90)
        if place := _cleat_place(piece, other, taken, screw, ways):
            u, z = place
            head = plane.point(u, z, -cleat.thickness)
            number = len(parts.screws) + 1
            parts.screws.append(
                Screw(f"{name}/{number}", screw, "cleat", head, plane.out, (name, stave.name))
            )
    held = len(parts.screws)
    parts.joints.append(
        Joint(
            f"{name} on staves",
            "bed",
            (name,),
            tuple(s.name for s in staves),
            plane.out,
            max(held, 1) * TOLERANCES.contact_per_screw,
            held,
        )
    )
    return parts


@lru_cache(maxsize=1024)
def _cleat_place(
    cleat: PatternPiece,
    stave: PatternPiece,
    taken: tuple[Point, ...],
    screw: ScrewKind,
    ways: tuple[Tape, Tape],
) -> Point | None:
    """Return where a cleat is screwed to a stave, clear of what is taken; None without room.

    Kept, since a panel's drawing is the same in all lumber cases.
    """
    shares = [(keep_in(cleat, screw, s), keep_in(stave, screw, s)) for s in SHARES]
    rooms = [room for mine, its in shares if mine and its and (room := clip(mine, its))]
    return free_place(rooms, taken, screw, ways) if rooms else None


def _along(point: Vector, origin: Vector, u: Vector) -> float:
    """Return how far a point lies along ``u`` from the origin."""
    return sum((point[i] - origin[i]) * u[i] for i in range(3))


def hung_floor(walls: Walls) -> Parts:
    """Return slats under the walls, screwed up into the staves' ends.

    Middle slats lie between the front stiles and reach under rails and staves; the two outermost
    lie between the stiles' backs and are held along the side walls.

    Raises:
        InputError: if there is no room below the walls or between the stiles.
    """
    parameters, sizes = walls.parameters, walls.sizes
    stock, play, foot = sizes.board, parameters.floor.play / 2, sizes.foot
    if max(sizes.stave_ends(outer)[0] for outer in (True, False)) > foot:
        raise InputError(
            "hung slats hang from staves that reach down to the foot; allowed: "
            'wall.rail_lap = "auto", or floor.kind = "cleats"',
            key="floor.kind",
        )
    if foot < stock.thickest:
        raise InputError(
            "hung slats need a foot higher than one board; allowed: at least "
            f"{both_units(stock.thickest)}",
            key="box.foot",
        )
    gap = parameters.floor.gap
    edge = sizes.width / 2 - sizes.stile - play
    outermost = sizes.width / 2 - stock.thickest - play
    side_width = outermost - edge - gap
    if edge < stock.thickness or side_width < stock.thickness:
        raise InputError(
            "there is no room for hung slats between the stiles; allowed: wider stiles, a wider "
            'box or floor.kind = "cleats"',
            key="floor.kind",
        )
    plane = Plane((0.0, 0.0, foot), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0))
    parts = Parts()
    long, short = sizes.depth / 2 - play, sizes.side_length / 2 - play
    middle = slat_places(2 * edge, widest_slat(parameters, sizes), gap)
    places = [(short, -outermost, side_width, "right")]
    places += [(long, start - edge, width, "") for start, width in middle]
    places += [(short, edge + gap, side_width, "left")]
    for i, (half, start, width, side) in enumerate(places, start=1):
        name = f"floor.slat-{i}"
        piece = rectangle(-half, start, half, start + width)
        thick = walls.thickness(name, stock)
        slat = plane.board(name, "slat", stock, piece, 0, thick, outward=False)
        held = _hung_screws(slat, side, walls)
        parts.boards.append(slat)
        parts.screws += held
        onto = tuple(b.name for b in walls.boards.values() if b.role in ("stave", "filler", "rail"))
        parts.joints.append(
            Joint(
                f"{name} under walls",
                "screw",
                (name,),
                onto,
                _UP,
                max(1, len(held)) * TOLERANCES.contact_per_screw,
                len(held),
            )
        )
    return parts


def _hung_screws(slat: Board, side: str, walls: Walls) -> list[Screw]:
    """Return the screws up through one slat into the ends of the staves above it."""
    screw = walls.parameters.materials.screw["floor"]
    points = slat.corners
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    slat_box = rectangle(min(xs), min(ys), max(xs), max(ys))
    found: list[Screw] = []
    for stave in walls.staves(*((side,) if side else ("front", "back"))):
        corners = stave.corners
        sx, sy = [p[0] for p in corners], [p[1] for p in corners]
        over = clip(slat_box, rectangle(min(sx), min(sy), max(sx), max(sy)))
        if not over:
            continue
        x, y = centroid(over)
        wide = (
            max(p[1] for p in over) - min(p[1] for p in over)
            if side
            else (max(p[0] for p in over) - min(p[0] for p in over))
        )
        if wide < 2 * TOLERANCES.edge_advised * screw.diameter:
            continue
        head = (x, y, min(p[2] for p in points))
        found.append(
            Screw(
                f"{slat.name}/{len(found) + 1}", screw, "floor", head, _UP, (slat.name, stave.name)
            )
        )
    return found


def floor_parts(walls: Walls, *, screwed: bool) -> Parts:
    """Return the floor that the variant asks for, its screws clear of those already placed.

    Args:
        walls: that it is built into.
        screwed: whether the screws of cleats are placed, which takes most of the time.
    """
    kind = walls.parameters.floor.kind
    if kind == "none":
        return Parts()
    if kind == "hung":
        return hung_floor(walls)
    return cleat_floor(walls, screwed=screwed)
