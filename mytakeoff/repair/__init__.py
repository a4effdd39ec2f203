"""What is filled or taken down so that a wall passes, without floating it."""
