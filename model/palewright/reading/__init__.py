"""Text to numbers: the one user error, lengths, other quantities, the typed fields."""
