"""Progress of a job in a worker, told through its pipe a few times a second."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import Any

_PAUSE = 0.1
"""Least time between two tellings, seconds: a page shows no more."""


class ToldProgress:
    """Tells ``(what, done, total)``; a beginning always, steps after a pause."""

    def __init__(
        self,
        tell: Callable[[str, int, int], None],
        part: Callable[[Mapping[str, Any]], None] = lambda _: None,
    ) -> None:
        """Tell by a function that is cheap to call; `part` is told what is found on the way."""
        self._tell = tell
        self.part = part
        self._said = ("", 0, 1)
        self._last = 0.0

    def begin(self, text: str, total: int) -> None:
        """Say what begins, and in how many steps."""
        self._say((text, 0, max(total, 1)), True)

    def advance(self, steps: int = 1) -> None:
        """Say that some steps are done."""
        text, done, total = self._said
        self._say((text, min(done + steps, total), total), False)

    def note(self, text: str) -> None:
        """Say what is being done within the present step."""
        _, done, total = self._said
        self._say((text, done, total), False)

    def _say(self, said: tuple[str, int, int], at_once: bool) -> None:
        """Tell, unless it was told just now."""
        self._said = said
        now = time.monotonic()
        if at_once or now - self._last >= _PAUSE:
            self._last = now
            self._tell(*said)
