"""The wall as it stands and what was read on it."""
