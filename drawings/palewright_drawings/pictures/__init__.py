"""Path-traced pictures of a box: wood made from logs, scenes made by code, cameras that frame it.

Millimetres throughout; the box stands on z = 0 with its front towards -y, as in the model. The
renderer is loaded only in `renderers`; all else is arithmetic on arrays.
"""
