"""Pieces of work, waits, one crew's schedule, hours."""
