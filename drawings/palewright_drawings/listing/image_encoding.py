"""Pixels as a PNG or JPEG file that says what its colours are: sRGB, by an ICC profile.

The profile's date is fixed, so that the same pixels give the same bytes on any day.
"""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from palewright.reading.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

KINDS = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}
"""What a file is, by its ending."""

QUALITY = 92
"""Of a JPEG that is shown large; above it files grow and nobody sees why (judged by eye)."""

_DATE = slice(24, 36)
"""Bytes of a profile that hold its date: the day of the run, which must not change a file."""

_MILLENNIUM = b"\x07\xd0\x00\x01\x00\x01\x00\x00\x00\x00\x00\x00"
"""2000-01-01, in the place where ICC.1:2010, 7.2.8, keeps the date of a profile."""


def kind_of(place: Path) -> str:
    """Return ``PNG`` or ``JPEG`` by a file's ending.

    Raises:
        InputError: for any other ending.
    """
    ending = place.suffix.lower()
    if ending not in KINDS:
        raise InputError(
            f"'{place}' does not end in a picture's way; allowed: {', '.join(KINDS)}", key="--out"
        )
    return KINDS[ending]


@cache
def srgb_profile() -> bytes:
    """Return the ICC profile of sRGB."""
    from PIL import ImageCms

    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    made[_DATE] = _MILLENNIUM
    return bytes(made)


def image_file(
    pixels: NDArray[np.uint8], kind: str = "PNG", quality: int = QUALITY, remark: str = ""
) -> bytes:
    """Return pixels as a file with the profile of sRGB.

    Args:
        pixels: shape (height, width, 3).
        kind: ``PNG`` or ``JPEG``.
        quality: of a JPEG, 1 to 95.
        remark: kept in a JPEG's comment.
    """
    from PIL import Image

    image, content, profile = Image.fromarray(pixels), io.BytesIO(), srgb_profile()
    if kind == "PNG":
        image.save(content, "PNG", icc_profile=profile)
    else:
        image.save(content, "JPEG", quality=quality, subsampling=0 if quality > 90 else 2,
                   optimize=True, icc_profile=profile, comment=remark.encode())  # fmt: skip
    return content.getvalue()
