"""Pictures of a wall."""
