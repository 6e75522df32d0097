"""Where each number of the loads comes from: published, statics, a judgement, or from memory."""

from __future__ import annotations

from palewright.catalogue.fillings import FRICTION_ANGLE
from palewright.loads.board_bending import CREEP
from palewright.loads.overturning import DRAG, FRICTION, OVERTURNING
from palewright.loads.screw_forces import JERK

JUDGED = "judgement"
RECALLED = "from memory"
"""What a limit says that nobody published, or that was not read again."""

_WIND = f"ASCE 7, 26.10 (q = .00256 V²); drag of {DRAG:g} a {JUDGED}"
_BENDING = f"half of No. 2 in NDS Supplement 4A and 4B, wet: a {JUDGED}, for boards without a grade"

BASES = {
    "weights": "volumes less their holes, at 12 % moisture; the filling as soil.source says",
    "weights.fresh": f"the same, wet as site.bought_at says: Wood Handbook ch. 4, {RECALLED}",
    "weights.watered": f"moist weight of the mix, chosen among measured ones: a {JUDGED}",
    "soil.side_pressure_kpa": "K0 of soil at rest, 1 - sin φ (Jaky 1944); friction angle "
    f"{FRICTION_ANGLE:g}°, a {JUDGED}",
    "soil.flooded_pressure_kpa": "statics: water as deep as the soil; told, not judged",
    "bending.stress_mpa": f"statics of simple beams ({RECALLED}); the thinnest board of the stock",
    "bending.assumed_mpa": f"{_BENDING}, x .9 for a lasting load",
    "bending.breaking_mpa": "Wood Handbook Table 5-3b: clear green wood, average",
    "bending.sag_mm": f"statics; {CREEP:g} times the first sag after years, a {JUDGED}",
    "screws.pulled_n": f"statics; lifted quickly, {JERK:g} times the weight, a {JUDGED}",
    "screws.value_n": "NDS 2018, 11.3, 12.2 and 12.3: reference values, wet (.7), duration; a tip "
    f"alone, 2 D of Table L3, is given nothing, a {JUDGED}; in "
    "shear for the lead holes of 12.1.5.3, which are not those drilled here",
    "movement": "shrinkage of the wood's table; moisture as movement.source says",
    "stance.deck_pressure_kpa": "statics: soaked weight over the footprint",
    "stance.tips_in_wind_m_s": _WIND,
    "stance.stands_wind_m_s": f"the same; factor {OVERTURNING:g} against overturning, {RECALLED}",
    "stance.tips_by_pull_n": f"statics; slides at {FRICTION:g} of its weight, {RECALLED}",
    "stance.one_person_lifts_kg": f"NIOSH 94-110; multipliers of grip and how often {RECALLED}",
    "stance.two_people_lift_kg": f"twice one's with the hands nearer, likewise; twice a {JUDGED}",
    "trellis.wind_n": _WIND,
    "trellis.screws": f"pull shared by distance from the edge it turns about: a {JUDGED}",
    "trellis.assumed_mpa": f"{_BENDING}, x 1.6 in a gust",
}
"""By the key of the loads' JSON: its source and status."""
