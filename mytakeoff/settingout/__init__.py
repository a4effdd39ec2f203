"""From the plane to screws on the wall."""
