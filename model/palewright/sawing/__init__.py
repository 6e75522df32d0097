"""The box side of the cut planner: what a batch demands, its plans, the saw list."""
