"""What the kernel measures of a box's solids."""

from __future__ import annotations

from palewright.solids.kernel_solids import Solids


def volumes_of(solids: Solids) -> dict[str, float]:
    """The volume (mm³) of each board's solid, holes taken out."""
    return {name: solids.shape(name).Volume() for name in solids.boards}
