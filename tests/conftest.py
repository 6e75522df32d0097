"""What all tests share: the page's server and windows, and how many examples Hypothesis tries.

Hypothesis has no clock, since other work may slow a machine down. The quick tests try the same
examples in every run; the thorough ones (``--hypothesis-profile=thorough``) seven times as many,
new ones in each.
"""

import gc

import pytest
from hypothesis import settings

from known_plans import (
    equal_plans_once,
    few_boards_as_many,
    plans_anew,
    settings_as_they_come,
)
from known_size_views import equal_size_views_once
from known_solids import equal_solids_once, solids_anew
from page_browsers import opened, running_browser, unopened, window
from page_process import server

__all__ = [
    "browser",
    "equal_plans_once",
    "equal_size_views_once",
    "equal_solids_once",
    "few_boards_as_many",
    "opened",
    "plans_anew",
    "server",
    "settings_as_they_come",
    "solids_anew",
    "unopened",
    "window",
]

browser = pytest.fixture(running_browser, scope="module", name="browser")

gc.set_threshold(50_000, 20, 50)  # for 700: thousands of tests are made, and a sixth was looking


LONGEST = ("page", "size_search", "tests")
"""Folders with tests of minutes: the page's, whole searches, every command of the README."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest: none of them is left when the other worker has no more to do.

    The page's come to one worker that way, with one server and one browser.
    """
    items.sort(key=lambda one: one.path.parent.name not in LONGEST)


settings.register_profile("quick", deadline=None, max_examples=15, derandomize=True)
settings.register_profile("thorough", deadline=None, max_examples=100)
settings.load_profile("quick")
