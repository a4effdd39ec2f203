"""Pictures of the results: the same for the screen and for paper."""
