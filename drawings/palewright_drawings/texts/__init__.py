"""Plain text for the terminal, and the cautions."""
