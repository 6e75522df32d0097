"""A second judge of a box, from its files alone: it shares no code with the model.

`solids` reads a STEP file, `screws` finds the screws in its holes, `ties` says what hangs
together, `judging` gives the reasons why a box is not sound. Nothing here imports the packages
that are judged; a test reads the imports.
"""
