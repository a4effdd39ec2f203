"""What can be found on a wall, as the panels that ask for it share it."""
