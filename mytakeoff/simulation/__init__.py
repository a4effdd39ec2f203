"""Faces that may lie between the readings.

Notes
-----
All of it is numpy and scipy, not a library for Gaussian processes: scikit-learn fits one best kernel where
ranges need all likely ones, gstools and pykrige bring more than the dozen lines of kriging that they would
save. Tests hold guess and variance to scikit-learn.

A range is of the model. Smoothness (Matérn 1 and 3/2), how far a factor by which faces stray from the guess
may be off (`SCALE_SD`) and how far short roughness may be off its default (`SHORT_SPREAD`) were chosen with
the dense surfaces in view, mostly the mountain side, on other random walls than those of the table. A smooth
table is not a proof for your wall: one that is much rougher where it stands proud than where it lies hollow
takes more than is said, as a blind surface there shows, and roughness shorter than a hand comes nearly alone
from `LikelyWall`.

What did not make ranges truer on the mountain side (`tests/benchmarks/README.md` has the figures): a survey
that checks its range by how every second row and column of it foretells the rest, to widen, to move or to
weigh variograms; the true local scale, taken from the dense surface; Matérn 1/2 besides. The first widens the
range no better than one factor for all walls does, so the factor stayed.
"""
