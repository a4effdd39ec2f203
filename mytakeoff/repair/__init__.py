"""What is filled or taken down so that a wall passes, without floating it.

Notes
-----
Filled as it is done, with high spots taken down, a wall is tried with nothing taken down, with the given
ratio of prices and with one eighth of it, and the cheapest is kept: a hollow ruled flush costs more than the
litres that the wall needs to pass.
"""
