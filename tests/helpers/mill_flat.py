"""A small invented job as text: one wall of a room, and a second one beside it."""

ONE_WALL = """format = 1
title = "Flat over the mill"

[system]
backing = "light gypsum backing"

[[room]]
name = "mill room"

[[wall]]
name = "north"
width_m = 4.2
height_m = 2.5
room = "mill room"
background = "brick"
"""
TWO_WALLS = f"""{ONE_WALL}
[[wall]]
name = "east"
width_m = 3.0
height_m = 2.5
room = "mill room"
background = "brick"
"""
