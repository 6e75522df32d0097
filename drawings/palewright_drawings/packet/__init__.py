"""The registry of writers, and the folder of files that they fill.

A box of 10,000 screws is checked and written below 1 GB, of which the kernel and trimesh, once
imported, take 540 MB. trimesh keeps normals and corners of every surface that was looked at, so
``Surfaces`` keeps one a shape and makes those in place anew. The kernel takes half the angle that
it is given along a curve. ``packet._give_back`` returns what the STEP writer freed in small pieces
(140 MB). ``packet_size`` counts bytes from boards and holes: measure again where a format changes.
"""
