"""The order of work at the bench, its numbers, and every screw where it is driven."""
