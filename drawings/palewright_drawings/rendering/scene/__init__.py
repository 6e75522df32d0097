"""A scene as data, meshes, noise, props."""
