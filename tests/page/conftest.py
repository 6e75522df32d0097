"""The page's tests share one browser, as long as they follow each other."""

import asyncio
from collections.abc import Iterator
from typing import Any

import pytest

from page_browsers import running_browser

browser = pytest.fixture(running_browser, scope="package", name="browser")


@pytest.fixture(autouse=True)
def loop_of_its_own(request: Any) -> Iterator[None]:
    """Let a test without the browser run an event loop: the browser's keeps one in this thread."""
    kept = asyncio._get_running_loop()
    if "browser" in request.fixturenames or kept is None:
        yield
        return
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(kept)
