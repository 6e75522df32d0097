"""Check that the parts come together on straight paths, in the stated order."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.joints import BuildStep
from palewright.fit.cases import FitCase, check
from palewright.fit.checks.trees import cleared, past_wall, stand_too_wide
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, raised, set_to, words
from palewright.reading.lengths import both_units
from palewright.solids.convex_prisms import Prism


@check("PW401")
def assembly_paths(fit: FitCase) -> Iterator[Finding]:
    """Find parts that run into others on their way home (PW401); each board's worst meeting."""
    prisms = fit.prisms
    placed: list[int] = []
    for step in fit.box.steps:
        moving = [prisms.index[name] for name in step.boards]
        still = [i for i in placed if i not in set(moving)]
        for board in moving:
            yield from _blocked(board, step, still, fit)
        placed = still + moving


def _blocked(board: int, step: BuildStep, still: list[int], fit: FitCase) -> Iterator[Finding]:
    """Find what one board meets on its way."""
    prisms, limit = fit.prisms, fit.tolerances.clash_volume
    name = prisms.names[board]
    for swept in _sweeps(prisms.prisms[board], step):
        met = {prisms.names[i]: prisms.prisms[i] for i in prisms.meeting(swept, still)}
        if not (stand_too_wide(fit) and fit.box.boards[name].role != "slat"):  # else PW601 tells
            met |= {o: fit.obstacles[o] for o in step.obstacles if o in fit.obstacles}
        for other, prism in met.items():
            if (name, other) in fit.blocked:
                continue  # PW102 tells
            shared = swept.overlap(prism)
            if shared.volume > limit:
                deep = shared.depth
                if other in fit.obstacles:
                    deep = max(deep, past_wall(name, float(prism.high[0]), fit))
                yield Finding(
                    "PW401",
                    (name, other),
                    deep,
                    0.0,
                    "mm",
                    f"to {step.text}, {name} would have to pass {both_units(deep)} through {other}",
                    *_remedy(name, other, deep, fit),
                    group=f"{_mover(name, fit)}/{_part(other)}",
                    brief=f"{name} meets {other} on its way in, {both_units(deep)} deep",
                )


def _mover(name: str, fit: FitCase) -> str:
    """Return what runs into something: the floor with its cleats, or a sub-assembly."""
    return "floor" if fit.box.boards[name].role in ("slat", "cleat") else _part(name)


def _part(name: str) -> str:
    """Return the sub-assembly of a board's name, or the obstacle's name."""
    return name.partition(".")[0]


def _sweeps(prism: Prism, step: BuildStep) -> Iterator[Prism]:
    """Return what a prism passes through on each leg of its path, the last leg first."""
    for leg in reversed(step.path):
        swept = prism.swept([-x for x in leg])
        yield swept
        prism = prism.moved([-x for x in leg])


def _remedy(name: str, other: str, depth: float, fit: FitCase) -> Remedy:
    """Return what clears the way."""
    parameters = fit.box.parameters
    system = parameters.product.units
    role = fit.box.boards[name].role
    if other in ("stand", "trunk"):
        return cleared(name, float(fit.obstacles[other].high[0]), fit)
    if role == "slat" and other.startswith("cap."):
        return set_to("floor.kind", "none")  # a floor cannot be laid once the cap is on
    if "trellis" in name:
        return raised("trellis.play", parameters.trellis.play, depth, system)
    if role in ("slat", "cleat"):
        return raised("floor.play", parameters.floor.play, depth, system)
    walls = {_part(name), _part(other)} <= {"front", "back", "left", "right"}
    if walls and "post" not in (role, fit.box.boards[other].role):
        return raised("panel.lip", fit.box.sizes.lip, depth, system)
    return words("")
