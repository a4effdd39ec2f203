"""Rooms that come square: the walls of a room brought to plumb planes together, and what that takes.

Notes
-----
A wall takes part if it was read off a plumb plane; what is known of its corners ties it to its neighbours.
Walls that hang together keep their angles as a whole: they may turn, as one, and how far is found with the
planes. Where a corner is free the walls on both sides of it turn by themselves.
"""
