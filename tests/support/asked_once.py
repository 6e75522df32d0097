"""Fixtures with which what a process asks again and again is answered once."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest


def asked_instead(module: ModuleType, name: str, known: Callable[..., Any]) -> Any:
    """Return a fixture that has a module ask another function in all tests, and in fixtures too."""

    @pytest.fixture(autouse=True, scope="session")
    def once() -> Iterator[None]:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(module, name, known)
            yield

    return once
