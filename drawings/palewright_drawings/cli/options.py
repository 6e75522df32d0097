"""Options that several commands share, and what the shell completes."""

from __future__ import annotations

import math
import os
import secrets
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from palewright.parameters.variant_files import TAKEN
from palewright.reading.errors import InputError, nearest
from palewright_drawings.output.terminal import pairs, show

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


def variant_names(_ctx: click.Context, _param: click.Parameter, typed: str) -> list[str]:
    """Complete the names of shipped variants, and files."""
    from palewright.parameters.variant_files import shipped_variants

    names = [name for name in shipped_variants() if name.startswith(typed)]
    here = [str(path) for path in sorted(Path().glob("*.toml")) if str(path).startswith(typed)]
    return names + here


Names = dict[str, Iterable[str]]
"""Which names an option takes, or what they are of."""


def file_kinds() -> Names:
    """Return the kinds of files that a packet holds, of a box and of a batch."""
    from palewright_drawings.packet.batch_writers import BATCH_WRITERS
    from palewright_drawings.packet.writers import WRITERS

    return {"--only": WRITERS, "of a batch": BATCH_WRITERS}


def lumber_names() -> Names:
    """Return the lumber that ships, by stock and by wood."""
    from palewright.catalogue.lumber import shipped_species, shipped_stock

    return {"--lumber": (*shipped_stock(), *shipped_species())}


def kind_names(_ctx: click.Context, _param: click.Parameter, typed: str) -> list[str]:
    """Complete the kinds of files a packet holds."""
    known = dict.fromkeys(kind for kinds in file_kinds().values() for kind in kinds)
    return [kind for kind in known if kind.startswith(typed)]


def setting_keys(_ctx: click.Context, _param: click.Parameter, typed: str) -> list[str]:
    """Complete the keys that --set takes."""
    from palewright.parameters.schema import keys_of

    return [f"{key}=" for key in keys_of() if key.startswith(typed)]


def _asked(_ctx: click.Context, _param: click.Parameter, name: str | None) -> str:
    """Return the variant that was named; refuse to guess one."""
    from palewright.parameters.variant_files import own_variants, shipped_variants

    if name is None:
        own = ", ".join(own_variants(Path()))
        yours = f"yours here: {own}; " if own else ""
        raise InputError(f"which box? {yours}shipped: {', '.join(shipped_variants())}")
    return name


def _asked_some(
    ctx: click.Context, param: click.Parameter, names: tuple[str, ...]
) -> tuple[str, ...]:
    """Return the variants that were named, one or more."""
    return names or (_asked(ctx, param, None),)


VARIANT = click.argument(
    "variant", required=False, callback=_asked, metavar="VARIANT", shell_complete=variant_names
)
VARIANTS = click.argument(
    "variants", nargs=-1, callback=_asked_some, metavar="VARIANT[:COUNT]...",
    shell_complete=variant_names,
)  # fmt: skip
SETTINGS = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    shell_complete=setting_keys,
    help="Override one key of the variant; palewright settings has them all.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON on stdout.")


def schema_option(name: str, of_what: str) -> Callable[..., Any]:
    """Return an option that prints a published JSON Schema and ends, whatever else is typed."""

    def answer(ctx: click.Context, _param: click.Parameter, asked: bool) -> None:
        if asked:
            from palewright_drawings.json_reports.published_schemas import published_schema

            print_json(published_schema(name))
            ctx.exit(0)

    return click.option("--schema", is_flag=True, is_eager=True, expose_value=False,
                        callback=answer, help=f"Print the JSON Schema of {of_what}.")  # fmt: skip


def print_json(data: Any) -> None:
    """Print data as JSON on stdout."""
    import json

    show(json.dumps(data, indent=2, ensure_ascii=False))


def say(said: str | Iterable[Part]) -> None:
    """Print a message for a person on stderr."""
    if said:
        show(said, err=True)


def write_whole(place: Path, content: bytes, new: bool = False, tell: bool = True) -> None:
    """Write a file beside its place, put it there whole, say where it is: what is new, on stdout.

    Args:
        place: where it goes.
        content: what it holds.
        new: refuse to replace a file, also one that comes into being in this moment. It is then
            written where it goes: not every disk can put a file in a place only if that is free.

        tell: whether to say where it is.

    Raises:
        InputError: if the disk refuses, or what is new stands there already.
    """
    # a name by chance: nothing of the maker's is called so
    fresh = place if new else place.with_name(f".{place.name}.{secrets.token_hex(6)}")
    try:
        file = fresh.open("xb")
        try:
            with file:
                file.write(content)
            if not new:
                fresh.replace(place)
        except BaseException:
            fresh.unlink()
            raise
    except FileExistsError:
        raise InputError(TAKEN, file=str(place)) from None
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", file=str(place)) from None
    if tell:
        show(str(place), err=not new)


class Seconds(click.FloatRange):
    """A time or work in seconds; unlike the range that it is, it refuses what is no number."""

    name = "seconds"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the time, or refuse it."""
        seconds = float(super().convert(value, param, ctx))
        if math.isnan(seconds):
            self.fail(f"{value} is not a number of seconds.", param, ctx)
        return seconds


FEWEST = click.option(
    "--fewest-boards",
    is_flag=True,
    help="Take the fewest boards, though more of them would cost less with the work at the saw.",
)
"""For all that plan a batch: ``cut``, ``price`` and ``build`` take the same plan."""

_WORK = click.option(
    "--work",
    type=Seconds(0.1, 1_000_000),
    default=12.0,
    show_default=True,
    help="Counted work for proving the boards of each stock, about the seconds of one quiet core.",
)
"""The default is `palewright.cutting_stock.WORK`, which is not loaded to read a command."""

_SECONDS = click.option(
    "--seconds",
    type=Seconds(0.1, 86_400),
    default=None,
    help="Break off by the clock after so long, with the best that was found till then.",
)
"""A tenth of a second to a day: an abort, never a part of the answer."""


def ended_by(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that end its search: by work, and by the clock if asked."""
    return _WORK(_SECONDS(command))


@contextmanager
def broken_off_after(seconds: float | None) -> Iterator[None]:
    """Break off what is searched meanwhile by the clock, where asked, and say that it was."""
    if seconds is None:
        yield
        return
    from palewright.cutting_stock.problem.work_clock import broken_off, clock_of

    with broken_off(clock_of(seconds)) as one:
        yield
    if one.came:
        say(f"broken off by the clock after {seconds:g} s; with more time it may come out better")


_START = (
    ("palewright variants", "what there is to begin from"),
    ("palewright new my-tub --base stoop-tub", "a file of your own, my-tub.toml"),
    ("palewright check my-tub", "does it fit, what does it take, what mends it"),
    ("palewright size my-tub --boards 4", "the largest boxes that four boards make"),
    ("palewright cut my-tub:10", "the fewest boards for ten, and the saw list"),
    ("palewright price my-tub:10", "what ten cost, and what to ask for one"),
    ("palewright build my-tub", "the packet: plan, jigs, labels, files"),
    ("palewright page", "the same in the browser, while you drag"),
)
"""What is typed first, and what comes of it."""


def start_text() -> list[Part]:
    """Return what somebody reads who types the bare name."""
    return [
        "palewright designs planter boxes from fence boards, and proves that they fit.",
        "",
        pairs(_START, indent=2, gap=3),
        "",
        "palewright --help names all commands; palewright check --help tells of one, with an "
        "example.",
    ]


class _Headed(click.HelpFormatter):
    """Help whose headings stand out in a terminal."""

    def write_heading(self, heading: str) -> None:
        """Write a heading."""
        self.write(click.style(f"{' ' * self.current_indent}{heading}:", bold=True) + "\n")


class HelpContext(click.Context):
    """A command as it is typed: its help is plain in a pipe, and where NO_COLOR asks for it."""

    formatter_class = _Headed

    def __init__(self, *args: Any, **how: Any) -> None:
        super().__init__(*args, **how)
        if os.environ.get("NO_COLOR"):
            self.color = False


class NamesLast(click.Command):
    """A command whose help ends with the names that its options take."""

    def __init__(self, *args: Any, names: Callable[[], Names], **how: Any) -> None:
        """Make it; ``names`` are looked up when its help is asked for."""
        super().__init__(*args, **how)
        self._names = names

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the example, then the names."""
        super().format_epilog(ctx, formatter)
        taken = {name for option in self.params for name in option.opts}
        rows = [
            (key, ", ".join(known))
            for key, known in self._names().items()
            if key in taken or not key.startswith("--")
        ]
        with formatter.section("Names"):
            formatter.write_dl(rows)


class Commands(click.Group):
    """A group that takes text alone, and names the nearest command for a typing slip."""

    context_class = HelpContext

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Refuse what no file can be called or hold: NUL, and bytes that are no text.

        Without any argument a short start is printed.
        """
        for arg in args:
            if "\0" in arg or not _is_text(arg):
                raise click.UsageError(f"'{arg}' is no text; allowed: UTF-8 without NUL", ctx)
        if not args:
            show(start_text())
            ctx.exit(0)
        return super().parse_args(ctx, args)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the job, as they were added."""
        return list(self.commands)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which one may have been meant."""
        name = args[0] if args else ""
        if name and not name.startswith("-") and self.get_command(ctx, name) is None:
            known = self.list_commands(ctx)
            raise click.UsageError(
                f"no command '{name}'{nearest(name, known)}; allowed: {', '.join(known)}", ctx
            )
        return super().resolve_command(ctx, args)


def _is_text(arg: str) -> bool:
    """Return whether it can be written as UTF-8: undecodable bytes come in as half letters."""
    try:
        arg.encode()
    except UnicodeEncodeError:
        return False
    return True


_SAW_OPTIONS = (
    click.option(
        "--stock",
        "stocks",
        multiple=True,
        metavar="LENGTHxWIDTH[@PRICE][:COUNT]",
        help="Boards of one size; may be repeated, and the cheapest mix is sought. With --parts: "
        "all boards. With a variant: further boards as thick as its own.",
    ),
    click.option(
        "--kerf",
        metavar="K",
        default="",
        help="Width of a saw cut; else the variant's, with --parts 1/8 in.",
    ),
    click.option(
        "--trim",
        metavar="T",
        default="",
        help="What squaring takes off each board end; else the variant's, with --parts 1/4 in.",
    ),
    click.option(
        "--safe-rip",
        metavar="W",
        default="",
        help="No strip is ripped narrower; else the variant's, with --parts 1-1/2 in.",
    ),
    click.option(
        "--order",
        type=click.Choice(["best", "crosscut-first", "rip-first"]),
        default=None,
        help="Blocks first, strips of whole boards first, or whichever needs less.",
    ),
    click.option(
        "--offcut",
        "offcuts",
        multiple=True,
        metavar="LENGTHxWIDTH[:COUNT]",
        help="A piece on hand, used before any board; may be repeated.",
    ),
    click.option(
        "--spare-boards",
        type=click.IntRange(0, 50),
        default=None,
        metavar="PERCENT",
        help="Buy so many boards more for knots and splits; else the variant's saw.spare.",
    ),
    click.option(
        "--spare-parts",
        type=click.IntRange(0, 50),
        default=None,
        metavar="PERCENT",
        help="Cut so many more of every part, at least one; else the variant's saw.spare_parts.",
    ),
)
"""What ``cut`` may be told of boards and saw, in the order of its help."""


def saw_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say what is sawn from what, and how."""
    command = ended_by(FEWEST(command))
    for option in reversed(_SAW_OPTIONS):
        command = option(command)
    return command
