"""The page's tests share one browser, as long as they follow each other."""

import asyncio
from collections.abc import Iterator

import pytest

from page_browsers import running_browser

browser = pytest.fixture(running_browser, scope="package", name="browser")


@pytest.fixture
def loop_of_its_own() -> Iterator[None]:
    """Let a test run an event loop of its own: a browser's driver keeps one in this thread."""
    kept = asyncio._get_running_loop()
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(kept)
