"""Pictures beside each other in one, each with its name below it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from palewright.geometry.arrays import Bytes
from palewright_drawings.listing.size_labels import print_font

_INK, _PAPER = (38, 42, 46), (255, 255, 255)
"""Red, green, blue of letters and ground: as of the sizes in pictures."""


@dataclass(frozen=True, slots=True)
class PictureGrid:
    """Columns and rows of equal pictures that together fill a width and a height, in pixels."""

    width: int
    height: int
    columns: int
    rows: int

    @property
    def gap(self) -> int:
        """Between two pictures."""
        return max(2, round(0.006 * max(self.width, self.height)))

    @property
    def band(self) -> int:
        """Height of the strip for a name."""
        return max(8, round(0.042 * max(self.width, self.height)))

    @property
    def shape(self) -> tuple[int, int]:
        """Width and height of each picture."""
        wide = (self.width - self.gap * (self.columns - 1)) // self.columns
        return wide, self.height // self.rows - self.band

    def corner(self, number: int) -> tuple[int, int]:
        """Return the left and top of a picture; they are counted row by row from 0."""
        row, column = divmod(number, self.columns)
        wide, _ = self.shape
        return column * (wide + self.gap), row * (self.height // self.rows)

    def filled(self, pictures: list[Bytes], names: list[str]) -> Bytes:
        """Return the whole: pictures of the grid's shape in their places, names below them."""
        from PIL import Image, ImageDraw

        whole: Image.Image = Image.new("RGB", (self.width, self.height), _PAPER)
        draw = ImageDraw.Draw(whole)
        font = print_font("regular", 0.62 * self.band)
        for number, (picture, name) in enumerate(zip(pictures, names, strict=True)):
            x, y = self.corner(number)
            whole.paste(Image.fromarray(picture), (x, y))
            middle = (x + picture.shape[1] / 2, y + picture.shape[0] + self.band / 2)
            draw.text(middle, name, font=font, fill=_INK, anchor="mm")
        return np.asarray(whole)
