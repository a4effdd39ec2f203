"""A wall from the room, at true ratio, where things are placed: knows a store and no panel."""
