"""Many jobs: each priced in a process of its own, one row each, what is unchanged since the last run kept."""
