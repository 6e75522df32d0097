"""Equal boards are built by the CAD kernel once in a process.

To build a drilled board takes the kernel a hundredth of a second, and each packet, second opinion
and view of a test asks for the same boards again. `test_second_opinion` and `test_boxes` hold
solids to the boards' own figures.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

import pytest

from asked_once import asked_instead
from palewright.construction.boards import Board
from palewright.solids import kernel_solids
from palewright.solids.kernel_solids import board_solid

MOST = 600
"""Solids that are kept, 36 MB of them: a shipped box has 24 to 39 (measured)."""

_KNOWN: OrderedDict[str, Any] = OrderedDict()
"""Solids by all that `board_solid` looks at, those asked for last at the end."""


def known_solid(board: Board) -> Any:
    """Return what `board_solid` returns; nobody changes a solid, it is placed by copies."""
    holes = tuple((h.start, h.axis, h.diameter, h.depth, h.through, h.sink) for h in board.holes)
    key = repr((board.outline, board.thickness, holes))  # -0.0 is not 0.0 to a file
    if key not in _KNOWN:
        _KNOWN[key] = board_solid(board)
        if len(_KNOWN) > MOST:
            _KNOWN.popitem(last=False)
    _KNOWN.move_to_end(key)
    return _KNOWN[key]


equal_solids_once = asked_instead(kernel_solids, "board_solid", known_solid)
"""Have designs and second opinions of this process ask `known_solid`."""


@pytest.fixture
def solids_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every solid built again, for a test that two packets are the same."""
    monkeypatch.setattr(kernel_solids, "board_solid", board_solid)
