"""The finished plane that takes the least plaster."""
