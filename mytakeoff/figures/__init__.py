"""The headline: the figures that a job is known by, as every screen and file says them, and how it reads."""
