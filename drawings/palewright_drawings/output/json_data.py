"""JSON-ready data, named once."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]
"""An object: dicts with words as keys, lists, texts, numbers, True, False and None."""
