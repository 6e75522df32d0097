"""The commands that name things: variants, faces, lumber, settings, findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.reading.errors import InputError, nearest
from palewright_drawings.cli.options import (
    AS_JSON,
    Names,
    NamesLast,
    print_json,
    say,
    variant_names,
    write_whole,
)
from palewright_drawings.output.terminal import show, table

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part

Rows = Iterable[Sequence[str]]


@click.command()
@AS_JSON
def variants(as_json: bool) -> int:
    """List the boxes to begin from: yours in this folder, and the shipped ones."""
    from palewright_drawings.texts.check_text import variant_rows

    rows = variant_rows(Path())
    if as_json:
        print_json(rows)
        return 0
    show([table([tuple(row.values()) for row in rows])])
    return 0


@click.command(cls=NamesLast, names=lambda: _listed("faces", "lumber", "screws"))
@click.argument("name")
@click.option("--base", metavar="VARIANT", default="", shell_complete=variant_names,
              help="Begin from this variant: only what differs needs a line.")  # fmt: skip
@click.option("--all", "every", is_flag=True, help="Write every setting, not only a dozen.")
def new(name: str, base: str, every: bool) -> int:
    """Start a variant file NAME.toml with the dozen settings that matter."""
    from palewright.parameters.schema import template
    from palewright.parameters.variant_files import load_variant, new_variant_path

    path = new_variant_path(name)
    if base and path.stem == base:
        raise InputError(f"'{base}' cannot begin from its own name; choose another", key="base")
    said = load_variant(base).said if base else None
    title = path.stem.replace("-", " ").capitalize()
    known = _listed("faces", "lumber")
    of_key = {f"face.{side}": known["faces"] for side in ("front", "sides", "back")}
    of_key |= {f"lumber.{use}": known["lumber"] for use in ("board", "cap", "post", "strip")}
    text = template(title, base, said, few=not every, names=of_key)
    write_whole(path, text.encode(), new=True)
    say(f"edit it, then: palewright check {path}")
    return 0


@click.command("settings")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of a variant file.")
def settings_command(schema: bool) -> int:
    """Print every key of a variant file with its default, range and meaning."""
    from palewright.parameters.schema import json_schema, reference_rows

    if schema:
        print_json(json_schema())
    else:
        show([table(reference_rows(), REFERENCE)])
    return 0


REFERENCE = ("key", "default", "allowed", "meaning")
"""Over the columns of all settings of a file."""


def _faces() -> Rows:
    """Return the face patterns, each with its first sentence."""
    from palewright.construction.face_patterns import FACE_PATTERNS

    for name, pattern in FACE_PATTERNS.items():
        yield name, (pattern.__doc__ or "").partition("\n")[0]


def _lumber() -> Rows:
    """Return the stocks: sizes as sold, wood, price."""
    from palewright.catalogue.lumber import shipped_stock
    from palewright.reading.lengths import print_length

    for name, stock in shipped_stock().items():
        system = "metric" if name.endswith("metric") else "inch"
        sides = (stock.thickness, stock.width, stock.length)
        size = " x ".join(print_length(side, system) for side in sides)
        yield name, size, stock.species, f"{stock.price:.2f}"


def _woods() -> Rows:
    """Return the woods: weight, and how they last outdoors."""
    from palewright.catalogue.lumber import shipped_species

    for name, wood in shipped_species().items():
        yield name, f"{wood.density:.0f} kg/m3", wood.life


def _screws() -> Rows:
    """Return the gauges of screws, and how a screw is written."""
    from palewright.catalogue.screws import GAUGES
    from palewright.reading.lengths import print_length

    for number, gauge in GAUGES.items():
        yield f"#{number}", f"{print_length(gauge.diameter)} thick", f"such as '#{number} x 2 in'"


def _kinds() -> Rows:
    """Return the kinds of files of a box's packet."""
    from palewright_drawings.packet.writers import WRITERS

    for kind, writer in WRITERS.items():
        yield kind, writer.where, writer.purpose + ("" if writer.usual else " (by --with only)")


def _batch_kinds() -> Rows:
    """Return the kinds of files of a batch's packet."""
    from palewright_drawings.packet.batch_writers import BATCH_WRITERS

    for kind, writer in BATCH_WRITERS.items():
        yield kind, writer.where, writer.purpose


_SUBJECTS: dict[str, tuple[str, Callable[[], Rows]]] = {
    "faces": ("face.front, face.sides, face.back", _faces),
    "lumber": ("lumber.board, lumber.cap, lumber.post, lumber.strip; --lumber", _lumber),
    "woods": ("--lumber", _woods),
    "screws": ("screws.wall and the other screws", _screws),
    "kinds": ("build --only, build --with", _kinds),
    "batch-kinds": ("build --only of a batch", _batch_kinds),
}
"""What can be listed: for which settings or options, and the rows."""


def _listed(*subjects: str) -> Names:
    """Return the names of some subjects."""
    return {word: [str(row[0]) for row in _SUBJECTS[word][1]()] for word in subjects}


@click.command("list")
@click.argument("subjects", nargs=-1, metavar="[faces|lumber|woods|screws|kinds|batch-kinds]...")
@AS_JSON
def names(subjects: tuple[str, ...], as_json: bool) -> int:
    """List the names that settings and options take; all without a subject."""
    for word in subjects:
        if word not in _SUBJECTS:
            told = f"nothing to list of '{word}'{nearest(word, _SUBJECTS)}"
            raise InputError(f"{told}; allowed: {', '.join(_SUBJECTS)}")
    asked = subjects or tuple(_SUBJECTS)
    if as_json:
        print_json(_listed(*asked))
        return 0
    said: list[Part] = []
    for word in asked:
        where, rows = _SUBJECTS[word]
        said += ["", f"{word}, for {where}", table(rows(), indent=2)]
    show(said[1:])
    return 0


@click.command()
@click.argument("code")
def explain(code: str) -> int:
    """Say what a finding such as PW504 means, why its limit is there, and its source."""
    from palewright.fit.findings import CODES
    from palewright_drawings.texts.explanation_text import explanation_text

    asked = code.upper() if code[:2].upper() == "PW" else f"PW{code}"
    if asked not in CODES:
        near = nearest(asked, CODES)
        raise InputError(f"no finding '{code}'{near}; allowed: {', '.join(CODES)}")
    show(explanation_text(asked))
    return 0
