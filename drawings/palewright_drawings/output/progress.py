"""Progress: what is being done and how far it is, told on stderr."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Protocol

from palewright_drawings.output.terminal import console, keep_moving, moving, stand_still


class Progress(Protocol):
    """What long work tells: its name, its steps, each step done."""

    def begin(self, text: str, total: int) -> None:
        """Say what begins, and in how many steps."""

    def advance(self, steps: int = 1) -> None:
        """Say that some steps are done."""

    def note(self, text: str) -> None:
        """Say what is being done within the present step."""


class Silent:
    """Tells nothing: for tests, and work within other work."""

    def begin(self, text: str, total: int) -> None:
        """Tell nothing."""

    def advance(self, steps: int = 1) -> None:
        """Tell nothing."""

    def note(self, text: str) -> None:
        """Tell nothing."""


class Lines:
    """A line on stderr every few seconds, where nobody looks on: a log can be followed."""

    _PAUSE = 5.0  # s: work that is done sooner says nothing
    _MARK = "..."  # tells such a line from what a command has to say

    def __init__(self) -> None:
        """Begin with nothing to tell."""
        self._text, self._done, self._total = "", 0, 0
        self._told = time.monotonic()

    def begin(self, text: str, total: int) -> None:
        """Note what begins."""
        self._text, self._done, self._total = text, 0, total
        self._tell(text)

    def advance(self, steps: int = 1) -> None:
        """Note that some steps are done."""
        self._done += steps
        self._tell(self._text)

    def note(self, text: str) -> None:
        """Note what is being done."""
        self._tell(text)

    def _tell(self, text: str) -> None:
        """Tell it, unless something was told just now."""
        now = time.monotonic()
        if now - self._told < self._PAUSE:
            return
        self._told = now
        share = f", {100 * self._done // self._total} %" if self._total > 1 else ""
        sys.stderr.write(f"{self._MARK} {text}{share}\n")
        sys.stderr.flush()


class Bar:
    """A bar on stderr with the time left, gone when its work is done or something is said."""

    _WIDE = 26  # letters of the name: the whole line stays under 80

    def begin(self, text: str, total: int) -> None:
        """Show a bar in place of the last."""
        from rich.progress import BarColumn, TaskProgressColumn, TextColumn, TimeRemainingColumn
        from rich.progress import Progress as Live

        live = Live(
            TextColumn("{task.description}", markup=False),
            BarColumn(30),
            TaskProgressColumn(),
            TimeRemainingColumn(compact=True),
            console=console(sys.stderr),
            transient=True,
            speed_estimate_period=600,  # s: single steps of some work take minutes
            redirect_stdout=False,
            redirect_stderr=False,
        )
        live.add_task(self._named(text), total=total or None)
        keep_moving(live)

    def advance(self, steps: int = 1) -> None:
        """Move the bar; a full one goes."""
        if live := moving():
            live.advance(live.task_ids[0], steps)
            if live.finished:
                stand_still()

    def note(self, text: str) -> None:
        """Name the present step; without a bar, show one that only moves."""
        if live := moving():
            live.update(live.task_ids[0], description=self._named(text))
        else:
            self.begin(text, 0)

    @classmethod
    def _named(cls, text: str) -> str:
        """Return a name as wide as all."""
        return f"{text:<{cls._WIDE}}"[: cls._WIDE]


def shown_progress() -> Progress:
    """Return a bar when a person looks on at stderr, else lines now and then."""
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
    """One bar over work that is told in shares."""

    _STEPS = 1000  # finer than the bar and its percent show

    def __init__(self, progress: Progress, text: str) -> None:
        """Show the bar."""
        self._progress, self._at = progress, 0
        progress.begin(text, self._STEPS)

    def __call__(self, what: str, share: float) -> None:
        """Tell what is being done and which share of all is done."""
        self._progress.note(what)
        step = round(self._STEPS * share)
        if step > self._at:
            self._progress.advance(step - self._at)
            self._at = step
