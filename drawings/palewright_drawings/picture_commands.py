"""The commands that render pictures. Nothing heavy is imported before it runs."""

from __future__ import annotations

from pathlib import Path

import click

from palewright.errors import InputError
from palewright_drawings.command_options import SETTINGS, variant_names, write_whole


@click.command()
@click.argument("variant", default="stoop-tub", shell_complete=variant_names)
@click.option(
    "--scene", metavar="NAME", default="studio", show_default=True, help="What is round it."
)
@click.option("--view", metavar="NAME", default="hero", show_default=True, help="Where from.")
@click.option("--finish", metavar="NAME", default="bare", show_default=True, help="What is on it.")
@click.option("--pixels", metavar="N", type=int, default=1000, show_default=True,
              help="Width and height.")  # fmt: skip
@click.option("--quick", is_flag=True, help="Few samples: to see whether it is right.")
@click.option("--out", metavar="FILE.png", default="", help="Else VARIANT-SCENE-VIEW.png here.")
@SETTINGS
def picture(
    variant: str,
    scene: str,
    view: str,
    finish: str,
    pixels: int,
    quick: bool,
    out: str,
    settings: tuple[str, ...],
) -> int:
    """Render a picture of the box as it will look, path-traced (extra: pictures)."""
    from palewright.design import design
    from palewright.variant_files import load_variant
    from palewright_drawings.picture_files import (
        PREVIEW_SAMPLES,
        SAMPLES,
        PictureRequest,
        picture_file,
    )
    from palewright_drawings.progress import shown_progress

    samples = PREVIEW_SAMPLES if quick else SAMPLES
    request = PictureRequest(scene, view, finish, pixels, samples)
    found = load_variant(variant, settings)
    place = Path(out or f"{found.name}-{scene}-{view}.png")
    if place.suffix.lower() != ".png":
        raise InputError(f"'{place.name}' does not end in .png; allowed: .png", key="--out")
    try:
        content = picture_file(design(found.parameters, found.name), request, shown_progress())
    except InputError as error:
        raise found.located(error) from None
    write_whole(place, content)
    return 0


@click.command()
@click.argument("variant", default="stoop-tub", shell_complete=variant_names)
@click.option("--finish", metavar="NAME", default="bare", show_default=True, help="What is on it.")
@click.option("--pixels", metavar="N", type=int, default=2000, show_default=True,
              help="Longer side.")  # fmt: skip
@click.option("--quick", is_flag=True, help="Few samples: to see whether it is right.")
@click.option("--out", metavar="DIR", default="", help="Else VARIANT-listing here.")
@SETTINGS
def listing(
    variant: str, finish: str, pixels: int, quick: bool, out: str, settings: tuple[str, ...]
) -> int:
    """Render a listing: pictures, captions, a draft of its words (extra: pictures)."""
    from palewright.design import design
    from palewright.variant_files import load_variant
    from palewright_drawings.listing_sets import ListingRequest, listing_files
    from palewright_drawings.picture_files import PREVIEW_SAMPLES, SAMPLES, PictureRequest
    from palewright_drawings.progress import shown_progress

    PictureRequest(pixels=pixels)
    request = ListingRequest(finish, pixels, PREVIEW_SAMPLES if quick else SAMPLES)
    found = load_variant(variant, settings)
    folder = Path(out or f"{found.name}-listing")
    try:
        of = design(found.parameters, found.name)
        for name, content in listing_files(of, request, shown_progress()):
            write_whole(_within(folder) / name, content)
    except InputError as error:
        raise found.located(error) from None
    return 0


def _within(folder: Path) -> Path:
    """Return a folder that is there.

    Raises:
        InputError: if the disk refuses.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot be made: {error.strerror}", file=str(folder)) from error
    return folder
