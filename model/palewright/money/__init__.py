"""What a batch costs and takes, what it must be sold for, and how many a season wants."""
