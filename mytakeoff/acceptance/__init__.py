"""A finished wall: judged by what was promised for it, snags to touch up, rounds until none is open.

Notes
-----
What passes or fails is decided by a rule that is named (`AcceptanceRule`), with both errors beside it: that a
wall which passes does not conform, and that one which fails does. What the readings cannot tell is told as
"too close to call", never as a pass.

The lean that is judged is that of the plane that most of the face lies about, as a wall's lean is told
everywhere; a grade's own way of reading it column by column is in `flatness/judging`.
"""
