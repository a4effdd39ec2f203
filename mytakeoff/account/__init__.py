"""Settling up: what really happened on a job, against what was agreed, and what made the difference."""
