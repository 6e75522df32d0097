"""What a person reads in a terminal or a pipe: tables, lines that wrap, colour.

The one door to rich, which is loaded when something is shown. What is said is a list of parts:
lines as plain text, and what the functions here return. A terminal gets them in its own width and
in colour, unless NO_COLOR asks for none; a pipe or a file always in 100 letters and without.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.progress import Progress as Live
    from rich.text import Text

    Part = RenderableType
    """A line, or a piece of text that knows how to be set in a width."""

    Cell = str | RenderableType
    """What stands in a table: text as it is, or a part."""

    Row = tuple[Cell, Cell]
    """A label and what stands beside it."""

PIPED = 100
"""Letters in a line where no terminal says how wide it is: the same in every pipe and file."""

GAP = 2
"""Letters between two columns."""

_STYLES = {"fault": "bold red", "warning": "yellow", "note": "dim", "head": "bold", "good": "green"}
"""The colours of what is said, by what it is: the sixteen that every terminal has."""


def coloured(text: str, what: str) -> Text:
    """Return a text in the colour of a severity, of a heading (``head``) or of ``good`` news."""
    from rich.text import Text

    return Text(text, style=_STYLES.get(what, ""))


def table(
    rows: Iterable[Sequence[Cell]],
    heading: Sequence[str] = (),
    *,
    right: Collection[int] = (),
    indent: int = 0,
    gap: int = GAP,
) -> Part:
    """Return a table: columns as wide as they must be, the widest wrapped where they are too wide.

    Args:
        rows: cells.
        heading: over the columns.
        right: columns of amounts, counted from 0.
        indent: letters before each row.
        gap: letters between two columns.
    """
    from rich.table import Table

    listed = list(rows)
    made = Table(
        box=None, show_header=bool(heading), header_style=_STYLES["head"], show_edge=False,
        pad_edge=False, padding=(0, gap, 0, 0),
    )  # fmt: skip
    for i in range(max((len(row) for row in [heading, *listed]), default=0)):
        title = heading[i] if i < len(heading) else ""
        made.add_column(
            _text(title),
            justify="right" if i in right else "left",
            overflow="fold",
        )
    for row in listed:
        made.add_row(*map(_text, row))
    return indented(made, indent)


def pairs(rows: Iterable[Row], indent: int = 0, gap: int = GAP) -> Part:
    """Return labels with their texts beside them, which wrap."""
    return table(rows, indent=indent, gap=gap)


def indented(part: Part, indent: int) -> Part:
    """Return a part set in by so many letters."""
    from rich.padding import Padding

    return Padding(part, (0, 0, 0, indent), expand=False) if indent else part


def _text(cell: Cell) -> RenderableType:
    """Return a cell as it stands: nothing in it is taken for markup."""
    from rich.text import Text

    return Text(cell) if isinstance(cell, str) else cell


_moving: list[Live] = []
"""What is redrawn in place on stderr, such as a bar: it goes before anything is said."""


def keep_moving(live: Live) -> None:
    """Show something that is redrawn in place, instead of what was before."""
    stand_still()
    _moving.append(live)
    live.start()


def moving() -> Live | None:
    """Return what is redrawn in place at this moment."""
    return _moving[-1] if _moving else None


def stand_still() -> None:
    """Take away what is redrawn in place."""
    while _moving:
        _moving.pop().stop()


def show(said: str | Iterable[Part], err: bool = False) -> None:
    """Print what is said on stdout, or on stderr.

    Args:
        said: parts to be set in the width that is there; a text is printed as it is.
        err: on stderr.
    """
    stand_still()
    stream = sys.stderr if err else sys.stdout
    if isinstance(said, str) or not stream.isatty():
        stream.write(plain(said) + "\n")
        stream.flush()
    else:
        console(stream).print(*said, sep="\n")


def console(stream: TextIO) -> Console:
    """Return the console of a terminal."""
    from rich.console import Console

    return Console(file=stream, markup=False, highlight=False, emoji=False)


def plain(said: str | Iterable[Part], width: int = PIPED) -> str:
    """Return what is said as plain text of so many letters a line; whatever the machine, alike."""
    if isinstance(said, str):
        return said
    from rich.console import Console

    paper = io.StringIO()
    Console(
        file=paper, width=width, color_system=None, force_terminal=False, force_jupyter=False,
        force_interactive=False, markup=False, highlight=False, emoji=False, legacy_windows=False,
        _environ={},
    ).print(*said, sep="\n")  # fmt: skip
    return "\n".join(line.rstrip() for line in paper.getvalue().split("\n")).rstrip("\n")
