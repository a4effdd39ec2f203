"""Pictures of what was learnt."""
