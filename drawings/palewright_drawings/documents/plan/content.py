"""``plan.pdf``: everything that the printed plan says, for the bench and to sell.

Pictures are SVG of a known size in mm; the template puts them where they belong. Shares of a page
that a picture takes are judged by eye, so that its page has room for its words.
"""

from __future__ import annotations

from palewright.construction.liners import filling_top, liner_of
from palewright.design import Design
from palewright.parameters.variant_files import Relatives
from palewright.reading.lengths import print_length
from palewright.sawing.numbered_plans import NumberedPlan, numbered_plans
from palewright_drawings.dimensioning.sheets import paper_for, view_sheets
from palewright_drawings.documents.plan import sections
from palewright_drawings.documents.plan.cover import HEIGHT as COVER_HEIGHT
from palewright_drawings.documents.plan.cover import Photo, accent_of, cover_picture
from palewright_drawings.documents.plan.jigs import jig_notes, jigs
from palewright_drawings.documents.plan.loads import loads
from palewright_drawings.documents.plan.maps import maps
from palewright_drawings.documents.plan.pictures import (
    fitted,
    picture_of,
    picture_of_marks,
)
from palewright_drawings.documents.plan.sold_words import at_a_glance, strength_lines
from palewright_drawings.documents.plan.texts import (
    HAIR,
    LIP,
    WORDS,
    foot_text,
    kind_text,
    liner_text,
    title_of,
)
from palewright_drawings.documents.plan.told_steps import told_steps
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.figures.exploded_view import exploded_figure
from palewright_drawings.figures.section_marks import marked_section
from palewright_drawings.output.json_data import Json
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.paper.pages import PAPERS
from palewright_drawings.paper.text_metrics import FAMILY, TEXT_FAMILY
from palewright_drawings.texts.cut_texts import saw_key
from palewright_drawings.texts.saw_cautions import saw_cautions

MARGIN = 18.0
"""Clear paper round a page of the plan, mm: room for a punch and a thumb."""

STEP_SHARE = 0.46  # beside its words
STEP_HEIGHT = 0.15
"""Shares of the page's width and height that the picture of a step takes."""

_SECTION_SHARES = (0.74, 0.62, 0.5, 0.4, 0.3, 0.22)
"""Shares of the page's height of which the section takes the largest that it finds free."""

_SECOND_SECTION = 0.34
"""Share of the page's height of a second section at most."""


def paper_of(design: Design) -> tuple[float, float]:
    """Return width and height (mm) of the plan's paper, upright."""
    return PAPERS[paper_for(design)]


def plan_content(
    design: Design,
    progress: Progress,
    relatives: Relatives = tuple,
    to_sell: bool = False,
    in_batch: bool = False,
    photo: Photo | None = None,
) -> Json:
    """Return what the template of the plan takes.

    Args:
        design: the box.
        progress: told of each of five steps.
        relatives: gives name and parameters of the variants that share its base.
        to_sell: the edition for a buyer: without jigs, strength in a few lines.
        in_batch: the edition for a batch, whose own papers tell what is bought and sawn.
        photo: what the cover shows; None: the box as drawn.

    Raises:
        InputError: if a part does not fit its stock.
    """
    parameters = design.parameters
    width, height = paper_of(design)
    inner = (width - 2 * MARGIN, height - 2 * MARGIN)
    plans = [] if in_batch else numbered_plans(design.saw_plans)
    progress.advance()
    shown = {
        "cover": cover_picture(design, width, height * COVER_HEIGHT, photo).as_json(),
        "parts": sections.parts(design),
        "layouts": sections.layouts(plans, (inner[1], inner[0] / 3), parameters.product.units),
    }
    progress.advance()
    told = {
        **_words(design, plans),
        **(sold_words(design) if to_sell else bench_words(design)),
        "family-sizes": sections.family(design, relatives()),
        **_needs(design, plans, to_sell),
        "saw": sections.saw_list(plans, parameters.product.units),
        "saw-key": saw_key(plans),
        "pieces": sections.parts(design),
    }
    sawn = [one.plan.plan for one in plans]
    told["saw-cautions"] = [*saw_cautions(sawn, parameters.product.units)] if sawn else []
    progress.advance()
    shown["exploded"] = picture_of(
        fitted(exploded_figure(design), inner[0], inner[1] * _exploded_share(len(design.parts)))
    ).as_json()
    section = marked_section(design)
    shown["section"] = [
        picture_of(fitted(section, inner[0], inner[1] * share)).as_json()
        for share in _SECTION_SHARES
    ]
    # the cut the other way, where a low box leaves its page empty
    other = marked_section(design, "width" if section.name == "section-depth" else "depth")
    shown["section-too"] = picture_of(fitted(other, inner[0], inner[1] * _SECOND_SECTION)).as_json()
    shown["views"] = [
        picture_of_marks(sheet.marks, sheet.page.width, sheet.page.height, sheet.alt).as_json()
        for sheet in view_sheets(design, named=not to_sell)
    ]
    shown["jigs"] = [] if to_sell else jigs(design, inner[0], inner[1] * 0.42)
    progress.advance()
    shown["panels"] = maps(design, *inner, with_jigs=not to_sell, to_sell=to_sell)
    shown["steps"] = _steps(design, inner, with_jigs=not to_sell)
    progress.advance()
    return {
        "paper": {"width": width, "height": height, "margin": MARGIN},
        "family": [TEXT_FAMILY, FAMILY],
        "accent": accent_of(design),
        "step-width": round(inner[0] * STEP_SHARE, 3),
        **told,
        **shown,
    }


def _exploded_share(parts: int) -> float:
    """Return the share of a page's height for the box pulled apart: its parts stand below it."""
    return max(0.3, 0.48 - 0.02 * max(0, parts - 12))


def _words(design: Design, plans: list[NumberedPlan]) -> Json:
    """Return titles, notes and what the buyer is told."""
    parameters = design.parameters
    plan = parameters.plan
    roles = {board.role for board in design.box.boards.values()}
    words = [(role, told) for role, told in WORDS.items() if role in roles]
    return {
        "title": title_of(design),
        "foot": foot_text(design, paper_of(design)[0] - 2 * MARGIN - 30.0),
        "tagline": kind_text(parameters),
        "maker": plan.maker,
        "contact": plan.contact,
        "licence": plan.licence,
        "finish": plan.finish,
        "facts": at_a_glance(design, plans),
        "words": [*words, LIP, HAIR],
        "cautions": sections.cautions(design),
        "lumber": _lumber(design),
        "parts-note": _PARTS_NOTE if plans else f"{_PARTS_NOTE} {_BATCH_NOTE}",
        "layouts-note": sections.LAYOUTS_NOTE,
        "saw-note": sections.SAW_NOTE,
        "panels-note": _PANELS_NOTE,
        "views-note": _VIEWS_NOTE,
        "jigs-note": _JIGS_NOTE,
        "print-note": _PRINT_NOTE,
        "promise": _promise(design),
        "before-note": _before(design),
        "finishing": _finishing(design),
    }


def bench_words(design: Design) -> Json:
    """Return what only the maker reads: strength with its sources, jigs that are missing."""
    return {"loads": loads(design), "jig-notes": jig_notes(design), "strength": []}


def sold_words(design: Design) -> Json:
    """Return what stands in their place for a buyer."""
    return {"loads": None, "jig-notes": [], "strength": strength_lines(design)}


def _needs(design: Design, plans: list[NumberedPlan], to_sell: bool) -> Json:
    """Return what is bought and fetched."""
    parameters = design.parameters
    system = parameters.product.units
    needs = sections.needs(design, plans, jigs=bool(design.jigs.jigs) and not to_sell)
    needs["screw-note"] = (
        "Screws for outdoors with flat heads that sink (stainless, or coated for treated wood)."
    )
    if plans:
        more = " What is bought is a tenth more than what goes in, rounded up to five."
        needs["screw-note"] += more
    sizes = design.box.sizes
    drop = sizes.top - filling_top(parameters, sizes)
    return {"needs": needs, "liner": liner_text(liner_of(parameters, sizes), drop, system)}


_PARTS_NOTE = (
    "Lengths run along the grain, over everything: long point to long point where an end is "
    "slanted. The mark is written on each piece as it comes off the saw."
)
_BATCH_NOTE = (
    "The batch's saw plan says which boards they are cut from, its labels which box each piece is "
    "for. Where a batch has several kinds of box, marks there begin with the kind's number."
)
_VIEWS_NOTE = (
    "The box cut through its middle. The sheets that follow give every size that is set, each "
    "once: top above the front, right side beside it (third angle). A size with + is full, with - "
    "bare: a hair more or less."
)
_PANELS_NOTE = (
    "As it lies on the bench, outer face down, seen by who drives the screws: the frame, then with "
    "all that is screwed on. Circles are screws, dashed lines the frame below. Hook the tape on "
    "the left edge and on the foot: each line tells how far its screws stand from there."
)
_JIGS_NOTE = (
    "For one box you can do without; for ten they halve the work. Cut them from plywood by the "
    "templates or on a router, glue and screw the fences on square, and try each on scrap."
)
_PRINT_NOTE = (
    "Print with scaling switched off: 100 %, or actual size. Then measure the two squares below; "
    "where they are right, every drawing of this plan is to its scale. Text and layouts read "
    "at any size, but paper templates do not work at any other."
)


def _lumber(design: Design) -> str:
    """Return how far boards may vary."""
    stock, system = design.box.sizes.board, design.parameters.product.units
    thin, thick = print_length(stock.thinnest, system), print_length(stock.thickest, system)
    return (
        f"Boards are not what the tag says. Measure yours: this box closes on boards from {thin} "
        f"to {thick} thick. All are ripped to {print_length(stock.true_width, system)} first, so "
        "that boards of any width within the usual come out alike. Crowned, twisted and split "
        "boards go back."
    )


def _promise(design: Design) -> str:
    """Return what was checked, and what was not."""
    clear = [(case.seat_least, case.seat_greatest) for case in design.verdict.cases]
    told = ""
    if design.verdict.passed and clear:
        told = (
            "Every board and screw of this box was laid out and checked against every other, for "
            "thin, usual, thick and mixed lumber: nothing shares its place, every joint closes, "
            "every screw stays in the wood. "
        )
    return told + (
        "Nobody has judged it for the place where it will stand. Local codes, the manuals of your "
        "machines and licensed practice come first."
    )


def _before(design: Design) -> str:
    """Return what is done to the parts before the first step, and that the finish comes last."""
    species = design.parameters.materials.species
    treated = any(species[part.stock].treated for part in design.parts)
    glued = any(joint.kind == "glue" for joint in design.box.joints)
    what = "preservative on all cut ends" if treated else "the finish on all end grain"
    but = " but those that are glued" if glued else ""
    last = "The finish" if treated else "The rest of it"
    return (
        f"Before the first step brush {what}{but}, and let it dry. {last} comes last, on the "
        "whole box."
    )


def _finishing(design: Design) -> list[str]:
    """Return how the box is finished, line by line."""
    parameters = design.parameters
    lines = ["Break every edge that a hand meets with sandpaper, the cap's first."]
    if any(parameters.materials.species[part.stock].treated for part in design.parts):
        lines.append("Treated wood: wait until a drop of water soaks in before any finish goes on.")
    lines.append(parameters.plan.finish)
    if parameters.liner.fit:
        lines.append("When all is dry, fit the liner and slit it over the gaps of the floor.")
    if parameters.box.kind == "planter":
        lines.append("Fill it where it is going to stand, on two strips or feet, never on soil.")
    return lines


def _steps(design: Design, inner: tuple[float, float], *, with_jigs: bool) -> list[Json]:
    """Return the steps at the bench, in groups."""
    width, height = inner[0] * STEP_SHARE, inner[1] * STEP_HEIGHT
    return [
        {
            "title": title,
            "steps": [
                {
                    "number": one.number,
                    "title": one.title,
                    "lines": list(one.lines),
                    "take": [(mark, f"× {count}") for mark, count in one.take],
                    "jig": one.jig if with_jigs else "",
                    "drawing": picture_of(fitted(one.figure, width, height)).as_json(),
                }
                for one in steps
            ],
        }
        for title, steps in told_steps(design)
    ]


def plan_pdf(
    design: Design,
    progress: Progress | None = None,
    relatives: Relatives = tuple,
    to_sell: bool = False,
    in_batch: bool = False,
    photo: Photo | None = None,
) -> bytes:
    """Return the plan as PDF/UA-1; it tells the sizes of the variants of one family.

    Args:
        design: the box.
        progress: told of each step.
        relatives: gives name and parameters of the variants that share its base.
        to_sell: the edition for a buyer, else the one for the maker's bench.
        in_batch: leave the saw to the batch's own plan.
        photo: what the cover shows; None: the box as drawn.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("plan.pdf", 6)
    told = plan_content(design, progress, relatives, to_sell, in_batch, photo)
    content = pdf_of("plan", told)
    progress.advance()
    return content
