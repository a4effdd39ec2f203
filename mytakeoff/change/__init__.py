"""What a second survey of a wall says that was put on.

An instrument that is set up anew stands at another depth and looks along another line. A plane fitted from
one survey to the other would take away just what was put on evenly, so the two are tied by places that the
plaster did not move, and what that tie may be off is part of what is said.
"""
