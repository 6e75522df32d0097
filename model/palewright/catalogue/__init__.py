"""Facts of trade and nature: lumber, screws, fillings, climates, tolerances. Reads no box."""
