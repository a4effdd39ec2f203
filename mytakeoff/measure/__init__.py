"""Areas, metres, pieces, kilograms and bags."""
