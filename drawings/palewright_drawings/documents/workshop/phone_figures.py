"""Figures at the size of a phone: their letters are read at arm's length, wide ones are scrolled.

A mm of "paper" is shown as some 4 px: 90 mm are the width of a phone held upright.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from palewright.design import Design
from palewright.sawing.numbered_plans import NumberedPlan
from palewright_drawings.documents.plan.layout_pictures import layout_marks
from palewright_drawings.documents.plan.numbered_cuts import boards_text
from palewright_drawings.documents.plan.pictures import DENOMINATORS
from palewright_drawings.documents.plan.sections import layout_scale
from palewright_drawings.figures.panel_maps import mapped_screws, screw_map
from palewright_drawings.figures.panels import panel_figures
from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.svg import inline_svg

_WIDE, _HIGH = 88.0, 110.0
"""mm that a figure may take: as wide as a phone, and not higher than what is seen at once."""

_BOARD = 200.0, 30.0
"""mm that a board may take: it fits a phone held level, and is scrolled on one held upright."""


def layout_svgs(plan: NumberedPlan, system: str) -> list[str]:
    """Return the board layouts of one stock, in order, all at one scale."""
    board, kerf, scale = plan.plan.demand.board, plan.plan.plan.kerf, layout_scale(plan, *_BOARD)
    return [
        inline_svg(*drawn, f"How {boards_text(one.boards)} is cut")
        for one in plan.layouts
        for drawn in [layout_marks(one, board, kerf, scale, system)]
    ]


def map_svgs(design: Design, panel: str) -> tuple[str, str]:
    """Return a panel's frame, and the whole panel with the distances of its screws."""
    frame, whole = panel_figures(design, panel)
    screws, system = mapped_screws(design, panel), design.parameters.product.units
    return _svg(frame.figure.bounds, frame.at), _svg(
        whole.figure.bounds, lambda scale: screw_map(whole.at(scale), screws, scale, system)
    )


def step_svg(figure: Figure) -> str:
    """Return a figure as it stands."""
    return _svg(figure.bounds, lambda _: figure)


def _svg(bounds: tuple[float, float, float, float], at: Callable[[float], Figure]) -> str:
    """Return a figure at the largest scale at which it fits a phone, held level if need be.

    Args:
        bounds: of its drawing, mm of the model.
        at: gives the figure for a scale: what it says may depend on it.

    Raises:
        ValueError: if it does not fit even at the least scale.
    """
    x0, y0, x1, y1 = bounds
    for width in (_WIDE, _BOARD[0]):
        for denominator in DENOMINATORS:
            scale = 1 / denominator
            if (x1 - x0) * scale < width and (y1 - y0) * scale < _HIGH:
                placed = place(at(scale), scale)
                if placed.width <= width and placed.height <= _HIGH:
                    svg = inline_svg(placed.marks, placed.width, placed.height, placed.figure.alt)
                    return svg if width == _WIDE else scrolled(svg, placed.figure.title)
    raise ValueError(f"a figure of {x1 - x0:g} x {y1 - y0:g} mm fits no phone")


def scrolled(svg: str, title: str) -> str:
    """Return a wide drawing that is scrolled along where there is too little room for it."""
    told = escape(title)
    return f'<div class="board" tabindex="0" role="group" aria-label="{told}">{svg}</div>'
