"""Pages that any browser shows without a network: pictures stand in them, nothing runs.

Their policy allows neither scripts nor anything from elsewhere.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from html import escape

from palewright_drawings.paper.marks import Mark
from palewright_drawings.paper.svg import marks_svg


def framed(
    marks: Sequence[Mark], size: tuple[float, float], alt: str, caption: str, kind: str = "box"
) -> str:
    """Return marks as a picture of the page, its bytes within the page.

    Args:
        marks: in the order in which they are drawn, mm from the upper left corner.
        size: width and height, mm.
        alt: what it shows, for who does not see it.
        caption: what stands below it.
        kind: its class in the page's style: ``box`` or ``board``.
    """
    svg = base64.b64encode(marks_svg(marks, *size, "", alt)).decode()
    return (
        f'<figure class="{kind}"><img src="data:image/svg+xml;base64,{svg}" alt="{escape(alt)}">'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


_STYLE = """
body { font: 16px/1.5 sans-serif; color: #161412; max-width: 60rem; margin: 2rem auto;
  padding: 0 1rem; background: #fff }
h1 { font-weight: normal; font-size: 2rem; margin: 0 }
h2 { font-size: 1.1rem; margin: 2rem 0 .5rem }
.tagline, figcaption, td + td, .soft { color: #5b5650 }
.pictures { display: flex; flex-wrap: wrap; gap: 1.5rem; margin-top: 1.5rem; align-items: end }
figure { margin: 0; flex: 1 1 16rem; max-width: 100% }
.board { flex-basis: 100% }
.board img { width: 100% }
img { max-width: 100%; height: auto; max-height: 20rem }
th { text-align: left; font-weight: normal; color: #5b5650; padding-right: 1rem }
table { border-collapse: collapse; width: 100% }
td { border-bottom: 1px solid #b9b2a8; padding: .4rem 1rem .4rem 0; vertical-align: top }
li { margin: .35rem 0 }
"""


def html_page(title: str, tagline: str, what: str, body: str) -> bytes:
    """Return a page as HTML, UTF-8.

    Args:
        title: what is built.
        tagline: the same in some words more.
        what: the page is, after the title in the window's name.
        body: HTML below the heading.
    """
    policy = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(title)}: {escape(what)}</title>
<style>{_STYLE}</style>
</head>
<body>
<h1>{escape(title)}</h1>
<p class="tagline">{escape(tagline)}</p>
{body}
</body>
</html>
""".encode()
