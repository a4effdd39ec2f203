"""Ways of treating the walls, side by side."""
