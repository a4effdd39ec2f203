"""Pictures of how sure the figures are."""
