"""Cautions at the saw: each printed only where a plan's own cuts ask for it.

General text, common practice without a source, that defers to the machine's manual.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from palewright.cutting_stock import CutPlan
from palewright.reading.lengths import print_length, up_to_shop
from palewright.sawing.saw_lists import GAUGE_REACH, SAFE_BLOCK, SAFE_PIECE, SawStep, saw_steps
from palewright_drawings.texts.cautions import NARROW

_SAW = (
    "Follow the saw's manual and local workshop rules: guard and riving knife on, eye and ear "
    "protection, boards dry, straight against the fence and free of nails. Unplug before a setting."
)
_STOP = (
    "Never use the rip fence as the stop of a crosscut: the piece jams between blade and fence and "
    "is thrown. Clamp a stop block well before the blade, or to the mitre gauge's own fence."
)
_FIRST = (
    "Cut one piece of each setting, measure it, then cut the rest. Mark every piece with its "
    "part and number as it leaves the saw. Where a knot spoils one, use an offcut or a spare."
)
_MITRE = (
    "Angles are read on the mitre gauge (or the mitre saw's table), across the board's face; the "
    "blade stays upright. Set them with the jig or on scrap, and cut both mating parts of a joint."
)
_STEEP = (
    "Most mitre gauges and saws end at 45 to 60° off square. Steeper ends: lay the line out with "
    "the jig and cut by hand, or hold the piece in a taper jig or against a tall auxiliary fence."
)


def saw_cautions(plans: Sequence[CutPlan], system: str) -> Iterator[str]:
    """Yield the cautions that apply to these plans, in the order of the work."""
    steps = [step for plan in plans for step in saw_steps(plan)]
    block, piece = (print_length(up_to_shop(x, system), system) for x in (SAFE_BLOCK, SAFE_PIECE))
    yield _SAW
    yield _FIRST
    narrow = _sizes([s for s in steps if s.stage == 2], NARROW)
    if narrow:
        yield (
            f"Narrow rips, down to {print_length(min(narrow), system)}: push stick or push block, "
            "never fingers; leave the strip on the far side of the blade where the fence would "
            "bring the hand near it."
        )
    if any(line.short for step in steps if step.stage == 2 for line in step.lines):
        yield (
            f"Blocks marked ! are shorter than {block}: do not push "
            "them along the fence by hand. Rip them on a sled that holds them down, or on a band "
            "saw."
        )
    if any(step.stage in (1, 3) for step in steps):
        yield _STOP
    if any(
        0 < line.size < SAFE_PIECE for step in steps if step.stage in (1, 3) for line in step.lines
    ):
        yield (
            f"Pieces marked ! are shorter than {piece}: clamp them "
            "down or cut them on a sled; leave no hand between stop and blade."
        )
    if any(step.angle for step in steps):
        yield _MITRE
    if any(step.angle > GAUGE_REACH for step in steps):
        yield _STEEP


def _sizes(steps: Sequence[SawStep], below: float) -> list[float]:
    """Return the settings below a size, mm."""
    return [line.size for step in steps for line in step.lines if line.size < below]
