"""A year of markets: how many boxes, when, and what to buy.

A season prices one batch an offer as ``price`` does, estimates other sizes from it (``resized``)
with some hope on top (``season_search.HOPE``), prices what is chosen, and chooses anew until all is
priced; ``SEARCH_WORK`` ends it. So ``season`` and ``price`` say the same of one batch.
"""
