"""What floats leave: the margins that keep bounds true and patterns from being missed."""

TINY = 1e-9
"""Sums of some hundred products of duals below 1 are off by less."""

SLACK = 1e-7
"""HiGHS's own tolerance of duals and rows: what is worth no more than that is no news."""

SAFE = 1e-6
"""Ten times that: a bound or a whole number that is met but for it is met."""
