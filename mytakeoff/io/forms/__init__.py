"""Blank forms, and a survey that is being entered."""
