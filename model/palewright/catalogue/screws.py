"""Screws as the trade names them, with the diameters that holes and distances need."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from functools import cache

from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH, millimetres, read_length, shop_inches


@dataclass(frozen=True, slots=True)
class Gauge:
    """Diameters of one screw gauge in mm.

    Source: NDS 2018, Appendix L, Table L3 (nominal, root and head diameter). Real deck-screw
    heads differ from the averages of that table: measure yours.
    """

    number: int
    diameter: float
    root: float
    head: float


_TABLE_L3 = {
    # number: (D, D_r, D_H) in inches
    6: (0.138, 0.113, 0.262),
    7: (0.151, 0.122, 0.287),
    8: (0.164, 0.131, 0.312),
    9: (0.177, 0.142, 0.337),
    10: (0.190, 0.152, 0.363),
    12: (0.216, 0.171, 0.414),
    14: (0.242, 0.196, 0.480),
}
GAUGES = {
    number: Gauge(number, *(round(inches * INCH, 4) for inches in row))
    for number, row in _TABLE_L3.items()
}
"""Gauges by number, mm."""

DENSE = 0.6
"""Specific gravity from which on wood is dense and wants wider pilots (NDS 2018, 12.1.5.2)."""

_DRILL_STEP, _METRIC_STEP = INCH / 64, 0.5
"""Drills are sold in 64ths of an inch, or in halves of a mm (common practice, no source)."""

_SCREW = re.compile(r"#?\s*(\d{1,2}(?:\.\d)?)\s*[x×]\s*(.+)", re.IGNORECASE | re.ASCII)
HOW_TO_WRITE = "write a screw as gauge x length, such as '#8 x 1 in', or '4.2 x 40 mm'"
_SHORTEST, _LONGEST = 0.5 * INCH, 6 * INCH
"""Lengths of screws, mm: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ScrewKind:
    """A screw one can buy, and what is drilled for it.

    Attributes:
        gauge: its diameters.
        length: under the flush head, mm.
        dense: whether its thread goes into dense wood; the same screw is bought either way, so
            kinds are equal without it.
        metric: whether it is sold by millimetres, and drilled for with metric drills.
    """

    gauge: Gauge
    length: float
    dense: bool = field(default=False, compare=False)
    metric: bool = field(default=False, compare=False)

    @property
    def diameter(self) -> float:
        """Nominal diameter, mm."""
        return self.gauge.diameter

    @property
    def size(self) -> str:
        """Return its thickness as it is sold: ``#8``, or ``4.2`` mm."""
        return f"{self.diameter:.1f}" if self.metric else f"#{self.gauge.number}"

    @property
    def label(self) -> str:
        """Return the name the shop uses: ``#8 x 1-1/4 in``, or ``4.2 x 30 mm``."""
        if self.metric:
            return f"{self.size} x {millimetres(self.length)}"
        return f"#{self.gauge.number} x {shop_inches(self.length, 16)}"

    @property
    def pilot(self) -> float:
        """Drill for the point side, mm, of the series of drills that go with it.

        70 % of the root, up to the next drill; in dense wood 90 %, up to the next that leaves the
        thread a hold, else down.

        Source: ASTM STP 38339S (1960), abstract: 70 % of the root held well in 11 woods; NDS 2018,
        12.1.5.2: about 90 % from a specific gravity of .6 on.
        """
        if not self.dense:
            return self._next_drill(0.7 * self.gauge.root)
        drill = self._next_drill(0.9 * self.gauge.root)
        return drill if drill < self.gauge.root else drill - self._drill_step

    def into(self, gravity: float | None) -> ScrewKind:
        """Return this screw as it is drilled for in a wood of a specific gravity (NDS 12.3.3A).

        A wood of unknown gravity is taken for one that is not dense: the checks say it is unknown.
        """
        dense = gravity is not None and gravity >= DENSE - 1e-9
        return self if dense == self.dense else replace(self, dense=dense)

    @property
    def clearance(self) -> float:
        """Drill for the head side, mm: the shank slides through, up to the next drill."""
        return self._next_drill(self.gauge.diameter)

    @property
    def _drill_step(self) -> float:
        """From one drill to the next, mm."""
        return _METRIC_STEP if self.metric else _DRILL_STEP

    def _next_drill(self, diameter: float) -> float:
        """Return the next drill that is sold at or above ``diameter``, mm."""
        steps = -int(-(diameter / self._drill_step - 1e-9) // 1)
        return steps * self._drill_step


@cache
def read_screw(text: str) -> ScrewKind:
    """Return the screw that ``text`` names, such as ``#8 x 1-1/4 in`` or ``4.2 x 30 mm``.

    Raises:
        InputError: if it is not written so, or no such gauge or length is kept.
    """
    match = _SCREW.fullmatch(" ".join(text.split()))
    if not match:
        raise InputError(f"'{text}' is not a screw; {HOW_TO_WRITE}")
    found = [gauge for gauge in GAUGES.values() if match[1] in _names(gauge)]
    if not found:
        gauges = ", ".join(f"#{known}" for known in GAUGES)
        sizes = ", ".join(f"{gauge.diameter:.1f}" for gauge in GAUGES.values())
        raise InputError(f"no screw gauge #{match[1]}; allowed: {gauges}, or {sizes} mm")
    try:
        size = read_length(match[2])
    except InputError:
        told = f"'{text}': '{match[2][:40]}' is no length with its unit"
        raise InputError(f"{told}; {HOW_TO_WRITE}") from None
    if not _SHORTEST <= size <= _LONGEST:
        raise InputError(f"'{text}': a screw is 1/2 in to 6 in long")
    return ScrewKind(found[0], size, metric=match[2].rstrip().lower().endswith(("mm", "cm")))


def _names(gauge: Gauge) -> tuple[str, str]:
    """Return what stands before the x: a gauge's number, or its thickness in mm."""
    return str(gauge.number), f"{gauge.diameter:.1f}"
