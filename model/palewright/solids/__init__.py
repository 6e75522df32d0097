"""Boards as convex prisms (manifold), as solids of the CAD kernel, and with their holes out."""
