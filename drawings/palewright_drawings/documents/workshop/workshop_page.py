"""The frame of ``workshop.html``: its policy, its style and script, the way between sections."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

_HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the page: its name in the page's address, its heading, its HTML."""

    name: str
    heading: str
    html: str


def workshop_page(title: str, tagline: str, sections: Sequence[Section], box: str = "") -> bytes:
    """Return the page as HTML, UTF-8.

    Ticks are kept under the page's digest: those of another plan are none of this one's.

    Args:
        title: what is built.
        tagline: the same in some words more.
        sections: in their order.
        box: JSON of ``box_json``; empty for none.
    """
    style = (_HERE / "workshop.css").read_text(encoding="utf-8")
    script = (_HERE / "workshop.js").read_text(encoding="utf-8")
    links = "".join(f'<a href="#{one.name}">{escape(one.heading)}</a>' for one in sections)
    shown = "\n".join(
        f'<section id="{one.name}"><h2>{escape(one.heading)}</h2>\n{one.html}\n</section>'
        for one in sections
    )
    data = f'<script type="application/json" id="box">{box}</script>\n' if box else ""
    job = hashlib.sha256(f"{title}\n{shown}".encode()).hexdigest()[:16]
    policy = (
        f"default-src 'none'; script-src {_digest(script)}; style-src {_digest(style)}; "
        "base-uri 'none'; form-action 'none'"
    )
    return f"""<!DOCTYPE html>
<html lang="en" data-job="{job}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{escape(title)}: workshop</title>
<style>{style}</style>
</head>
<body>
<header>
<h1>{escape(title)}</h1>
<p class="tagline">{escape(tagline)}</p>
<p id="kept">Without scripts, ticks are gone when this page is closed.</p>
</header>
<nav aria-label="Sections">{links}</nav>
<main>
{shown}
</main>
<div id="next" role="region" aria-label="What comes next" hidden></div>
{data}<script>{script}</script>
</body>
</html>
""".encode()


def _digest(text: str) -> str:
    """Return the source expression of an inline script or style (CSP Level 3, 2.3.1)."""
    return f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
