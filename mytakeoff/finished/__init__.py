"""What was written down of a finished job: what came, hours, what was measured and seen, round by round."""
