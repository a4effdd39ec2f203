"""Pictures of the comparison."""
