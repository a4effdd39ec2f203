"""Many jobs as a picture: what a square metre costs by its thickness."""
