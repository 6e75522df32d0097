"""The page: a box seen, judged and changed while a slider moves; this computer only."""
