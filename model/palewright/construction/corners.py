"""How the four panels are closed at the corners: into the stile's edge, or into corner posts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from palewright.catalogue.screws import ScrewKind
from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Plane, Vector
from palewright.construction.derived_sizes import Sizes
from palewright.construction.joints import Joint, Parts, Screw
from palewright.construction.standing_walls import Walls
from palewright.construction.tape_lines import Tape
from palewright.geometry.polygons import rectangle

SLAT_AIR = 1.5
"""Posts end this much (mm) above the thickest slat, so that the floor can be slid under them."""


SCREW_AIR = 15.0
"""Corner screws keep this far (mm, in height) from screws that cross them: two heads' width."""


@dataclass(frozen=True, slots=True)
class CornerPlace:
    """One corner seen from inside the box: which panels meet, and on which side of each.

    ``x_sign`` and ``y_sign`` say on which side of the middle the corner lies.
    """

    name: str
    outer: str
    inner: str
    x_sign: int
    y_sign: int

    @property
    def outer_stile(self) -> str:
        """Name of the outer panel's stile at this corner."""
        # seen from outside, the front's left is at -x and the back's left at +x
        left = (self.x_sign < 0) == (self.outer == "front")
        return f"{self.outer}.stile-{'left' if left else 'right'}"

    @property
    def inner_stile(self) -> str:
        """Name of the inner panel's stile at this corner."""
        left = (self.y_sign < 0) == (self.inner == "right")
        return f"{self.inner}.stile-{'left' if left else 'right'}"


CORNERS = (
    CornerPlace("front-left", "front", "left", -1, -1),
    CornerPlace("front-right", "front", "right", 1, -1),
    CornerPlace("back-left", "back", "left", -1, 1),
    CornerPlace("back-right", "back", "right", 1, 1),
)


def end_stave(panel: str, stile: str, boards: Mapping[str, Board]) -> Board:
    """Return the last stave of a panel on the side of the given stile."""
    staves = [b for b in boards.values() if b.panel == panel and b.role in ("stave", "filler")]
    axis = 0 if panel in ("front", "back") else 1
    sign = 1 if sum(point[axis] for point in boards[stile].corners) > 0 else -1
    return max(staves, key=lambda stave: max(sign * point[axis] for point in stave.corners))


def spread(
    low: float, high: float, pitch: float, screw: ScrewKind, shift: float = 0.0
) -> list[float]:
    """Return places for screws from ``low`` to ``high``, no further apart than ``pitch``, all mm.

    One in the middle where two would come too near each other.

    Args:
        low: the first place, mm.
        high: the last, mm.
        pitch: the greatest distance between two, mm.
        screw: whose thickness says what is too near.
        shift: moves all up by this share of the distance between two, one fewer then; 0 to 1.
    """
    if high - low < TOLERANCES.apart * screw.diameter:
        return [(low + high) / 2]
    count = max(1, -int(-(high - low) / pitch // 1))
    step = (high - low) / count
    return [low + step * (i + shift) for i in range(count + (1 if shift == 0 else 0))]


def dodged(
    heights: list[float], taken: list[float], low: float, high: float, tape: Tape
) -> list[float]:
    """Return heights moved just so far that they stand at lines of a tape, clear of those taken.

    A height that finds no free line between ``low`` and ``high`` stays: the checks report it.

    Args:
        heights: wanted, mm.
        taken: heights of other screws, mm.
        low: the least that is allowed, mm.
        high: the greatest, mm.
        tape: whose lines they move to.
    """
    found: list[float] = []
    for height in heights:
        wanted = [height, *(t + way * SCREW_AIR for t in taken for way in (1, -1))]
        options = [line for place in wanted for line in tape.lines(place)]
        free = (
            z
            for z in sorted(options, key=lambda z: abs(z - height))
            if low - 1e-9 <= z <= high + 1e-9
            and all(abs(z - t) > SCREW_AIR - 1e-9 for t in (*taken, *found))
        )
        found.append(next(free, height))
    return found


def heights_in(board: str, screws: Iterable[Screw]) -> list[float]:
    """Return the heights (mm) of the screws that already go through a board."""
    return [screw.head[2] for screw in screws if board in screw.stack]


def _up(sizes: Sizes) -> Tape:
    """Return the tape along a stile, from its lower end."""
    return Tape(0.0, sizes.top, sizes.tape)


def edge_corner(corner: CornerPlace, walls: Walls) -> Parts:
    """Return the joint in which the outer stile is screwed to the edge of the inner stile.

    The screws aim at the middle of the inner stile's own thickness, as a jig that bears on its
    face finds it.
    """
    sizes, boards, screw = walls.sizes, walls.boards, walls.parameters.materials.screw["corner"]
    outer, inner = boards[corner.outer_stile], boards[corner.inner_stile]
    xs = [point[0] for point in inner.corners]
    x = (min(xs) + max(xs)) / 2
    y_face = corner.y_sign * max(abs(point[1]) for point in outer.corners)
    axis = (0.0, -float(corner.y_sign), 0.0)
    end = TOLERANCES.end_advised * screw.diameter
    taken = heights_in(inner.name, walls.screws) + heights_in(outer.name, walls.screws)
    low, high = end, sizes.top - end
    pitch = walls.parameters.screws.pitch
    heights = dodged(spread(low, high, pitch, screw), taken, low, high, _up(sizes))
    screws = [
        Screw(
            f"{outer.name}/corner-{i}",
            screw,
            "corner",
            (x, y_face, z),
            axis,
            (outer.name, inner.name),
        )
        for i, z in enumerate(heights, start=1)
    ]
    least = len(screws) * TOLERANCES.contact_per_screw
    joint = Joint(
        f"{corner.name} corner", "screw", (outer.name,), (inner.name,), axis, least, len(screws)
    )
    return Parts(joints=[joint], screws=screws)


def corner_post(corner: CornerPlace, bottom: float, walls: Walls, *, screwed: bool) -> Parts:
    """Return a post in the inside corner, and if ``screwed`` what holds both panels to it.

    The post is pressed against the end staves of both panels. Screws go through stile and stave
    into the post's faces, at heights that keep them clear of each other and of the wall screws.

    Args:
        corner: which one.
        bottom: height of the post's lower end, mm.
        walls: of the box.
        screwed: whether its screws are placed, which takes most of the time.
    """
    parameters, sizes, boards = walls.parameters, walls.sizes, walls.boards
    stock, screw = parameters.materials.stock["post"], parameters.materials.screw["post"]
    outer_stave = end_stave(corner.outer, corner.outer_stile, boards)
    inner_stave = end_stave(corner.inner, corner.inner_stile, boards)
    name = f"{corner.outer}.post-{corner.inner}"
    across, thick = stock.true_width, walls.thickness(name, stock)
    x_face = min(abs(point[0]) for point in inner_stave.corners)
    y_face = min(abs(point[1]) for point in outer_stave.corners)
    sx, sy = corner.x_sign, corner.y_sign
    # datum face on the outer panel's stave; the post's width runs inward along x
    plane = Plane((sx * x_face, sy * y_face, bottom), (-float(sx), 0.0, 0.0), (0.0, 0.0, 1.0))
    outline = rectangle(0.0, 0.0, across, sizes.top - bottom)
    outward = plane.out[1] * sy < 0  # the side of the plane towards the middle of the box
    post = plane.board(name, "post", stock, outline, 90, thick, outward)
    parts = Parts(boards=[post])
    if not screwed:
        return parts
    edge = TOLERANCES.edge_advised * screw.diameter
    x_mid = min(_aim(x_face - across / 2, boards[corner.outer_stile], outer_stave, 0, edge), x_face)
    y_mid = min(_aim(y_face - thick / 2, boards[corner.inner_stile], inner_stave, 1, edge), y_face)
    stiles = corner.outer_stile, corner.inner_stile
    taken = [heights_in(stile, walls.screws) for stile in stiles]
    pitch = parameters.screws.pitch
    low, high = _room_up(post, outer_stave, screw)
    first = dodged(spread(low, high, pitch, screw), taken[0], low, high, _up(sizes))
    low, high = _room_up(post, inner_stave, screw)
    second = spread(low, high, pitch, screw, 0.5)
    second = dodged(second, taken[1] + first, low, high, _up(sizes))
    sides: tuple[tuple[str, str, Vector, Vector, list[float]], ...] = (
        (
            corner.outer_stile,
            outer_stave.name,
            (sx * x_mid, sy * _far(boards[corner.outer_stile], 1), 0.0),
            (0.0, -float(sy), 0.0),
            first,
        ),
        (
            corner.inner_stile,
            inner_stave.name,
            (sx * _far(boards[corner.inner_stile], 0), sy * y_mid, 0.0),
            (-float(sx), 0.0, 0.0),
            second,
        ),
    )
    for stile, stave, head, axis, heights in sides:
        for i, z in enumerate(heights, start=1):
            parts.screws.append(
                Screw(
                    f"{stile}/post-{i}",
                    screw,
                    "post",
                    (head[0], head[1], z),
                    axis,
                    (stile, stave, name),
                )
            )
        least = len(heights) * TOLERANCES.contact_per_screw
        parts.joints.append(
            Joint(f"{name} to {stave}", "screw", (stave,), (name,), axis, least, len(heights))
        )
    bearing = (0.0, float(sy), 0.0)
    parts.joints.append(
        Joint(
            f"{corner.name} corner",
            "bearing",
            (corner.inner_stile,),
            (corner.outer_stile,),
            bearing,
            TOLERANCES.contact_glued,
        )
    )
    return parts


def _far(board: Board, axis: int) -> float:
    """Return how far from the middle of the box a board reaches along x (0) or y (1)."""
    return max(abs(point[axis]) for point in board.corners)


def _reach(board: Board, axis: int) -> float:
    """Return how near to the middle of the box a board comes along x (0) or y (1)."""
    return min(abs(point[axis]) for point in board.corners)


def _room_up(post: Board, stave: Board, screw: ScrewKind) -> tuple[float, float]:
    """Return between which heights (mm) screws go through a stave into a post."""
    heights = [[point[2] for point in board.corners] for board in (post, stave)]
    bottom, top = max(map(min, heights)), min(map(max, heights))
    # a short post leaves a quarter at either end, so that the two rows still find their places
    end = min(TOLERANCES.end_advised * screw.diameter, (top - bottom) / 4)
    return bottom + end, top - end


def _aim(middle: float, stile: Board, stave: Board, axis: int, edge: float) -> float:
    """Return where to aim across a post: its middle, or as near as stile and stave share wood.

    A narrow stile ends before the post's middle, and so may a narrow stave, or one that laps the
    stile but little. The screw keeps its distance from both edges, or as much from one as from the
    other.

    Args:
        middle: of the post.
        stile: what lies over it.
        stave: what lies between them.
        axis: across the post: x (0) or y (1).
        edge: distance to keep.
    """
    low, high = max(_reach(stile, axis), _reach(stave, axis)), _far(stave, axis)
    if high - low < 2 * edge:
        return (low + high) / 2
    return min(max(middle, low + edge), high - edge)
