"""Every threshold of the fit proof, named, with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.units import INCH


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

    edge_advised: float = 2.5
    """Advised edge distance in screw diameters (NDS 2018 Commentary, Table C12.1.5.7)."""

    end_advised: float = 10.0
    """Advised end distance in diameters, holes drilled first, tension (Table C12.1.5.7)."""

    end_cover: float = 3.0
    """Least end distance in diameters even when drilled first (common practice, no source)."""

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
