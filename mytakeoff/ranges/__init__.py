"""Litres, bags and money at 10, 50 and 90 %, and what drives the price.

Notes
-----
There is one range for every figure: `job_ranges` of a way's result is its range in the options workbook and
in the budget alike, on the screen and in both CSV files. In it vary what lies between the readings, their
error, mix density, waste and the labour rate. The least thickness does not: it is chosen, rails keep it, and
what a coat gets thicker because the wall is not as read is in the faces already.

What is priced for what lies between the readings is a quantile of its sum over the walls, at the job's
confidence, shared out to them (`treatment/left_open.py`). Where millimetres were entered for it they stay as
they are, with the range beside them.
"""
