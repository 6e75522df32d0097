"""The commands that render pictures. Nothing heavy is imported before it runs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from palewright.reading.errors import InputError
from palewright_drawings.cli.asked_box import laid_out, read_variant
from palewright_drawings.cli.options import SETTINGS, VARIANT, Names, NamesLast, say, write_whole
from palewright_drawings.output.places import require_place

Command = Callable[..., Any]
"""A function that an option is put on."""


def _names() -> Names:
    """Return the names that each option takes."""
    from palewright_drawings.listing.pictured_wood import OWN
    from palewright_drawings.listing.rendered_picture import SCENES
    from palewright_drawings.rendering.tracer.cameras import VIEWS
    from palewright_drawings.rendering.wood.species_looks import FINISHES, LOOKS

    return {
        "--scene": SCENES,
        "--view": VIEWS,
        "--finish": FINISHES,
        "--lumber": (OWN, *LOOKS),
    }


def _completed(_ctx: click.Context, option: click.Parameter, typed: str) -> list[str]:
    """Complete the names of an option."""
    return [name for name in _names()[option.opts[0]] if name.startswith(typed)]


class _ScenesLast(NamesLast):
    """A command whose help ends with the names that its options take, and with the scenes."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the example, the names, and what each scene shows."""
        super().format_epilog(ctx, formatter)
        from palewright_drawings.listing.rendered_picture import SCENE_WORDS

        with formatter.section("Scenes"):
            formatter.write_dl(list(SCENE_WORDS.items()))


def _named(option: str, default: str, text: str) -> Callable[[Command], Command]:
    """Return an option that takes a name."""
    name = {"--lumber": ("wood",)}.get(option, ())
    return click.option(option, *name, metavar="NAME", default=default, show_default=True,
                        help=text, shell_complete=_completed)  # fmt: skip


_FINISH = _named("--finish", "bare", "What is on the wood.")
_WOOD = _named("--lumber", "own", "Picture all boards in this wood.")
_QUICK = click.option("--quick", is_flag=True, help="Few samples: to see whether it is right.")


@click.command(cls=_ScenesLast, names=_names)
@VARIANT
@_named("--scene", "studio", "What is round it.")
@_named("--view", "hero", "Where from.")
@_FINISH
@_WOOD
@click.option("--pixels", metavar="N|WxH", default="1000", show_default=True,
              help="Of a square, or width x height.")  # fmt: skip
@_QUICK
@click.option("--out", metavar="FILE", default="",
              help="A .png or .jpg; else VARIANT-SCENE-VIEW.png here.")  # fmt: skip
@SETTINGS
def picture(
    variant: str,
    scene: str,
    view: str,
    finish: str,
    wood: str,
    pixels: str,
    quick: bool,
    out: str,
    settings: tuple[str, ...],
) -> int:
    """Render a picture of the box as it will look, path-traced (extra: pictures)."""
    from palewright_drawings.listing.image_encoding import kind_of
    from palewright_drawings.listing.rendered_picture import (
        PREVIEW_SAMPLES,
        SAMPLES,
        PictureRequest,
        picture_file,
        read_shape,
    )
    from palewright_drawings.output.progress import Shares, shown_progress

    samples = PREVIEW_SAMPLES if quick else SAMPLES
    request = PictureRequest(scene, view, finish, read_shape(pixels), samples, wood)
    found = read_variant(variant, settings)
    place = Path(out or f"{found.name}-{scene}-{view}.png")
    require_place("--out", place)
    kind = kind_of(place)
    try:
        of = laid_out(found)
        content = picture_file(of, request, Shares(shown_progress(), "picture"), kind)
    except InputError as error:
        raise found.located(error) from None
    write_whole(place, content)
    return 0


@click.command(cls=NamesLast, names=_names)
@VARIANT
@_FINISH
@_WOOD
@click.option("--pixels", metavar="N", type=int, default=2000, show_default=True,
              help="Longer side.")  # fmt: skip
@click.option("--jpeg", is_flag=True, help="JPEG in place of PNG.")
@_QUICK
@click.option("--out", metavar="DIR", default="", help="Else VARIANT-listing here.")
@SETTINGS
def listing(
    variant: str,
    finish: str,
    wood: str,
    pixels: int,
    jpeg: bool,
    quick: bool,
    out: str,
    settings: tuple[str, ...],
) -> int:
    """Render a listing: pictures, captions, a draft of its words (extra: pictures).

    The folder is put in place when it is whole. Stopped, it keeps the pictures that are done: the
    same command goes on from there.
    """
    from palewright_drawings.listing.listing import pictures_kept, write_listing
    from palewright_drawings.listing.rendered_picture import PREVIEW_SAMPLES, SAMPLES
    from palewright_drawings.listing.shots import ListingRequest
    from palewright_drawings.output.progress import Shares, shown_progress

    samples, kind = PREVIEW_SAMPLES if quick else SAMPLES, "JPEG" if jpeg else "PNG"
    request = ListingRequest(finish, wood, pixels, samples, kind)
    found = read_variant(variant, settings)
    place = Path(out or f"{found.name}-listing")
    try:
        of = laid_out(found)
        write_listing(of, request, place, Shares(shown_progress(), "listing"), say)
    except InputError as error:
        raise found.located(error) from None
    except KeyboardInterrupt:
        kept = pictures_kept(place)
        if kept:
            say(f"\npictures done and kept: {kept}; the same command goes on from there")
        raise
    say(str(place))
    return 0


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--again", is_flag=True, help="Render all pictures, changed or not.")
def gallery(folder: Path, again: bool) -> int:
    """Write FOLDER/README.md: its variants with pictures to look through (extra: pictures).

    Pictures go to FOLDER/pictures. Only those that are missing or whose variant has changed are
    rendered; each is written whole, the page last.
    """
    from palewright_drawings.listing.gallery import (
        PAGE,
        entries_of,
        gallery_pictures,
        gallery_text,
        is_stale,
        left_over,
        require_ours,
    )
    from palewright_drawings.listing.rendered_picture import require_pictures
    from palewright_drawings.output.progress import Shares, shown_progress

    require_pictures()
    require_ours(folder)
    entries = entries_of(folder)
    wanted = [entry for entry in entries if again or is_stale(entry)]
    if wanted:
        for place, content in gallery_pictures(wanted, Shares(shown_progress(), "gallery")):
            place.parent.mkdir(exist_ok=True)
            write_whole(place, content)
    for path in left_over(folder, entries):
        path.unlink()
    write_whole(folder / PAGE, gallery_text(entries).encode())
    return 0
