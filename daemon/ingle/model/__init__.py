"""The values that travel between rooms: frozen, typed, with units in their field names."""
