"""The trellis: a ladder of strips that drops in behind the plants and is screwed to packers.

Packers are strips on the back wall, thick enough to bring the ladder clear of the cap.
"""

from __future__ import annotations

import math

from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Plane
from palewright.construction.caps import cap_opening
from palewright.construction.corners import dodged, spread
from palewright.construction.derived_sizes import Sizes
from palewright.construction.floors import floor_top
from palewright.construction.joints import Joint, Parts, Screw
from palewright.construction.standing_walls import Walls
from palewright.construction.tape_lines import Tape
from palewright.geometry.polygons import rectangle
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units

_BACK = (0.0, 1.0, 0.0)
_ABOVE_FLOOR = 25.0
"""Packers end so far above the floor, mm: wet soil drains past them. Judgement."""
_BELOW_CAP = 6.0
"""And so far below the cap, mm: it slides in without a hammer. Judgement."""
_LEAST_PACKER = 120.0
"""Least length of a packer, mm: two screws and their end distances. Judgement."""


def packer_layers(parameters: Parameters, sizes: Sizes) -> int:
    """Return how many strips thick the packers are, so that thin lumber still clears the cap."""
    strip = parameters.materials.stock["strip"]
    cap_edge = cap_opening(parameters.cap, sizes)[1] / 2
    wall = sizes.side_length / 2 - sizes.board.thinnest
    if parameters.cap.style == "none" or cap_edge >= wall + parameters.trellis.play:
        return 0
    return math.ceil((wall - cap_edge + parameters.trellis.play) / strip.thinnest - 1e-9)


def upright_places(parameters: Parameters, sizes: Sizes) -> list[float]:
    """Return the middles (x, mm) of the uprights, evenly spread clear of corners and cap.

    Raises:
        InputError: if they do not fit side by side.
    """
    trellis = parameters.trellis
    post = (
        parameters.materials.stock["post"].true_width if parameters.corner.style == "post" else 0.0
    )
    wall = sizes.width / 2 - sizes.lip  # the back wall's staves, which hold the packers
    half = min(sizes.clear_width / 2 - post, cap_opening(parameters.cap, sizes)[0] / 2, wall)
    half -= trellis.play + trellis.strip_width / 2 + 2.0
    step = 2 * half / (trellis.uprights - 1)
    if step < trellis.strip_width + 10.0:
        raise InputError(
            f"{trellis.uprights} uprights of {both_units(trellis.strip_width)} do not fit a clear "
            f"width of {both_units(max(2 * half, 0.0))}; allowed: fewer, or a wider box",
            key="trellis.uprights",
        )
    gap = (step - trellis.strip_width) // sizes.tape * sizes.tape
    step = trellis.strip_width + gap
    half = step * (trellis.uprights - 1) / 2
    return [-half + i * step for i in range(trellis.uprights)]


def trellis_parts(walls: Walls) -> Parts:
    """Return packers, uprights and level bars with their screws and joints.

    Raises:
        InputError: if the box is too low or too narrow to hold a trellis.
    """
    parameters, sizes = walls.parameters, walls.sizes
    parts, trellis = Parts(), parameters.trellis
    if not trellis.fit:
        return parts
    ends = sizes.stave_ends(outer=True)  # of the back wall's staves, on which the packers lie
    low = max(floor_top(parameters, sizes, sizes.board.thickest) + _ABOVE_FLOOR, ends[0])
    high = min(sizes.top - _BELOW_CAP, ends[1])
    if high - low < _LEAST_PACKER:
        raise InputError(
            f"the box is too low to hold a trellis; allowed: at least "
            f"{both_units(sizes.height + _LEAST_PACKER - (high - low))}",
            key="box.height",
        )
    places = upright_places(parameters, sizes)
    seats = []
    for i, x in enumerate(places, start=1):
        seat, packers = _packers(i, x, (low, high), walls)
        seats.append(seat)
        parts.add(packers)
    strip = parameters.materials.stock["strip"]
    thick = [walls.thickness(f"trellis.upright-{i}", strip) for i in range(1, len(places) + 1)]
    # the ladder is one stiff part: the proudest packer with the thickest upright sets its place
    face = min(seat[0] - t for seat, t in zip(seats, thick, strict=True))
    parts.add(_ladder(places, face, (low, high), [seat[1:] for seat in seats], walls))
    return parts


def _packers(
    number: int,
    x: float,
    heights: tuple[float, float],
    walls: Walls,
) -> tuple[tuple[float, str, float], Parts]:
    """Return where (y) the packers behind one upright end, on which board, and the packers.

    With them the x at which a screw through the upright meets that board: its middle, or where
    the upright laps a stave if there are no packers.
    """
    parameters, sizes = walls.parameters, walls.sizes
    strip, screw = parameters.materials.stock["strip"], parameters.materials.screw["trellis"]
    half = parameters.trellis.strip_width / 2
    behind = [b for b in walls.staves("back") if _overlaps(b, x - half, x + half)]
    y = min(abs(p[1]) for b in behind for p in b.corners)
    onto = tuple(b.name for b in behind if min(abs(p[1]) for p in b.corners) < y + 1e-9)
    widest = max(behind, key=lambda b: _overlap(b, x - half, x + half))
    below = widest.name
    parts = Parts()
    end = TOLERANCES.end_advised * screw.diameter
    tape = Tape(*heights, sizes.tape)
    for layer in range(1, packer_layers(parameters, sizes) + 1):
        name = f"packers.upright-{number}-layer-{layer}"
        plane = Plane((x, y, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
        outline = rectangle(-half, heights[0], half, heights[1])
        board = plane.board(name, "packer", strip, outline, 90, walls.thickness(name, strip))
        aim = _aim(x, half, widest) if layer == 1 else x
        zs = spread(
            heights[0] + end,
            heights[1] - end,
            parameters.screws.pitch,
            screw,
            0.25 * (1 + (layer - 1) % 3),
        )
        if layer == 1:
            near = TOLERANCES.apart * screw.diameter
            crossed = [s for s in walls.screws if below in s.stack]
            taken = [s.head[2] for s in crossed if abs(s.head[0] - aim) < near]
            zs = dodged(zs, taken, heights[0] + end, heights[1] - end, tape)
        else:
            zs = [tape.lines(z)[0] for z in zs]
        for i, z in enumerate(zs, start=1):
            head = (aim, y - board.thickness, z)
            parts.screws.append(Screw(f"{name}/{i}", screw, "trellis", head, _BACK, (name, below)))
        parts.boards.append(board)
        least = len(zs) * TOLERANCES.contact_per_screw
        parts.joints.append(
            Joint(
                f"{name} on {below}",
                "bed" if layer == 1 else "screw",  # staves of one wall differ in thickness
                (name,),
                onto,
                _BACK,
                least,
                len(zs),
            )
        )
        y, below, onto = y - board.thickness, name, (name,)
    return (y, below, x if below != widest.name else _aim(x, half, widest)), parts


def _overlap(board: Board, x0: float, x1: float) -> float:
    """Return how much of a board lies between two x."""
    xs = [p[0] for p in board.corners]
    return min(max(xs), x1) - max(min(xs), x0)


def _overlaps(board: Board, x0: float, x1: float) -> bool:
    """Return whether a board has something between two x."""
    return _overlap(board, x0, x1) > 1e-6


def _aim(x: float, half: float, stave: Board) -> float:
    """Return x of a screw in the middle of what a strip and the stave behind it share."""
    xs = [p[0] for p in stave.corners]
    return (max(x - half, min(xs)) + min(x + half, max(xs))) / 2


def _ladder(
    places: list[float],
    face: float,
    heights: tuple[float, float],
    seats: list[tuple[str, float]],
    walls: Walls,
) -> Parts:
    """Return uprights and bars, screwed to each other and to what they seat on.

    Args:
        places: middles of the uprights, x.
        face: y where uprights and bars meet.
        heights: lower and upper end of the packers.
        seats: name of the board behind each upright, and the x of the screws into it.
        walls: of the box.
    """
    parameters, sizes, thickness = walls.parameters, walls.sizes, walls.thickness
    trellis, strip = parameters.trellis, parameters.materials.stock["strip"]
    screw, half = parameters.materials.screw["trellis"], parameters.trellis.strip_width / 2
    end = TOLERANCES.end_advised * screw.diameter
    top = sizes.height + trellis.height
    plane = Plane((0.0, face, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    parts, bars, uprights = Parts(), [], []
    for i, x in enumerate(places, start=1):
        name = f"trellis.upright-{i}"
        outline = rectangle(x - half, heights[0], x + half, top)
        board = plane.board(
            name, "upright", strip, outline, 90, thickness(name, strip), outward=False
        )
        uprights.append(board)
        below, aim = seats[i - 1]
        tape = Tape(*heights, sizes.tape)
        ends = max(tape.lines(heights[0] + end)), min(tape.lines(heights[1] - end))
        for k, z in enumerate(ends, start=1):
            parts.screws.append(
                Screw(f"{name}/{k}", screw, "trellis", (aim, face, z), _BACK, (name, below))
            )
    first, last = sizes.height + 2 * half, top - max(end, half)
    pitch = (last - first) / max(trellis.bars - 1, 1) // sizes.tape * sizes.tape
    for i in range(trellis.bars):
        z = last - i * pitch
        name = f"trellis.bar-{trellis.bars - i}"
        reach = places[-1] + max(end, half)
        outline = rectangle(-reach, z - half, reach, z + half)
        board = plane.board(name, "bar", strip, outline, 0, thickness(name, strip))
        bars.append(board)
        for k, x in enumerate(places, start=1):
            head = (x, face - board.thickness, z)
            parts.screws.append(
                Screw(f"{name}/{k}", screw, "trellis", head, _BACK, (name, f"trellis.upright-{k}"))
            )
        parts.joints.append(
            Joint(
                f"{name} on uprights",
                "screw",
                (name,),
                tuple(b.name for b in uprights),
                _BACK,
                len(places) * TOLERANCES.contact_per_screw,
                len(places),
            )
        )
    parts.boards = uprights + bars
    parts.joints.append(
        Joint(
            "trellis on packers",
            "screw",
            tuple(b.name for b in uprights),
            tuple(dict.fromkeys(below for below, _ in seats)),
            _BACK,
            2 * TOLERANCES.contact_per_screw,
            2 * len(places),
        )
    )
    return parts
