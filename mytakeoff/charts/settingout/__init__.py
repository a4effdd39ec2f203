"""The elevation with rails, and the sheets for the ladder."""
