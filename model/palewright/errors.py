"""The one error that means: what was typed cannot be used."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class InputError(ValueError):
    """Bad input, told in one line: what, where, and what is allowed.

    Attributes:
        message: what is wrong and what is allowed, without the place.
        key: dotted parameter key, such as ``box.width``; empty when none applies.
        file: the file that holds it, as the user named it; empty when none applies.
        line: line number in that file, from 1; 0 when unknown.
    """

    def __init__(self, message: str, *, key: str = "", file: str = "", line: int = 0) -> None:
        """Keep the parts apart so that a caller can add the place later."""
        self.message = " ".join(message.split())
        self.key = key
        self.file = file
        self.line = line
        super().__init__(str(self))

    def __str__(self) -> str:
        """Return ``file:line: key: message`` with the parts that are known."""
        place = f"{self.file}:{self.line}" if self.file and self.line else self.file
        key = " ".join(self.key.split())  # a quoted key may hold line breaks
        return ": ".join(part for part in (place, key, self.message) if part)

    def at(self, *, key: str = "", file: str = "", line: int = 0) -> InputError:
        """Return the same complaint with the missing parts of its place filled in."""
        return InputError(
            self.message, key=self.key or key, file=self.file or file, line=self.line or line
        )


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ``; did you mean '…'?`` for the nearest known word, or nothing."""
    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.5)
    return f"; did you mean '{close[0]}'?" if close else ""
