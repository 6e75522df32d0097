"""Progress: what is being done and how far it is, told on stderr."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from click._termui_impl import ProgressBar


class Progress(Protocol):
    """What long work tells: its name, its steps, each step done."""

    def begin(self, text: str, total: int, own_time: bool = False) -> None:
        """Say what begins, and in how many steps; ``own_time`` if notes tell the time left."""

    def advance(self, steps: int = 1) -> None:
        """Say that some steps are done."""

    def note(self, text: str) -> None:
        """Say what is being done within the present step."""


class Silent:
    """Tells nothing: for pipes, files and tests."""

    def begin(self, text: str, total: int, own_time: bool = False) -> None:
        """Tell nothing."""

    def advance(self, steps: int = 1) -> None:
        """Tell nothing."""

    def note(self, text: str) -> None:
        """Tell nothing."""


class Lines:
    """A line on stderr for each thing that is being done, where nobody looks on.

    So a log can be read while the work goes on.
    """

    def begin(self, text: str, total: int, own_time: bool = False) -> None:
        """Say what begins."""
        self.note(text)

    def advance(self, steps: int = 1) -> None:
        """Tell nothing."""

    def note(self, text: str) -> None:
        """Say what is being done."""
        sys.stderr.write(f"{text}\n")
        sys.stderr.flush()


class Bar:
    """A bar on stderr, one a piece of work, gone over when the next begins."""

    _WIDTH = 26  # letters of the bar: the whole line stays under 80

    def __init__(self) -> None:
        """Begin without a bar."""
        self._bar: ProgressBar[Any] | None = None

    def begin(self, text: str, total: int, own_time: bool = False) -> None:
        """Finish the last bar and show the next, with one time left: its own or the notes'."""
        import click

        self._finish()
        label = f"{text:<{self._WIDTH}}"[: self._WIDTH]
        self._bar = click.progressbar(
            length=max(total, 1), label=label, file=sys.stderr, width=30, show_eta=not own_time
        )
        self._bar.render_progress()

    def advance(self, steps: int = 1) -> None:
        """Move the bar; a full bar ends its line."""
        if self._bar is None:
            return
        self._bar.update(steps)
        if self._bar.pos >= (self._bar.length or 0):
            self._finish()

    def note(self, text: str) -> None:
        """Name the present step in the bar, or on a line that the next text goes over."""
        if self._bar is not None:
            self._bar.label = f"{text:<{self._WIDTH}}"[: self._WIDTH]
            self._bar.render_progress()
        else:
            sys.stderr.write(f"\r{text:<{self._WIDTH}}\r")
            sys.stderr.flush()

    def _finish(self) -> None:
        """End the bar's line."""
        if self._bar is not None:
            self._bar.render_finish()
            self._bar = None


def shown_progress() -> Progress:
    """Return a bar when a person looks on at stderr, else silence."""
    return Bar() if sys.stderr.isatty() else Silent()


def told_progress() -> Progress:
    """Return a bar when a person looks on at stderr, else lines: for work of many seconds."""
    return Bar() if sys.stderr.isatty() else Lines()


Told = Callable[[str, float], None]
"""Takes what is being done and which share of all is done, 0 to 1."""


def within(told: Told, name: str, before: float, share: float) -> Told:
    """Return what tells the progress of one part of a work: its name, what came before it.

    Args:
        told: takes the progress of the whole.
        name: of the part.
        before: share of the whole that came before it, 0 to 1.
        share: share of the whole that it is.
    """
    return lambda _, done: told(name, before + share * done)


class Shares:
    """One bar over work that is told in shares, with the time left."""

    _STEPS = 1000  # finer than the bar and its percent show

    def __init__(
        self, progress: Progress, text: str, clock: Callable[[], float] = time.monotonic
    ) -> None:
        """Show the bar; ``clock`` gives seconds."""
        self._progress, self._clock = progress, clock
        self._began, self._at = clock(), 0
        self._first: float | None = None
        progress.begin(text, self._STEPS, own_time=True)

    def __call__(self, what: str, share: float) -> None:
        """Tell what is being done and which share of all is done.

        Shares that were done before the first call cost no time and tell nothing of what is left.
        """
        if self._first is None:
            self._first = share
        gone, done = self._clock() - self._began, share - self._first
        left = f", {time_text(gone / done * (1 - share))} left" if done > 0 else ""
        self._progress.note(f"{what}{left}")
        step = round(self._STEPS * share)
        if step > self._at:
            self._progress.advance(step - self._at)
            self._at = step


def time_text(seconds: float) -> str:
    """Return a time as a person says it: ``40 s``, ``12 min``, ``2.5 h``."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
