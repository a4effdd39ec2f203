"""Readings become a height field on cells."""
