"""STEP, STL, GLB, DXF, CSV.

STL and GLB are written by trimesh. Laid in afterwards: the STL header, the tool's name, and the
colours, which trimesh keeps in 8 bits. STEP is the kernel's own text, numbered anew
(``step_part21``), and every setting of the kernel that shapes it is made for the time of writing.
"""
