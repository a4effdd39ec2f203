"""The panel that sets ways of treating the walls side by side."""
