"""Pictures of a settled job."""
