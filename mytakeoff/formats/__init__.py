"""Every number, amount, length and day as a person reads it: the one place that knows how."""
