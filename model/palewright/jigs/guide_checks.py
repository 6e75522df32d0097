"""What may be wrong with the guide holes of a plate."""

from __future__ import annotations

import math

from palewright.geometry.contours import edge_distance
from palewright.jigs.records import JigPart

LEAST_WEB = 1.5
"""Least wood (mm) round a guide hole, or it breaks out (common practice, no source)."""


def guide_fault(plate: JigPart) -> str:
    """Return what is wrong with a plate's guide holes, in words; empty where nothing is."""
    drills = sorted(plate.drills, key=lambda drill: drill.centre)
    for drill in drills:
        if edge_distance(plate.contour, drill.centre) < drill.diameter / 2 + LEAST_WEB:
            return "a screw sits so near a border that its guide hole would break out"
    for i, drill in enumerate(drills):
        reach = drill.diameter + LEAST_WEB
        for other in drills[i + 1 :]:
            if other.centre[0] - drill.centre[0] > reach:
                break
            if math.dist(drill.centre, other.centre) < reach:
                return "two screws are so near each other that their guide holes would meet"
    return ""
