"""What a step says: what to take up, where the screws go, what to watch for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from palewright.assembly_steps import AssemblyStep
from palewright.boards import Board
from palewright.design import Design
from palewright.joints import Screw
from palewright.units import print_length
from palewright_drawings.plan_steps import (
    ScrewGroup,
    places_along,
    places_text,
    screw_groups,
)
from palewright_drawings.plan_texts import screw_text

_HINTS = (
    ("lay the frame out", "On a flat bench. Close every joint, square it, and clamp it."),
    ("turn the panel over", "Drill and sink from the outer face."),
    ("lay the uprights", "Lower ends in one line."),
    ("lay the front panel down", "The front lies on its outer face, on packing that keeps it "
     "level. Each side stands on end in its lip, its outer face flush with the stile's edge."),
    ("stand the box on its feet", "Clamp, square, drill, drive."),
    ("seat the back", "Measure both diagonals of the box: equal is square. Clamp, drill, drive."),
    ("drop the slat", "Loose, not screwed: they lift out to be cleaned. Leave the same gap "
     "between all."),
    ("slide the slat", "Between the posts, one after the other; leave the same gap between all."),
    ("screw the slat", "Turn the box over. Leave the same gap between all."),
    ("screw the packers", "Upright, each behind its trellis upright."),
    ("lay the cap on", "Lay all four boards loose, close the corners, even the overhang all "
     "round, then drill, sink and drive."),
    ("lay on three", "Front and sides only; lay the back board on loose to close the corners."),
    ("slide the open", "Two people: lift it, do not drag it. The stand holds the tree, not the "
     "box."),
    ("close the back", "The back panel and its cap board close the box; these screws come out "
     "again when the tree goes."),
    ("lower the box", "Before the tree goes into its stand."),
    ("drop the trellis", "The uprights go down behind the cap, in front of their packers."),
)  # fmt: skip
"""What to watch for in a step, by how its text begins."""


def step_lines(design: Design, step: AssemblyStep) -> list[str]:
    """Return the sentences of a step, in the order of work."""
    lines = [hint for start, hint in _HINTS if step.text.startswith(start)][:1]
    return [*lines, *_places(design, step), *_screw_lines(design, step.screws)]


def _places(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield where in a panel what is added comes to lie."""
    system, sizes = design.parameters.product.units, design.box.sizes
    if not step.panels:
        return
    added = [design.box.boards[name] for name in step.added]
    roles = {board.role for board in added}
    if roles & {"stave", "filler"}:
        inset = sizes.lip if step.panels[0] in ("front", "back") else sizes.setback
        yield (
            "Top ends flush with the top of the frame; the first and the last "
            f"{print_length(inset, system)} in from the stiles' outer edges."
        )
    if "cleat" in roles:
        high = print_length(max(p[2] for b in added for p in b.corners()), system)
        yield f"It lies level, its upper edge {high} above the stiles' lower ends."
    if "post" in roles:
        low = print_length(min(p[2] for b in added for p in b.corners()), system)
        yield f"Flush with the top; their lower ends {low} above the stiles' lower ends."


def _screw_lines(design: Design, screws: Sequence[Screw]) -> Iterator[str]:
    """Yield a line for screws that go in alike: how many, which, where."""
    done: dict[tuple[str, str, str, tuple[float, ...]], list[ScrewGroup]] = {}
    for group in screw_groups(screws):
        board = design.box.boards[group.through]
        first = group.screws[0]
        places: tuple[float, ...] = ()
        role = ""
        if first.use in ("corner", "post", "cap"):
            role = board.role
            places = tuple(round(place, 1) for place in places_along(group, board))
        kind = screw_text(first.kind, design.parameters.product.units)
        done.setdefault((first.use, kind, role, places), []).append(group)
    for (use, kind, _, places), alike in done.items():
        if places:
            places = tuple(places_along(alike[0], design.box.boards[alike[0].through]))
        yield _screw_line(design, use, kind, places, alike)


def _screw_line(
    design: Design, use: str, kind: str, places: tuple[float, ...], alike: list[ScrewGroup]
) -> str:
    """Return one line of screws."""
    system = design.parameters.product.units
    count = sum(len(group.screws) for group in alike)
    board = design.box.boards[alike[0].through]
    told = f"{count} screws {kind}{_WHERE[use]}"
    if use == "cap":
        told += f" into {'the rails' if len(alike) > 1 else 'the rail'}"
    where = places_text(places, system)
    if where:
        each = f"{len(places)} each, " if len(alike) > 1 else ""
        told += f": {each}{where} {_from(board)}"
    elif use == "wall":
        told += f", no further apart than {print_length(design.parameters.screws.pitch, system)} "
        told += "along stiles and braces, where the picture shows them"
    return told + "."


_WHERE = {
    "wall": " from this side, through the staves into the frame",
    "corner": " through the stile into the edge of the side's stile",
    "post": " through stile and stave into the post",
    "cap": " down through the cap",
    "floor": " up through the slats, where the picture shows them",
    "cleat": " through the cleat into the wall",
    "trellis": ", one at each crossing or two in each packer, where the picture shows them",
}
"""Where the screws of each use go in."""


def _from(board: Board) -> str:
    """Return from where the places of screws along a board are measured."""
    if abs(board.placement.grain[2]) > 0.5:
        return "up from the stile's lower end"
    return "from the end of the board, at its longer edge"
