"""The printed plan."""
