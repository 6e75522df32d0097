"""Every threshold of the fit proof, named, with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.reading.lengths import INCH


@dataclass(frozen=True, slots=True)
class Tolerances:
    """Thresholds of the checks: lengths in mm, areas in mm², volumes in mm³, angles in degrees."""

    clash_volume: float = 1.0
    """A shared volume below this is rounding: 0.004 mm over a joint of 16 × 16 mm."""

    touch: float = 0.02
    """Two faces nearer than this touch: far below what a saw holds, far above rounding."""

    seat_gap: float = 0.0
    """An inner panel must not need force to enter its lip."""

    seat_slack: float = 0.5 * INCH
    """More play than this lets a side panel be screwed on askew (common practice, no source)."""

    contact_per_screw: float = 150.0
    """Wood under one screw: a #8 head (7.9 mm) and its own width around it (common practice)."""

    contact_glued: float = 200.0
    """Least area worth gluing or bearing on (common practice, no source)."""

    bearing_length: float = 0.3125 * INCH
    """Least length of slat on a cleat: half of a 5/8 in cleat (common practice, no source)."""

    edge_cover: float = 1.5
    """Least wood from a screw's axis to any face it runs along, in screw diameters; nearer splits
    the board whatever is drilled first (common practice, no source)."""

    tied: tuple[tuple[float, float], ...] = ((1.55, 6.05), (1.55, 3.05))
    """Distances to edge and end, in diameters, with which a stave ties a stile to its rails: the
    least to an edge with more, then with the least, to an end; a hair over, so that there is
    room."""

    edge_advised: float = 2.5
    """Advised edge distance in screw diameters (NDS 2018 Commentary, Table C12.1.5.7)."""

    end_advised: float = 10.0
    """Advised end distance in diameters, holes drilled first, tension (Table C12.1.5.7)."""

    end_cover: float = 3.0
    """Least end distance in diameters even when drilled first (common practice, no source)."""

    apart: float = 3.0
    """Least distance between screws of one row, in diameters: rows in line, holes drilled first
    (NDS 2018 Commentary, Table C12.1.5.7)."""

    least_bite: float = 4.0
    """Least length of a screw in the board that holds its thread, in diameters: the tapered point
    is 2 (NDS 2018, Table L3, footnote), and two more of full thread hold (judgement)."""

    thin_bite: float = 0.5
    """In a board thinner than that the point may go through this share of the thinnest one: a screw
    that stays under the face of 5/8 in boards can do no better (judgement)."""

    bedding: float = INCH / 8 + 0.01
    """Widest gap that gap-filling construction adhesive is laid over, under cleats and packers on
    staves of unequal thickness (common practice, no source)."""

    drawn: float = 0.25 * INCH
    """Widest gap over which a screw draws an upright to its packer: a strip of 3/4 x 1-1/2 in that
    stands out 16 in bends so far under some 10 lb (statics of a cantilever; a judgement)."""

    end_held: float = 1 / 3
    """A board's end is held where a screw comes within this share of its length (judgement) ..."""

    end_held_diameters: float = 20.0
    """... or within twice the advised end distance, in diameters: no nearer is asked of a short
    board."""

    point_cover: float = 1.0
    """Least wood left beyond a screw's point; less telegraphs through soft pine (practice)."""

    screw_air: float = 0.5
    """Least wood between the surfaces of two screws, in diameters (common practice, no source)."""

    stile_match: float = INCH / 16
    """Widths that look equal round a corner: the eye sees more than a sixteenth (practice)."""

    drain_gap: float = INCH / 8
    """Narrower gaps clog with roots and swell shut (common practice, no source)."""

    soil_gap: float = 0.75 * INCH
    """Wider gaps lose soil where there is no liner (common practice, no source)."""

    drain_height: float = 0.5 * INCH
    """Least clear height under a floor, or the box sits in its own water (practice)."""

    near_angle: float = 3.0
    """Saw settings closer than this are worth making one (common practice, no source)."""

    same_angle: float = 0.25
    """Angles closer than this are one saw setting: a bevel scale shows half a degree at best."""


TOLERANCES = Tolerances()
