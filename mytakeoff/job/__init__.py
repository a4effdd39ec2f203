"""All that the user enters and chooses, frozen; single edits of it."""
