"""What a batch costs and takes, and what it must be sold for.

Money is ``Decimal``; each line is rounded once to the coin, and shares add up to it. Boards against
work at the saw (``cutting_stock.sawing.labour_search``): slope scaling, each setting's price spread
over its uses, and beside every linear program new patterns from the blocks that are known. The
patterns that the search for boards met are too few to share settings; with blocks put together anew
every batch of the shipped season came out cheaper than by an integer program with a yes-or-no for
each setting, 20 nodes and ten times the work. Fewer known patterns (``NEAR_COLUMNS`` 100 for 300)
or fewer starts save a fifth of the time and make small batches dearer.
"""
