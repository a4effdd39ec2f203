"""The list of snags to print."""
