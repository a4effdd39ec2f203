"""Litres, bags and money at 10, 50 and 90 %, and what drives the price.

Notes
-----
There is one range for every figure: `job_ranges` of a way's result is its range in the options workbook and
in the budget alike, on the screen and in both CSV files. In it vary what lies between the readings, their
error, mix density, waste and the labour rate. The least thickness does not: it is chosen, rails keep it, and
what a coat gets thicker because the wall is not as read is in the faces already.

The allowance for a missed high spot stays what was entered, with the range beside it, unless the job is
priced at a confidence: then it is what the readings leave open, wall by wall, which together is a little more
than the job needs.
"""
