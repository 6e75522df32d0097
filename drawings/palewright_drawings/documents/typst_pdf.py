"""Printed documents: a template of ours and data become a PDF.

The same template and data give the same bytes: no clock, no fonts but our own, nothing from
outside. A warning of the typesetter (a font or a picture that is missing) is an error here.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any, Final

from palewright_drawings.paper.text_metrics import FONTS, letters_of

FOLDER = Path(__file__).resolve().parent / "typst"
"""Where the templates are: part of the package."""

ACCESSIBLE: Final = "ua-1"
"""PDF/UA-1 (ISO 14289-1): a title, a language, words for every picture."""


_UNPRINTED = re.compile(
    "[\x7f-\x9f\xad\u200b-\u200f\u2028-\u202e\u2060-\u206f\ue000-\uf8ff"
    "\ufdd0-\ufdef\ufe00-\ufe0f\ufeff\ufff0-\uffff\U000e0000-\U0010ffff]"
    "|[\U0001fffe\U0001ffff\U0002fffe\U0002ffff]"
)
"""Letters that print nothing, and that PDF/UA or XML refuses: marks of direction, private ones."""

MISSING = "□"
"""Stands for a letter that the fonts for print do not have."""


class LayoutError(RuntimeError):
    """A document that the typesetter could not set without complaint: our own mistake."""


def pdf_of(template: str, data: Any) -> bytes:
    """Return a document as PDF/UA-1.

    Args:
        template: name of a template, without its ending.
        data: what it takes, JSON-ready.

    Raises:
        LayoutError: if the template and the data do not go together.
    """
    import typst

    compiler = typst.Compiler(
        input=FOLDER / f"{template}.typ", root=FOLDER, font_paths=_fonts(), ignore_system_fonts=True
    )
    text = printable(json.dumps(data, ensure_ascii=False, allow_nan=False))
    try:
        content, warnings = compiler.compile_with_warnings(
            format="pdf", sys_inputs={"data": text}, pdf_standards=[ACCESSIBLE], timestamp=0
        )
    except typst.TypstError as error:
        raise LayoutError(f"{template}: {error.message} {' '.join(error.hints)}") from error
    except BaseException as error:
        if type(error).__name__ != "PanicException":  # the typesetter's own; it derives from this
            raise
        raise LayoutError(f"{template}: the typesetter broke down: {error}") from error
    if warnings:
        raise LayoutError(f"{template}: {'; '.join(one.message for one in warnings)}")
    assert isinstance(content, bytes)
    return content


def printable(text: str) -> str:
    """Return a text without what cannot be printed; a letter of no font of ours is `MISSING`."""
    known = letters_of("regular") & letters_of("bold")
    # a look at each letter once: the data of a plan is 2 MB long, and nearly always sound
    strange = {x for x in set(text) if x > "~" and (x not in known or _UNPRINTED.match(x))}
    table = {ord(x): "" if _UNPRINTED.match(x) else MISSING for x in strange}
    return text.translate(table) if table else text


@cache
def _fonts() -> Any:
    """Return the fonts for print, looked up once."""
    import typst

    return typst.Fonts(False, False, [str(FONTS)])
