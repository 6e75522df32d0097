"""The JSON that other tools read."""
