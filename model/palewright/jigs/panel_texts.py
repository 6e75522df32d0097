"""What a panel jig says: engraved on its plate, the numbers it sets, and its steps of use."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.catalogue.screws import ScrewKind
from palewright.jigs.drill_texts import drill_steps, stop_lines
from palewright.jigs.panel_plates import PlateDraft
from palewright.jigs.plates import PlatePlan
from palewright.jigs.records import DrillStop, JigPart, Reversal, Words
from palewright.jigs.registry import Bench
from palewright.jigs.text_places import Room


def panels_text(panels: list[str]) -> str:
    """Return the panels in words: ``front and back panel``."""
    return f"{' and '.join(panels)} panel{'s' if len(panels) > 1 else ''}"


def panel_words(
    bench: Bench,
    draft: PlateDraft,
    plan: PlatePlan,
    stops: tuple[DrillStop, ...],
    screw: ScrewKind,
    plate: JigPart,
    reversal: Reversal,
) -> tuple[Words, ...]:
    """Return what is engraved: which edge faces where, then the name and the drill's numbers.

    Args:
        bench: box and jig settings.
        draft: the plate's outline and holes.
        plan: of the plate.
        stops: of the drills.
        screw: that the holes are for.
        plate: what is engraved.
        reversal: how it is turned for the other half.
    """
    letter = bench.parameters.jig.letter
    room = Room((0.0, 0.0), (plan.right, plan.top), plate.drills)
    ends = {end for _, end in draft.corners}
    if reversal == "half turn":
        below, beside = "FOOT OR TOP", "EITHER STILE"
    else:
        below = "FOOT" if ends == {"foot"} else "TOP" if ends == {"top"} else "FOOT OR TOP"
        sides = {side for side, _ in draft.corners}
        beside = "EITHER STILE" if len(sides) > 1 else f"{sides.pop().upper()} STILE"
    words = room.write([below], letter, (plan.right / 2, 0.0))
    words += room.write([beside], letter, (0.0, plan.top / 2), upright=True)
    if draft.share[1] == 1 and ends == {"foot"} and reversal != "half turn":
        words += room.write(["TOP"], letter, (plan.right / 2, plan.top))
    panels = list(dict.fromkeys(view.name.upper() for view, _, _ in draft.uses))
    lines = [bench.title, f"{' + '.join(panels)} PANEL"]
    whole = draft.share == (1, 1)
    way = "THIS FACE UP, EITHER WAY ROUND" if whole else "HALF A TURN FOR THE OTHER HALF"
    lines.append(
        {"": "THIS FACE UP", "half turn": way}.get(reversal, "TURN OVER FOR THE OTHER HALF")
    )
    lines.append(f"{len(draft.pattern)} HOLES  {screw.label.upper()}")
    lines += stop_lines(bench, stops)
    words += room.write_all(lines, letter, (plan.right / 2, plan.top / 2))
    return tuple(words)


def fixed_numbers(plan: PlatePlan, stops: tuple[DrillStop, ...]) -> dict[str, float]:
    """Return the numbers that the jig sets."""
    found = {"fence height": plan.strip.height}
    if plan.inset:
        found["stave inset"] = plan.inset
    if plan.rise:
        found["stave rise"] = plan.rise
    if plan.leg:
        found["rail height"] = plan.leg
    return found | {f"{stop.use} stop": stop.stop for stop in stops}


def panel_steps(
    bench: Bench,
    draft: PlateDraft,
    plan: PlatePlan,
    stops: tuple[DrillStop, ...],
    panels: list[str],
    reversal: Reversal,
) -> Iterator[str]:
    """Yield how the jig is used.

    Args:
        bench: box and jig settings.
        draft: the plate's outline and holes.
        plan: of the plate.
        stops: of the drills.
        panels: names of those that it serves.
        reversal: how it is turned for the other half.
    """
    yield (
        f"Lay the frame of the {panels_text(panels)} face down on the bench and the staves on "
        "it, where they are to be fixed."
    )
    flush = draft.view.stave_rise <= 0
    yield (
        "Lay the jig on the staves and push the panel into its fences: stile against the side "
        f"fence, rail {'and staves ' if flush else ''}against the end fence. Clamp it at the free "
        "corner."
    )
    if plan.inset:
        yield (
            f"Push the first stave against the stop: it stands {bench.length(plan.inset)} from "
            "the stile's edge."
        )
    if plan.rise:
        yield (
            f"Push all staves against the end stop: they end {bench.length(plan.rise)} from the "
            "rail's edge."
        )
    elif not flush:
        rise = bench.length(draft.view.stave_rise)
        yield f"Measure where the staves end, {rise} from the rail's edge: the jig does not set it."
    yield from drill_steps(bench, stops)
    if len(draft.uses) > len(panels):
        how = {
            "turned over": "turn the jig over, other face up",
            "half turn": "turn it half round on the panel",
        }
        moved = how.get(reversal, "take the jig for the other part")
        yield f"Then {moved}, push it into the other corner, and drill the rest."
    elif reversal == "half turn":
        yield "The spacing is the same a half turn round: it cannot be laid the wrong way."
