"""Where the box stands."""
