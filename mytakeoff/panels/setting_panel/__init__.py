"""The panel for rails, fixings and the sheets."""
