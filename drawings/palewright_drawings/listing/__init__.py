"""Pictures and words of a market listing, and the gallery."""
