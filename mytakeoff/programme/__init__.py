"""The work by dates."""
