"""Names for arrays of numbers; their shapes stand where they are used."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Bytes = NDArray[np.uint8]
"""Such as the colours of a picture, 0 to 255."""
