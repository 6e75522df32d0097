"""``READ-FIRST.html``: what is in a packet, in which order it is used, three pictures.

One file that any browser shows without a network: pictures stand in it, and its policy allows
neither scripts nor anything from elsewhere.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from html import escape

from palewright.design import Design
from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.html_pages import framed, html_page
from palewright_drawings.documents.plan.layout_pictures import layout_marks
from palewright_drawings.documents.plan.pictures import filling
from palewright_drawings.documents.plan.sections import layout_scale
from palewright_drawings.documents.plan.texts import kind_text, title_of
from palewright_drawings.figures.exploded_view import exploded_figure
from palewright_drawings.figures.vertical_section import section_figure
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.figure import Figure

Told = Sequence[tuple[str, str]]
"""(path, what it is for) of what a packet holds."""

_ROOM = 110.0, 100.0
"""Width and height (mm) that a picture of a box finds room in: a third of a wide window."""

_LAYOUT = 180.0, 45.0
"""The same for a board layout, which is long."""

_BOX_STEPS = (
    ("plan", "Read plan.pdf from front to back, its cautions first. Print it at 100 %."),
    ("plan", "Buy what its page “What you need” lists. Measure your boards before you cut."),
    ("labels", "Print labels.pdf, a label a piece: each goes on the face it names, its arrow up."),
    ("plan", "Cut by its board layouts and saw list: set the saw once a line, tick the line."),
    (
        "workshop",
        "Or cut by workshop.html on the phone at the saw: it needs no network and keeps ticks.",
    ),
    ("templates", "For more than one box, make the jigs first, from templates.pdf."),
    ("jigs", "With a router, cut the jigs from jigs/ instead."),
    ("boards", "With a router, read boards.html, then run boards.dxf; flat/ has each kind alone."),
    ("plan", "Put it together by the plan's steps, tray by tray, then finish it as it says."),
    (
        "costs",
        "maker/, and the price in report.json, are for you alone: build what you sell or hand on "
        "with --to-sell, which leaves them out.",
    ),
)
"""What is done in which order, each with the kind of file that it needs."""

_BATCH_STEPS = (
    ("buying", "Buy by buying-list.pdf; look first what is on the shelf."),
    ("labels", "Print labels.pdf on sheets of labels. They lie box by box, tray by tray."),
    ("templates", "Make the jigs, once for the whole batch, by the paper in templates/."),
    ("jigs", "With a router, cut the jigs from jigs/ instead."),
    ("saw", "Cut by saw-plan.pdf: set the saw once a line, make every cut with its number."),
    (
        "workshop",
        "Or cut by workshop.html on the phone at the saw: it needs no network and keeps ticks.",
    ),
    (
        "labels",
        "Stick its label on each piece as it leaves the saw, on the face it names, arrow up.",
    ),
    ("kits", "Lay the pieces into trays by kits.pdf: a card lies on the trays of each box."),
    ("plans", "Build the boxes one after the other, each by the plan of its kind in plans/."),
    ("flat", "With a router, flat/ has a file for each kind of board; index.csv counts them."),
    ("costs", "maker/ has what the batch costs and what to ask: for you alone."),
)
"""The same for a batch."""


def box_read_first(design: Design, kinds: Collection[str], told: Told) -> bytes:
    """Return the page of one box's packet.

    Args:
        design: the box.
        kinds: of files that the packet holds.
        told: what those are.
    """
    pictures = [
        _picture(view_figure(design, "corner"), "What it becomes."),
        _picture(exploded_figure(design), "Its parts, by the letters of the plan."),
        _picture(section_figure(design), "Cut through its middle."),
    ]
    steps = [text for kind, text in _BOX_STEPS if kind in kinds]
    return _page(title_of(design), kind_text(design.parameters), steps, told, pictures)


def batch_read_first(batch: PrintedBatch, kinds: Collection[str], told: Told) -> bytes:
    """Return the page of a batch's packet; arguments as for ``box_read_first``."""
    designs = [box.design for box in batch.priced.boxes]
    pictures = [_picture(view_figure(one, "corner"), f"{title_of(one)}.") for one in designs[:2]]
    if len(designs) == 1:
        pictures.append(_picture(exploded_figure(designs[0]), "Its parts, by their letters."))
    pictures.append(_layout(batch))
    steps = [text for kind, text in _BATCH_STEPS if kind in kinds]
    count = len(batch.boxes)
    boards = " + ".join(str(plan.plan.plan.boards) for plan in batch.plans)
    tagline = f"A batch of {count} {'box' if count == 1 else 'boxes'} from {boards} boards"
    return _page(batch.title, tagline, steps, told, pictures)


def _picture(figure: Figure, caption: str) -> str:
    """Return a figure in its frame."""
    placed = filling(figure, *_ROOM)
    return framed(placed.marks, (placed.width, placed.height), figure.alt, caption)


def _layout(batch: PrintedBatch) -> str:
    """Return the first board layout of a batch in its frame."""
    plan = batch.plans[0]
    scale = layout_scale(plan, *_LAYOUT)
    board, kerf = plan.plan.demand.board, plan.plan.plan.kerf
    system = batch.first.parameters.product.units
    marks, width, height = layout_marks(plan.layouts[0], board, kerf, scale, system)
    told = "A board with the numbers of its cuts, from the saw plan."
    return framed(marks, (width, height), "How the first boards are cut", told, "board")


def _page(
    title: str, tagline: str, steps: Sequence[str], told: Told, pictures: Sequence[str]
) -> bytes:
    """Return the page as HTML, UTF-8."""
    rows = "\n".join(
        f"<tr><td><code>{escape(path)}</code></td><td>{escape(what)}</td></tr>"
        for path, what in told
    )
    listed = "\n".join(f"<li>{escape(step)}</li>" for step in steps)
    order = f"<h2>In which order</h2>\n<ol>\n{listed}\n</ol>\n" if steps else ""
    shown = "\n".join(pictures)
    body = f"""<div class="pictures">
{shown}
</div>
{order}<h2>What is in this folder</h2>
<table>
{rows}
</table>"""
    return html_page(title, tagline, "read first", body)
