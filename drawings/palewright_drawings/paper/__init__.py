"""A drawing as data, and all that happens on paper: marks, letters, dimensions, SVG.

``Figure`` is a drawing in millimetres of the model, without paper. ``figure_placement`` says where
every letter stands, ``overlap_check`` what it would touch, ``svg`` writes. Documents take pictures
as SVG lines with texts laid over them; none of a maker's words goes into SVG.
"""
