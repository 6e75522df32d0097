"""Where the screws of a panel go: from inside, through the staves, into the frame.

Every place is chosen on the drawing of the panel alone, so that it is the same for thin and thick
lumber and one jig serves every box.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from palewright.boards import Plane
from palewright.faces import Piece
from palewright.joints import Joint, Parts, Screw
from palewright.lumber import ThicknessOf
from palewright.polygons import Point, Polygon, bounds, clip, inset, points_along
from palewright.screws import ScrewKind
from palewright.sizes import Sizes
from palewright.tolerances import TOLERANCES

_RELAXED = ((1.0, 1.0), (0.6, 0.6), (0.6, 0.3))
"""Shares of the advised distances to edges and ends: all, then less where a piece is too narrow.

Never less than the distances at which wood splits (1.5 and 3 diameters)."""

Share = tuple[float, float]

_TWO_IN_A_STAVE = 50.0
"""A stave that leaves this width (mm) between its edge distances takes two screws in a rail."""


def keep_in(piece: Piece, screw: ScrewKind, share: Share) -> Polygon:
    """Return where screw axes may go in a piece, keeping shares of the advised distances."""
    edge = TOLERANCES.edge_advised * screw.diameter * share[0]
    end = TOLERANCES.end_advised * screw.diameter * share[1]
    return inset(piece.polygon, piece.grain, edge, end)


@lru_cache(maxsize=2048)
def crossing_points(
    frame: Piece, stave: Piece, screw: ScrewKind, pitch: float, share: Share
) -> tuple[Point, ...]:
    """Return the screw places (u, v) where a frame piece crosses a stave; may be none.

    Kept, since panels that face each other are alike, and so is a panel in all lumber cases.
    """
    room, other = keep_in(frame, screw, share), keep_in(stave, screw, share)
    region = clip(room, other) if room and other else ()
    if not region:
        return ()
    if frame.role == "rail" and frame.grain == 0:
        u0, _, u1, _ = bounds(region)
        pitch = max((u1 - u0) / 1.5 if u1 - u0 >= _TWO_IN_A_STAVE else u1 - u0 + 1.0, 1.0)
    return tuple(points_along(region, frame.grain, pitch))


def piece_points(
    frame: Piece, staves: Sequence[Piece], screw: ScrewKind, pitch: float
) -> list[tuple[Piece, Point]]:
    """Return the screw places of one frame piece, each with its stave, of those it crosses.

    The advised distances are kept where at least two screws find room with them; a short brace
    half gets less rather than none, and the checks then say so.
    """
    best: list[tuple[Piece, Point]] = []
    for share in _RELAXED:
        found = [
            (stave, point)
            for stave in staves
            for point in crossing_points(frame, stave, screw, pitch, share)
        ]
        if len(found) > len(best):
            best = found
        if len(best) >= 2:
            break
    return best


def panel_screw_points(
    crossed: Sequence[tuple[Piece, Sequence[Piece]]],
    staves: Sequence[Piece],
    screw: ScrewKind,
    pitch: float,
) -> list[tuple[Piece, Piece, Point]]:
    """Return every (frame piece, stave, place); a stave without any gets its rails' middle.

    ``crossed`` holds each frame piece with the staves that it crosses.
    """
    found = [
        (piece, stave, point)
        for piece, behind in crossed
        for stave, point in piece_points(piece, behind, screw, pitch)
    ]
    for stave in staves:
        if sum(held is stave for _, held, _ in found) >= 2:
            continue
        for piece in (piece for piece, _ in crossed if piece.role == "rail"):
            for share in _RELAXED[1:]:
                points = crossing_points(piece, stave, screw, pitch, share)
                if points:
                    found += [(piece, stave, point) for point in points]
                    break
    return found


def panel_parts(
    panel: str,
    plane: Plane,
    frame: list[Piece],
    staves: list[Piece],
    screw: ScrewKind,
    pitch: float,
    sizes: Sizes,
    thickness: ThicknessOf,
) -> Parts:
    """Return the joints and screws between one panel's frame and its staves.

    Each frame piece is one joint onto all the staves it crosses.
    """
    parts = Parts()
    inward = tuple(-x for x in plane.out)
    crossed = [(p, [s for s in staves if clip(p.polygon, s.polygon)]) for p in frame]
    points = panel_screw_points(crossed, staves, screw, pitch)
    counts: dict[str, int] = {}
    for piece, stave, (u, v) in points:
        name, first = f"{panel}.{piece.name}", f"{panel}.{stave.name}"
        number = counts[piece.name] = counts.get(piece.name, 0) + 1
        head = plane.point(u, v, -thickness(first, sizes.board))
        parts.screws.append(
            Screw(f"{name}/{number}", screw, "wall", head, plane.out, (first, name))
        )
    for piece, behind in crossed:
        held = counts.get(piece.name, 0)
        least = max(held * TOLERANCES.contact_per_screw, TOLERANCES.contact_glued)
        parts.joints.append(
            Joint(
                f"{panel}.{piece.name} on staves",
                "screw",
                (f"{panel}.{piece.name}",),
                tuple(f"{panel}.{stave.name}" for stave in behind),
                (inward[0], inward[1], inward[2]),
                least,
                held,
            )
        )
    return parts
