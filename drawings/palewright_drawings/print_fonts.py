"""The fonts of everything printed: DejaVu Sans, which comes with the plotting library that we need.

One family for drawings, sheets and documents. It has the fraction signs, the degree and the
multiplication sign, and its licence allows embedding. Only the folder is looked up here: nothing
of the plotting library is imported.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Literal

Face = Literal["regular", "bold", "oblique"]
"""Which of the family's fonts."""

FAMILY = "DejaVu Sans"
"""The family's name, as fonts and documents give it."""

FACES: dict[Face, str] = {
    "regular": "DejaVuSans.ttf",
    "bold": "DejaVuSans-Bold.ttf",
    "oblique": "DejaVuSans-Oblique.ttf",
}
"""File of each face in the folder of fonts."""


@cache
def fonts_folder() -> Path:
    """Return the folder that holds the fonts.

    Raises:
        FileNotFoundError: if the plotting library or its fonts are missing.
    """
    spec = find_spec("matplotlib")
    if spec is None or spec.origin is None:
        raise FileNotFoundError("matplotlib is not installed: the fonts for print come with it")
    folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
    missing = [name for name in FACES.values() if not (folder / name).is_file()]
    if missing:
        raise FileNotFoundError(f"no {', '.join(missing)} in {folder}")
    return folder


def font_path(face: Face = "regular") -> Path:
    """Return the file of one face.

    Raises:
        FileNotFoundError: if it is missing.
    """
    return fonts_folder() / FACES[face]


@cache
def font_bytes(face: Face = "regular") -> bytes:
    """Return one face as it stands in its file, TrueType.

    Raises:
        FileNotFoundError: if it is missing.
    """
    return font_path(face).read_bytes()
