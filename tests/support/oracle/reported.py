"""The screws that report.json lists, against those that the holes show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from oracle.screws import INCH, NOMINAL, Found

NEAR = 0.01
"""Places and bites that differ by less (mm) are the same: they are listed to thousandths."""


def differences(
    listed: Sequence[Mapping[str, Any]], found: Mapping[str, Iterable[Found]]
) -> list[str]:
    """Return in words where listed screws and holes disagree; nothing where they are the same.

    Args:
        listed: ``screw_places`` of the report; heads and axes are those of nominal lumber.
        found: the screws of each lumber case that was read.
    """
    told = []
    for case, screws in found.items():
        rows = [*listed]
        for screw in screws:
            same = [row for row in rows if _alike(row, screw)]
            mine = min(same, key=lambda row: _off(row, screw), default=None)
            if mine is None or (case == "nominal" and _off(mine, screw) > NEAR):
                told.append(f"{case}: {' > '.join(screw.boards)} at {screw.head} is not listed")
                continue
            rows.remove(mine)
            bite = float(mine["bite_mm"][case])
            # of mixed lumber the least of several piles is listed, and one pile is read
            off = bite - screw.bite if case == "mixed" else abs(bite - screw.bite)
            if off > NEAR:
                told.append(
                    f"{case}: {' > '.join(screw.boards)} bites {screw.bite:.3f} mm, listed {bite}"
                )
        told += [f"{case}: {' > '.join(row['boards'])} has no holes" for row in rows]
    return told


def _alike(row: Mapping[str, Any], screw: Found) -> bool:
    """Whether a listed screw goes through the boards of one that was found, as thick, as it does.

    In other lumber than nominal the neighbours' thickness moves heads: the nearest is the same.
    """
    if tuple(row["boards"]) != screw.boards:
        return False
    size = str(row["screw"]).split(" ")[0]  # #6, or a tenth of a millimetre: 3.5
    inch = size.startswith("#")
    thick, near = (NOMINAL[int(size[1:])] * INCH, 1e-6) if inch else (float(size), 0.05)
    return (
        abs(thick - screw.diameter) < near
        and float(np.linalg.norm(np.array(row["axis"]) - screw.axis)) < 1e-4
    )


def _off(row: Mapping[str, Any], screw: Found) -> float:
    """Return how far (mm) a listed head is from the one that was found."""
    return float(np.linalg.norm(np.array(row["head_mm"]) - screw.head))
