"""Readings typed where they are read: a grid for a wall, its map, and where to read next."""
