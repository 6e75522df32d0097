"""Plane geometry without boards: polygons, and outlines for a router."""
