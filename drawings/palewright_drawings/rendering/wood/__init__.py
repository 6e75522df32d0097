"""Boards that look sawn from logs."""
