"""Faces that may lie between the readings."""
