"""Which patterns to cut how often: the linear program, the integer program, the heuristics."""
