"""The table of days that a client reads: its columns, the order of a day's rows, and what is waited for."""

from __future__ import annotations

from bookings import booked
from hand import NO_RAILS, one_wall

import mytakeoff as mt
from mytakeoff.job.catalogue import CEMENT_LIME


def test_a_days_rows_stand_in_the_order_of_the_work():
    # "float backing" comes before "prime" in the alphabet, and after it on the wall
    job, wall = one_wall(mm=12.0, rails=NO_RAILS)
    told = booked(job, wall).to_frame("client")
    assert list(told.columns) == ["day", "room", "wall", "what", "waits_until", "waits_for", "shown_to"]
    first = told[told["day"] == "2027-03-01"]
    assert list(first["what"]) == ["set up and protect", "prime", "float backing"]
    assert list(told["day"]) == sorted(told["day"])


def test_what_is_waited_for_after_a_step_that_lays_no_mix():
    # a spatterdash hardens for a day at least: Standzeiten, ausbauundfassade.de
    job, wall = one_wall(mm=12.0, system=mt.System(CEMENT_LIME), rails=NO_RAILS)
    told = booked(job, wall).to_frame("client")
    [primed] = told[told["what"] == "prime"].itertuples()
    assert (primed.day, primed.waits_until, primed.waits_for) == (
        "2027-03-01",
        "2027-03-02",
        "spatterdash hardens",
    )
