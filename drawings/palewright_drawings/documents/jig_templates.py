"""Paper templates of jigs at full size, to paste on plywood and cut by hand.

Plates have one, however large; of the other parts those that a single sheet holds. Fences that are
longer are plain strips: the plan gives their sizes.
"""

from __future__ import annotations

from dataclasses import replace

from palewright.design import Design
from palewright_drawings.documents.template_tiling import tile_count
from palewright_drawings.figures.jigs import flat_figure
from palewright_drawings.figures.slanted_ends import HEAD, TITLE, Template, title_mark
from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import moved_marks
from palewright_drawings.paper.text_metrics import shortened, text_width


def jig_templates(design: Design, room: tuple[float, float]) -> list[Template]:
    """Return the templates of all jigs, in the order in which they were made.

    Args:
        design: the box.
        room: width and height (mm) that a sheet has for a drawing.
    """
    tool = design.parameters.saw.tool
    found = []
    for jig in design.jigs.jigs:
        for part in jig.parts:
            title = f"{jig.title}: {part.name}, {jig.material}, cut {jig.count}"
            title = shortened(title, TITLE, "bold", room[0] - 1.0)
            figure = flat_figure(replace(jig, parts=(part,)), tool)
            ways = [_template(one, title) for one in (figure, _turned(figure))]
            best = min(ways, key=lambda one: tile_count(one.width, one.height, room))
            if part is jig.plate or tile_count(best.width, best.height, room) == 1:
                found.append(best)
    return found


def _template(figure: Figure, title: str) -> Template:
    """Return a figure at full size below its title; areas are left out when it is cut to sheets."""
    placed = place(figure, 1.0)
    marks = (title_mark(title), *moved_marks(placed.marks, 0.0, HEAD))
    width = max(placed.width, text_width(title, TITLE, "bold"))
    return Template(title, marks, width, placed.height + HEAD)


def _turned(figure: Figure) -> Figure:
    """Return a figure of lines and circles a quarter turn round."""
    return replace(
        figure,
        strokes=tuple(
            replace(one, points=tuple((-y, x) for x, y in one.points)) for one in figure.strokes
        ),
        rounds=tuple(replace(one, centre=(-one.centre[1], one.centre[0])) for one in figure.rounds),
    )
