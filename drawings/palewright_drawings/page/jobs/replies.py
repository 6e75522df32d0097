"""What goes back to the page."""

from __future__ import annotations

import json
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reply:
    """The bytes and what they are: ``kind`` is a media type."""

    kind: str
    content: bytes


def json_reply(found: object) -> Reply:
    """Return data as a reply."""
    return Reply("application/json", json.dumps(found, ensure_ascii=False).encode())
