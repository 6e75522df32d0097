"""The path tracer's door, cameras, meshes as it takes them."""
