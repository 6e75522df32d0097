"""The command line. Nothing heavy is imported here: each command imports what it uses.

Progress and messages go to stderr, ``--json`` alone to stdout. Exit codes: 0 all well, 1 it does
not fit (findings of severity fault), 2 bad input: one line, never a traceback.
"""

from __future__ import annotations

import gc
import os
import signal
import sys
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

import click

from palewright import __version__
from palewright.reading.errors import InputError, one_line
from palewright_drawings.cli.asked_box import (
    laid_out,
    mending_of,
    read_variant,
    write_mended,
)
from palewright_drawings.cli.money_commands import SHOP, price, season, shop_command, shop_figures
from palewright_drawings.cli.name_commands import (
    explain,
    names,
    new,
    settings_command,
    variants,
)
from palewright_drawings.cli.options import (
    AS_JSON,
    FEWEST,
    SETTINGS,
    VARIANT,
    VARIANTS,
    Commands,
    HelpContext,
    NamesLast,
    broken_off_after,
    file_kinds,
    kind_names,
    lumber_names,
    print_json,
    saw_options,
    say,
    schema_option,
    variant_names,
)
from palewright_drawings.cli.page_commands import page
from palewright_drawings.cli.picture_commands import gallery, listing, picture
from palewright_drawings.cli.size_command import size
from palewright_drawings.output.places import require_folder
from palewright_drawings.output.standard_streams import replace_streams
from palewright_drawings.output.terminal import show, stand_still

FITS, DOES_NOT_FIT, BAD_INPUT, OUR_MISTAKE = 0, 1, 2, 70
"""Exit codes; 70 is EX_SOFTWARE of BSD's sysexits.h (from memory)."""


_LOOKS = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


@click.group(cls=Commands, context_settings=_LOOKS)
@click.version_option(__version__, prog_name="palewright")
def main() -> None:
    """From one parameter file to a checked outdoor box and its shop files.

    VARIANT is the name of a file of yours in this folder, a path, or a shipped variant's name.
    Commands stand in the order of the job.
    """


@click.command(cls=NamesLast, names=file_kinds)
@VARIANTS
@click.option(
    "--out",
    default="packets",
    show_default=True,
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where the packet's folder goes.",
)
@SETTINGS
@click.option("--only", "kinds", multiple=True, metavar="KIND", shell_complete=kind_names,
              help="Write only this kind of file; may be repeated.")  # fmt: skip
@click.option("--to-sell", is_flag=True,
              help="Leave out what is for you alone: maker/, the report's price.")  # fmt: skip
@SHOP
@click.option("--with", "also", multiple=True, metavar="KIND", shell_complete=kind_names,
              help="Also write this kind, which takes long: pictures.")  # fmt: skip
@FEWEST
@click.option("--despite-faults", is_flag=True, help="Write the packet although it does not fit.")
@schema_option("report", "the packet's report.json")
def build(
    variants: tuple[str, ...],
    out: Path,
    settings: tuple[str, ...],
    kinds: tuple[str, ...],
    to_sell: bool,
    shop_file: str,
    also: tuple[str, ...],
    fewest_boards: bool,
    despite_faults: bool,
) -> int:
    """Check the box and write its shop packet to DIR/<variant>/.

    With a COUNT, or several variants, it is the packet of a batch: saw plan, labels, kit cards,
    buying list, jigs, costs for all boxes together, and the plan of each kind of box.
    """
    from palewright.parameters.variant_files import relatives_of
    from palewright_drawings.cli.batch_builds import build_batch, may_be_written
    from palewright_drawings.output.progress import shown_progress
    from palewright_drawings.packet.packet import write_packet
    from palewright_drawings.packet.packet_size import large_text
    from palewright_drawings.packet.writers import (
        WRITERS,
        PacketRequest,
        asked_kinds,
        require_sellable,
    )
    from palewright_drawings.texts.check_text import verdict_line

    require_folder("--out", out)
    progress = shown_progress()
    if len(variants) > 1 or any(":" in one for one in variants):
        if to_sell or also:
            raise InputError("goes with one box: a batch is the shop's own",
                             key="--to-sell" if to_sell else "--with")  # fmt: skip
        figures = shop_figures(shop_file, variants)
        ways = despite_faults, fewest_boards
        fits = build_batch(variants, settings, out, kinds, figures, ways, progress)
        return FITS if fits else DOES_NOT_FIT
    if fewest_boards:
        raise InputError(
            "goes with a batch: one box takes the fewest boards", key="--fewest-boards"
        )
    chosen = asked_kinds(kinds, also, to_sell)
    for kind in chosen:
        WRITERS[kind].ready()
    (variant,) = variants
    found = read_variant(variant, settings)
    figures = shop_figures(shop_file, (variant,))
    box = laid_out(found, progress.note)
    say(large_text(box, chosen))
    if not may_be_written(found, box, despite_faults, progress):
        return DOES_NOT_FIT
    if to_sell and not despite_faults:
        require_sellable(box, ways=" (palewright check --fix), or add --despite-faults")
    asked = PacketRequest(box, lambda: figures, partial(relatives_of, found.path), to_sell=to_sell)
    folder = write_packet(asked, out, chosen, progress, say)
    say([verdict_line(box)])
    click.echo(str(folder))
    return FITS if box.verdict.passed else DOES_NOT_FIT


@click.command(cls=NamesLast, names=lumber_names)
@VARIANT
@click.option("--solids", is_flag=True,
              help="Measure the solids with their holes too, as a second opinion.")  # fmt: skip
@click.option("--notes", "--all", "notes", is_flag=True,
              help="Tell the notes too, which the plan cares for, and each lumber.")  # fmt: skip
@click.option("--lumber", "lumbers", multiple=True, metavar="WOOD",
              help="Of this wood or stock; repeat it to see lumbers side by side.")  # fmt: skip
@click.option("--fix", is_flag=True,
              help="Write what mends it into your file; the file as it was is kept.")  # fmt: skip
@SHOP
@SETTINGS
@AS_JSON
@schema_option("check", "--json")
def check(
    variant: str,
    solids: bool,
    notes: bool,
    fix: bool,
    lumbers: tuple[str, ...],
    shop_file: str,
    settings: tuple[str, ...],
    as_json: bool,
) -> int:
    """Say whether the box fits in all lumber, carries its soil, stands and lasts."""
    from palewright.parameters.variant_files import load_variant
    from palewright_drawings.output.progress import shown_progress

    progress = shown_progress()
    found = read_variant(variant, settings)
    shop, source = shop_figures(shop_file, (variant,))
    named = [word.strip() for text in lumbers for word in text.split(",") if word.strip()]
    if len(named) == 1:
        from palewright.costing.lumber_comparison import stock_named

        stock = stock_named(named[0], found.parameters, "--lumber")
        settings = (*settings, f"lumber.board={stock}")
        found = load_variant(str(found.path), settings)
    elif lumbers:
        from palewright_drawings.cli.price_requests import asked_alternatives
        from palewright_drawings.texts.lumber_comparison_text import (
            comparison_as_json,
            comparison_text,
        )

        for option, typed in (("--solids", solids), ("--fix", fix)):
            if typed:
                raise InputError("goes with one box, not with several --lumber", key=option)
        several = asked_alternatives(found, named, progress, shop)
        if as_json:
            print_json(comparison_as_json(several))
        else:
            show(comparison_text(several, source))
        return FITS if all(one.fits for one in several) else DOES_NOT_FIT
    from palewright.catalogue.lumber import LUMBER_CASES
    from palewright.parameters.variant_edits import is_shipped
    from palewright_drawings.json_reports.verdicts import check_as_json
    from palewright_drawings.texts.check_text import changes_text, check_text

    if fix and settings:
        raise InputError("goes without --set: write the settings into the file first", key="--fix")
    if fix and is_shipped(found):
        told = f"goes with a file of your own: palewright new NAME --base {found.name}"
        raise InputError(told, key="--fix")
    from palewright_drawings.texts.second_opinion import solid_opinions

    box = laid_out(found, progress.note)
    mending = mending_of(found, box, progress.note)
    if fix and mending is not None:
        say(f"{found.path}: mended, {changes_text(mending.changes)}")
        say(f"{write_mended(found, mending)}: keeps it as it was")
        found = load_variant(str(found.path))
        box, mending = laid_out(found, progress.note), None
    opinions = solid_opinions(box, LUMBER_CASES, progress) if solids else []
    if as_json:
        print_json(check_as_json(box, shop, opinions, mending))
    else:
        show(check_text(box, shop, found, mending, opinions, notes))
    agreed = all(opinion.agrees for opinion in opinions)
    return FITS if box.verdict.passed and agreed else DOES_NOT_FIT


@click.command()
@click.argument("variants", nargs=-1, metavar="[VARIANT[:COUNT]]...", shell_complete=variant_names)
@click.option("--parts", metavar="FILE.csv", default="", help="Cut any parts list instead.")
@saw_options
@SHOP
@SETTINGS
@AS_JSON
def cut(
    variants: tuple[str, ...],
    parts: str,
    shop_file: str,
    settings: tuple[str, ...],
    as_json: bool,
    **how: Any,
) -> int:
    """Plan the boards of a batch, with saw list and board layouts.

    One box is cut from the fewest boards. A batch is cut as cheaply as was found, work at the saw
    counted in; that is the plan of price and build too.
    """
    from palewright_drawings.cli.cut_requests import asked_plans
    from palewright_drawings.output.progress import shown_progress

    shop, _ = shop_figures(shop_file, variants)
    progress = shown_progress()
    progress.begin("cut plan", 100)
    with broken_off_after(how["seconds"]):
        asked = asked_plans(variants, parts, settings, how, shop, progress)
    if as_json:
        from palewright_drawings.json_reports.cut_plans import plans_as_json

        print_json(plans_as_json(asked.plans))
    else:
        from palewright_drawings.texts.cut_texts import plans_text
        from palewright_drawings.texts.price_texts import chosen_texts

        chosen = chosen_texts(asked.batch, shop) if asked.batch else {}
        show(plans_text(asked.plans, asked.system, chosen))
    return FITS


_JOB: tuple[tuple[click.Command, str, str], ...] = (
    (variants, "boxes to begin from: yours here, and the shipped ones", "variants"),
    (new, "start a file of your own", "new my-tub --base stoop-tub"),
    (names, "names of faces, lumber, woods, screws, kinds of files", "list faces lumber"),
    (settings_command, "every setting, its range and meaning", "settings"),
    (
        check,
        "does it fit, what does it take, what mends it",
        "check my-tub --set box.width=23in",
    ),
    (explain, "what a finding means, and its source", "explain PW504"),
    (size, "the largest boxes that some boards make", "size my-tub --boards 4"),
    (cut, "the fewest boards, saw list, layouts", "cut my-tub:10 herb-trough:4"),
    (price, "what a batch costs, and what to ask for it", "price my-tub:10 --ask 120"),
    (shop_command, "your rates and minutes, to fill in", "shop > shop.toml"),
    (build, "the shop packet: plan, jigs, labels, files", "build my-tub --set plan.paper=A4"),
    (season, "how many to build for each market, and when", "season --template > year.toml"),
    (picture, "a picture of the box in use", "picture my-tub --scene spring-porch --quick"),
    (listing, "pictures and words for a market", "listing my-tub --finish walnut-stain"),
    (gallery, "a page of pictures of a folder's variants", "gallery ."),
    (page, "see it change while you drag, in the browser", "page"),
)
"""The commands in the order of the job: what each is for, and what is typed."""

for _command, _words, _example in _JOB:
    _command.short_help, _command.epilog = _words, f"Example: palewright {_example}"
    _command.context_class = HelpContext
    main.add_command(_command)


_COLLECTED = (50_000, 20, 50)
"""Objects after which Python looks for circular waste, for 700: importing the kernel makes so many
that a tenth of the time went into looking. Tried: ten times as many gain no more."""


def run(args: list[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code."""
    if args is None:
        replace_streams()
        gc.set_threshold(*_COLLECTED)
        # trimesh goes without SciPy where there is none. Nothing here needs it, and importing it
        # took .25 s and 37 MB of every build.
        sys.modules.setdefault("scipy", None)  # type: ignore[arg-type]
    _Stop.heed()
    code = _code(args)
    stand_still()
    sys.stdout.flush()
    sys.stderr.flush()
    if args is None and ("OCP" in sys.modules or "manifold3d" in sys.modules):
        os._exit(code)  # the kernel takes .4 s to tear down, and there is nothing left to tidy
    sys.exit(code)


def _code(args: list[str] | None) -> int:
    """Return the exit code of one command; every foreseen complaint is one line on stderr."""
    try:
        result = main.main(args=args, prog_name="palewright", standalone_mode=False)
        return int(result or 0)
    except InputError as error:
        say(f"palewright: {error}")
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.ClickException as error:
        line = one_line(" ".join(error.format_message().split()))
        where = getattr(error, "ctx", None)
        hint = f" (see: {where.command_path} --help)" if where else ""
        say(f"palewright: {line}{hint}")
    except (click.Abort, KeyboardInterrupt):
        return _stopped()
    except Exception as error:
        if _Stop.asked:  # an interrupt while a compiled module loads comes out as ImportError
            return _stopped()
        if isinstance(error, OSError):
            place = f"{error.filename}: " if error.filename else ""
            say(f"palewright: {one_line(f'{place}{error.strerror or error}')}")
            return BAD_INPUT
        if os.environ.get("PALEWRIGHT_TRACEBACK"):
            raise
        say(
            f"palewright: a mistake of palewright's own: {type(error).__name__}: {error} "
            "(PALEWRIGHT_TRACEBACK=1 shows where)"
        )
        return OUR_MISTAKE
    return BAD_INPUT


class _Stop:
    """Whether somebody pressed Ctrl-C, and which signal it was else."""

    asked = False
    number = int(signal.SIGINT)

    @classmethod
    def heed(cls) -> None:
        """Let Ctrl-C interrupt what is being done, and what else asks a program to end, too."""
        signal.signal(signal.SIGINT, cls._interrupt)
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) == signal.SIG_DFL:
                signal.signal(number, cls._pass_on)  # not where it is ignored: nohup asks for that

    @classmethod
    def _interrupt(cls, _signal: int, _frame: object) -> None:
        """Note it, and interrupt what is being done."""
        cls.asked = True
        raise KeyboardInterrupt

    @classmethod
    def _pass_on(cls, number: int, _frame: object) -> None:
        """Do as for Ctrl-C, whatever that does by now: the page has a way of its own."""
        cls.number = number
        signal.raise_signal(signal.SIGINT)


def _stopped() -> int:
    """Say that the work was stopped; the exit code is the shell's, 128 and the signal."""
    say("palewright: stopped; nothing half-written")
    return 128 + _Stop.number


if __name__ == "__main__":
    run()
