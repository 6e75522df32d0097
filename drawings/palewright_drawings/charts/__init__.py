"""Charts and the calendar."""
