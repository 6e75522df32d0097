"""The colour of a board: its species', a shade lighter or darker by role so that joints show."""

from __future__ import annotations

from palewright.construction.boards import Board
from palewright.parameters.tables import Parameters

Colour = tuple[float, float, float]
"""Red, green, blue from 0 to 1."""

_TONES = {
    "stile": 1.0,
    "rail": 0.96,
    "stave": 0.88,
    "filler": 0.84,
    "brace": 1.05,
    "bar": 1.05,
    "cap": 1.08,
    "slat": 0.8,
    "cleat": 0.76,
    "post": 0.78,
}
"""How light each role is drawn: our own choice, the frame lighter than what lies behind it."""


def board_colour(parameters: Parameters, board: Board) -> Colour:
    """Return the sRGB colour of a board, each channel to a 255th.

    Raises:
        InputError: if its stock names a species that nobody keeps.
    """
    text = parameters.materials.species[board.stock].color
    tone = _TONES.get(board.role, 1.0)
    red, green, blue = (min(255, round(int(text[i : i + 2], 16) * tone)) / 255 for i in (1, 3, 5))
    return red, green, blue


def linear(colour: Colour) -> Colour:
    """Return an sRGB colour in linear light, as glTF and renderers want it.

    Source: IEC 61966-2-1, the sRGB transfer function.
    """
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour)
    return red, green, blue


def hex_of(colour: Colour) -> str:
    """Return a colour as text, such as ``#b4764e``."""
    return "#" + "".join(f"{round(channel * 255):02x}" for channel in colour)
