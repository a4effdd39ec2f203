"""Money: priced lines that add up."""
