"""Jobs put into days: by hand from a Monday, and any job that could be."""

from __future__ import annotations

from datetime import date, timedelta

from hand import BARE, SKIMMED, entry_of, flat, job_of, result_of
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.job.calendar import WEEKDAYS, Calendar
from mytakeoff.job.catalogue import CEMENT_LIME, LIME_SAND
from mytakeoff.programme.programme import Programme, work_programme
from mytakeoff.treatment.wall_result import WallResult

MONDAY = date(2027, 3, 1)
SYSTEMS = (BARE, SKIMMED, mt.System(LIME_SAND), mt.System(CEMENT_LIME))


def booked(job: mt.Job, *walls: WallResult, start: date | None = MONDAY) -> Programme:
    """The programme of walls, from a day on."""
    return work_programme(result_of(job, *walls), start)


@st.composite
def jobs(draw):
    """One to three walls of any system in one or two rooms, with any crew, hours and calendar."""
    rooms = (mt.Room("low", 10.0), mt.Room("high", 10.0, storey=2))
    entries, depths = [], []
    for nth in range(draw(st.integers(1, 3))):
        wall = mt.Wall(f"wall {nth}", draw(st.floats(0.5, 6)), 2.5)
        loose = (mt.LooseArea(0.1, 0.1, 0.3, 0.4, 15.0),) if draw(st.booleans()) else ()
        entries.append(
            entry_of(
                wall,
                room=draw(st.sampled_from(["low", "high"])),
                system=draw(st.sampled_from(SYSTEMS)),
                loose=loose,
                sockets=draw(st.integers(0, 2)),
            )
        )
        depths.append(draw(st.floats(10, 24)))
    noon = st.integers(44, 56).map(lambda quarters: quarters / 4)
    calendar = Calendar(
        break_from_h=draw(noon),
        break_h=draw(st.sampled_from([0.0, 0.25, 0.5, 1.0])),
        weekdays=draw(st.lists(st.sampled_from(WEEKDAYS), min_size=1, max_size=7, unique=True).map(tuple)),
        holidays=tuple(MONDAY + timedelta(days=d) for d in draw(st.lists(st.integers(0, 40), max_size=6))),
        from_h=draw(st.floats(6, 10)),
        slow_down=draw(st.floats(0.5, 3)),
    )
    rates = mt.LabourRates(crew=draw(st.integers(1, 3)), day_h=draw(st.floats(4, 10)))
    rails = mt.RailChoice(
        used=draw(st.booleans()),
        left_in=draw(st.booleans()),
        bedded=draw(st.sampled_from(["fixings", "dabs"])),
    )
    job = job_of(*entries, rooms=rooms, calendar=calendar, rates=rates, rails=rails)
    return job, depths


def walls_of(job, depths):
    return [flat(job, entry, mm, allowance_mm=mm % 3) for entry, mm in zip(job.walls, depths, strict=True)]
