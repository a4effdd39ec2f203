"""Sheets of readings."""
