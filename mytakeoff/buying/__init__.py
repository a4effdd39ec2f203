"""The cheapest order for what is needed."""
