"""What every panel is made of."""
