"""Each kind of picture of a box, as a figure."""
