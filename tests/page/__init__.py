"""Tests of the page: a package, so that a fixture lives as long as they follow each other."""
