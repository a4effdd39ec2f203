"""A room seen from above, before and after."""
