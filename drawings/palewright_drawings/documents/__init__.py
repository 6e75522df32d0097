"""PDF by Typst."""
