"""Bytes, text, sheets, TOML and CSV."""
