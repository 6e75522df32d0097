"""What the tests read back from a PDF: pages, boxes of text, fonts, pictures of pages. All mm."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pikepdf
import pypdfium2

POINT = 25.4 / 72
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Words:
    """A run of text on a page: its text and its box (left, top, right, bottom; y down)."""

    text: str
    box: Box


def page_sizes(content: bytes) -> list[tuple[float, float]]:
    """Return width and height of each page."""
    with pikepdf.open(io.BytesIO(content)) as document:
        boxes = [[float(x) for x in page.mediabox] for page in document.pages]
    return [((b[2] - b[0]) * POINT, (b[3] - b[1]) * POINT) for b in boxes]


def page_texts(content: bytes) -> list[str]:
    """Return the text of each page, blanks and breaks as one blank."""
    document = pypdfium2.PdfDocument(content)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def page_words(content: bytes) -> list[list[Words]]:
    """Return the runs of text of each page."""
    found = []
    for page in pypdfium2.PdfDocument(content):
        text, high = page.get_textpage(), page.get_height()
        rows = []
        for i in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(i)
            told = text.get_text_bounded(left, bottom, right, top)
            box = (left * POINT, (high - top) * POINT, right * POINT, (high - bottom) * POINT)
            rows.append(Words(told.strip(), box))
        found.append(rows)
    return found


def outside(words: list[Words], size: tuple[float, float], margin: float) -> list[Words]:
    """Return the runs that come nearer to the page's edge than its margin."""
    return [
        w
        for w in words
        if w.text
        and (
            w.box[0] < margin - 0.1
            or w.box[1] < margin - 0.1
            or w.box[2] > size[0] - margin + 0.1
            or w.box[3] > size[1] - margin + 0.1
        )
    ]


def overlapping(words: list[Words], air: float = 0.15) -> list[tuple[str, str]]:
    """Return pairs of runs whose boxes share more than a hair (mm) both ways."""
    some = [w for w in words if w.text]
    left, top, right, bottom = np.array([w.box for w in some]).reshape(-1, 4).T
    wide = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    high = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top)
    pairs = np.argwhere(np.triu((wide > air) & (high > air), 1))
    return [(some[i].text, some[j].text) for i, j in pairs]


def fonts(content: bytes) -> Iterator[tuple[str, bool]]:
    """Yield name and whether it is embedded of every font of every page and picture."""
    with pikepdf.open(io.BytesIO(content)) as document:
        for thing in document.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor":
                held = any(f"/FontFile{n}" in thing for n in ("", "2", "3"))
                yield str(thing["/FontName"]), held


def page_image(content: bytes, page: int, dots: float) -> Any:
    """Return a page in shades of grey, 0 to 255, at so many dots an inch: (rows, columns)."""
    document = pypdfium2.PdfDocument(content)
    bitmap = document[page].render(scale=dots / 72, grayscale=True)
    return np.squeeze(bitmap.to_numpy()).copy()


def syntax_problems(content: bytes) -> list[str]:
    """Return what qpdf finds wrong with the file."""
    with pikepdf.open(io.BytesIO(content)) as document:
        return list(document.check_pdf_syntax())
