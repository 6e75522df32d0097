"""Answers that follow from their request alone, kept for when it comes again.

Going back, dragging to where one was, a reload and the shelf all ask what was asked before.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Mapping
from typing import Any

from palewright_drawings.page.jobs.replies import Reply


class KeptAnswers:
    """The answers asked for last, up to so many bytes of them."""

    def __init__(self, most: int) -> None:
        """Keep answers of so many bytes together; with 0 none."""
        self._most = most
        self._held = 0
        self._replies: OrderedDict[str, Reply] = OrderedDict()

    def of(self, task: str, request: Mapping[str, Any]) -> Reply | None:
        """Return the answer that was kept, or None."""
        said = _said(task, request)
        if said in self._replies:
            self._replies.move_to_end(said)
        return self._replies.get(said)

    def keep(self, task: str, request: Mapping[str, Any], reply: Reply) -> None:
        """Keep an answer, and let go those that were not asked for longest."""
        said = _said(task, request)
        if said in self._replies:
            return
        self._replies[said] = reply
        self._held += len(said) + len(reply.content)
        while self._held > self._most:
            oldest, gone = self._replies.popitem(last=False)
            self._held -= len(oldest) + len(gone.content)


def _said(task: str, request: Mapping[str, Any]) -> str:
    """Return what was asked, as one text: whatever order its keys came in."""
    return json.dumps([task, request], sort_keys=True)
