"""Which sizes are given where, and the sheets of dimensioned views."""
