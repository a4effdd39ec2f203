"""The panel for what is bought and when is worked."""
