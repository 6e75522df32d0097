"""The one error that means: what was typed cannot be used."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

_LONGEST = 1000
"""Signs of a message, place or key that one line can show; the longest of our own has 600."""

_LONG_WORD = re.compile(r"(\S{80})\S{21,}(\S{20})")
"""A word of more than 120 signs: nothing that helps to find what is wrong."""


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
        self.message = one_line(" ".join(message.split()))
        self.key = key
        self.file = file
        self.line = line
        super().__init__(str(self))

    def __str__(self) -> str:
        """Return ``file:line: key: message`` with the parts that are known."""
        file = one_line(self.file)
        place = f"{file}:{self.line}" if self.file and self.line else file
        key = one_line(" ".join(self.key.split()))  # a quoted key may hold line breaks
        return ": ".join(part for part in (place, key, self.message) if part)

    def at(self, *, key: str = "", file: str = "", line: int = 0) -> InputError:
        """Return the same complaint with the missing parts of its place filled in."""
        return InputError(
            self.message, key=self.key or key, file=self.file or file, line=self.line or line
        )


def one_line(text: str) -> str:
    """Return a text as one line can show it, whatever somebody typed.

    Signs that do not print (NUL, line breaks, half a letter) are escaped; very long words, and what
    is too long at all, lose their middle.
    """
    plain = "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text
    )
    plain = _LONG_WORD.sub(r"\1…\2", plain)
    half = _LONGEST // 2
    return plain if len(plain) <= _LONGEST else f"{plain[:half]}…{plain[-half:]}"


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ``; did you mean '…'?`` for the nearest known word, or nothing."""
    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.5)
    return f"; did you mean '{close[0]}'?" if close else ""
