"""Palewright: what is worked out of a box before anyone sees it."""

__version__ = "0.1.0"
