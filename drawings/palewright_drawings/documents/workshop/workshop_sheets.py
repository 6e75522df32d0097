"""What stands in ``workshop.html``: all of one box from saw to bench, of a batch its cutting."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from html import escape

from palewright.assembly.assembly_steps import panel_kinds
from palewright.assembly.step_facts import boards_in_hand
from palewright.design import Design
from palewright.sawing.cut_parts import CutPart
from palewright.sawing.numbered_plans import NumberedPlan, numbered_plans
from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.batch.kit_cards import kit_content
from palewright_drawings.documents.plan.drilling import drilled
from palewright_drawings.documents.plan.jigs import jigs_for
from palewright_drawings.documents.plan.numbered_cuts import boards_text
from palewright_drawings.documents.plan.steps import (
    marks_counted,
    panels_text,
    step_groups,
    step_lines,
    step_title,
)
from palewright_drawings.documents.plan.texts import (
    ends_text,
    kind_text,
    size_line,
    stock_told,
    title_of,
)
from palewright_drawings.documents.workshop.box_prisms import box_json
from palewright_drawings.documents.workshop.cut_ticks import saw_section, tick
from palewright_drawings.documents.workshop.phone_figures import (
    layout_svgs,
    map_svgs,
    scrolled,
    step_svg,
)
from palewright_drawings.documents.workshop.workshop_page import Section, workshop_page
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.figures.panel_maps import mapped_screws
from palewright_drawings.figures.views import view_figure
from palewright_drawings.output.progress import Progress, Silent


def box_workshop(design: Design, progress: Progress | None = None, to_sell: bool = False) -> bytes:
    """Return the page of one box; with ``to_sell`` without jigs, which a buyer has not.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("workshop.html", 3)
    plans, system = numbered_plans(design.saw_plans), design.parameters.product.units
    progress.advance()
    sections = [
        Section("cut", "Cut", saw_section(plans, system)),
        Section("boards", "Boards", _layouts(plans, system)),
        Section("parts", "Parts", _parts(design)),
        Section("panels", "Panels", _panels(design)),
    ]
    progress.advance()
    sections.append(Section("steps", "Steps", _steps(design, with_jigs=not to_sell)))
    page = workshop_page(title_of(design), kind_text(design.parameters), sections, box_json(design))
    progress.advance()
    return page


def batch_workshop(batch: PrintedBatch) -> bytes:
    """Return the page of a batch: how its boards are cut, and what goes into each box."""
    system = batch.first.parameters.product.units
    count = len(batch.boxes)
    sections = [
        Section("cut", "Cut", saw_section(batch.plans, system)),
        Section("boards", "Boards", _layouts(batch.plans, system)),
        Section("boxes", "Boxes", _kits(batch)),
    ]
    return workshop_page(
        batch.title, f"A batch of {count} {'box' if count == 1 else 'boxes'}", sections
    )


def _layouts(plans: Sequence[NumberedPlan], system: str) -> str:
    """Return the board layouts."""
    found = [
        "<p>The square end is at the left. A framed number is a cut, by its line in the saw list. "
        "Swipe along a board, or turn the phone.</p>"
    ]
    for plan in plans:
        stock = [stock_told(plan.plan.demand.stock)] if len(plans) > 1 else []
        for one, svg in zip(plan.layouts, layout_svgs(plan, system), strict=True):
            told = boards_text(one.boards)
            kept = [size_line((o.length, o.width), system) for o in one.layout.offcuts if o.usable]
            more = " · ".join([*stock, *([f"keep {', '.join(kept)}"] if kept else [])])
            found.append(
                f"<figure><figcaption><b>{escape(told[0].upper() + told[1:])}</b> "
                f"{escape(more)}</figcaption>"
                f"{scrolled(svg, f'layout of {told}')}</figure>"
            )
    return "\n".join(found)


def _parts(design: Design) -> str:
    """Return the picture of the box, and a row a part that opens to more of it."""
    system = design.parameters.product.units
    rows = "\n".join(_part(design, part, system) for part in design.parts)
    still = step_svg(view_figure(design, "corner"))
    return (
        f'<div id="stage"><div class="still">{still}</div></div>\n'
        f'<p id="told">Open a part to see where it goes.</p>\n<div id="marks">{rows}</div>'
    )


def _part(design: Design, part: CutPart, system: str) -> str:
    """Return one part."""
    panels = [design.box.boards[name].panel for name in part.boards]
    where = ", ".join(f"{panel} {panels.count(panel)}" for panel in dict.fromkeys(panels))
    size = size_line((part.length, part.width, part.thickness), system)
    return (
        f'<details name="part" data-mark="{escape(part.mark)}"><summary><b class="mark">'
        f"{escape(part.mark)}</b> <span>{escape(size)} "
        f'<span class="many">{part.count} × {escape(part.role)}</span></span></summary>'
        f"<p>{escape(ends_text(part, system))}. In: {escape(where)}.</p></details>"
    )


def _panels(design: Design) -> str:
    """Return the map of each kind of panel, and what is drilled."""
    kinds = panel_kinds(design.box)
    if any(board.panel == "trellis" for board in design.box.boards.values()):
        kinds.append(("trellis",))
    found = [
        "<p>Outer face down, seen by who drives the screws. Hook the tape on the left edge and on "
        "the foot: each line tells how far its screws stand from there.</p>"
    ]
    for panels in kinds:
        frame, whole = map_svgs(design, panels[0])
        screws = [one.screw for one in mapped_screws(design, panels[0])]
        drill = "".join(
            f"<li>{count} screws {escape(kind)}: drill {escape(told)}. Sink the heads flush.</li>"
            for kind, count, told in drilled(design, screws)
        )
        found.append(
            f"<h3>{escape(panels_text(panels))}</h3>\n<figure>{frame}</figure>\n"
            f'<figure>{whole}</figure>\n<ul class="told">{drill}</ul>'
        )
    return "\n".join(found)


def _steps(design: Design, *, with_jigs: bool) -> str:
    """Return the steps at the bench, each with its figure, its sentences and a tick."""
    numbers = itertools.count(1)
    found = []
    for group in step_groups(step_pictures(design)):
        found.append(f"<h3>{escape(group.title)}</h3>")
        for one in group.pictures:
            number, title = next(numbers), step_title(one.step)
            taken = ", ".join(
                f"{mark} × {count}"
                for mark, _, count in marks_counted(design, boards_in_hand(one.step, design.box))
            )
            lines = [f"Take {taken}."] if taken else []
            lines += step_lines(design, one.step)
            jig = jigs_for(design, one.step) if with_jigs else ""
            lines += [f"Jig: {jig}."] if jig else []
            told = "".join(f"<li>{escape(line)}</li>" for line in lines)
            found.append(
                f'<section class="step" aria-label="step {number}"><ul class="ticks wide">'
                + tick(f"step-{number}", f"<b>{number}</b> {escape(title)}", f"step {number}")
                + f"</ul>\n<figure>{step_svg(one.figure)}</figure>\n"
                f'<ul class="told">{told}</ul></section>'
            )
    return "\n".join(found)


def _kits(batch: PrintedBatch) -> str:
    """Return a card a box: its trays to tick as they are filled, and its screws."""
    return "\n".join(_cards(batch))


def _cards(batch: PrintedBatch) -> Iterator[str]:
    """Yield the cards."""
    yield "<p>Lay the pieces box by box, tray by tray. A box's steps are in its own packet.</p>"
    for card in kit_content(batch)["cards"]:
        trays = "".join(
            tick(
                f"box-{card['number']}-{tray}",
                f'<b>{escape(tray)}</b> <span class="of">{escape(pieces)}</span>',
                f"box {card['number']}, tray {tray}",
            )
            for tray, pieces, _ in card["trays"]
        )
        yield (
            f"<h3>Box {card['number']}: {escape(card['title'])}</h3>\n"
            f'<ul class="ticks wide">{trays}</ul>\n<p>{escape(card["screws"])}</p>'
        )
