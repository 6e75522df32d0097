"""Data that ships with the model: lumber, species, screws."""
