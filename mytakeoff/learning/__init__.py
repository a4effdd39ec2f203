"""What finished jobs say of this user's own mixes, waste, hours and walls. It never leaves the machine.

Notes
-----
Each figure starts at its marked default and moves with what was seen: beliefs are conjugate, so that a job is
added in closed form and few jobs move little. How strong a default stands is said in jobs
(`learning/priors.py`). What is learnt is offered, and taken into a job only by `with_learnt`.
"""
