"""The finished plane that takes the least plaster, or that costs least in filling and taking down."""
