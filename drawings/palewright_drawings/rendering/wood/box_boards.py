"""The boards of a box as wood to be pictured, no two from one piece."""

from __future__ import annotations

from palewright.construction.boards import Vector
from palewright.design import Design
from palewright_drawings.rendering.scene.scene import Wood
from palewright_drawings.rendering.wood.board_meshes import BEFORE, board_skin
from palewright_drawings.rendering.wood.grain_textures import Grain
from palewright_drawings.rendering.wood.logs import log_of
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish, look_of


def woods_of(
    design: Design, finish: SurfaceFinish, density: float, seen_from: Vector = BEFORE
) -> tuple[Wood, ...]:
    """Return every board with its own wood.

    Args:
        design: the box.
        finish: of its wood.
        density: pixels a mm.
        seen_from: direction (unit vector, level) from the box to the eye: what looks away from it
            has fewer.
    """
    seed = design.parameters.lumber.seed
    woods = []
    for board in design.box.boards.values():
        size = (board.length, board.width, board.thickness)
        look = look_of(board.stock.species)
        # of the box too: a shop window of boxes is not sawn from one board
        log = log_of(f"{design.name}/{board.name}", seed, look.growth, size)
        grain = Grain(log, look, finish, size)
        skin = board_skin(board, grain, density, seen_from=seen_from)
        woods.append(Wood(board.name, skin, finish.gloss))
    return tuple(woods)
