"""Where rails stand, what an edge on them reaches, how they are cut."""
