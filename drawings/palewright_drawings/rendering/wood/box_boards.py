"""The boards of a box as wood to be pictured, no two from one piece."""

from __future__ import annotations

from palewright.design import Design
from palewright_drawings.rendering.scene.scene import Wood
from palewright_drawings.rendering.wood.board_meshes import board_skin
from palewright_drawings.rendering.wood.grain_textures import Grain
from palewright_drawings.rendering.wood.logs import log_of
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish, look_of


def woods_of(design: Design, finish: SurfaceFinish, density: float) -> tuple[Wood, ...]:
    """Return every board with its own wood; ``density`` is pixels a mm."""
    seed = design.parameters.lumber.seed
    woods = []
    for board in design.box.boards.values():
        size = (board.length, board.width, board.thickness)
        look = look_of(board.stock.species)
        # of the box too: a shop window of boxes is not sawn from one board
        log = log_of(f"{design.name}/{board.name}", seed, look.growth, size)
        grain = Grain(log, look, finish, size)
        woods.append(Wood(board.name, board_skin(board, grain, density), finish.gloss))
    return tuple(woods)
