"""Corners of finished walls: faces whose turn is known, read from instruments that stood elsewhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo import coarse_demo
from taken_apart import of_walls

import mytakeoff as mt
from mytakeoff.acceptance.conformity import SIMPLE, AcceptanceRule
from mytakeoff.acceptance.in_room import is_taped, judge_in_room, no_more_asked
from mytakeoff.acceptance.in_words import judged_parts
from mytakeoff.account.check import check_finished
from mytakeoff.corners.room_corner import RoomCorner
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.formats.formats import HOUSE
from mytakeoff.job.job_wall import FixedPlace

NAMES = ("party wall", "window wall")
PLACES = ((0.2, 0.3), (3.6, 0.4), (1.9, 2.3))
LIMIT = 3.0  # mm on a metre


def job_of(kind: str = "room", tolerance: float = LIMIT, fixed: bool = True) -> mt.Job:
    """Two walls of the demo job whose planes were read off one set-up, with fixed places on both."""
    job = coarse_demo()
    places = tuple(FixedPlace(f"mark {nth}", x, z, -3.0 * nth) for nth, (x, z) in enumerate(PLACES))
    walls = tuple(
        replace(job.wall(name), fixed_places=places if fixed else (), turn_mm_per_m=None) for name in NAMES
    )
    job = of_walls(job, walls, compare=replace(job.compare, beside=()), folder="")
    rooms = tuple(
        replace(room, corners=(RoomCorner(*NAMES, one_set_up=True),), clear_widths=())
        for room in job.rooms if room.name == walls[0].room
    )  # fmt: skip
    plane = replace(job.plane, kind=kind, corner_tolerance_mm_per_m=tolerance)
    return replace(job, rooms=rooms, plane=plane)


def read(job: mt.Job, turns: dict[str, float], set_up: dict[str, float]) -> tuple[mt.Finished, dict]:
    """Faces turned so much [mm/m] against the first planes, off planes turned so much against those."""
    records, surveys = [], {}
    for entry in job.walls:
        x, z = np.meshgrid(np.arange(0.1, entry.wall.width_m, 0.4), np.arange(0.1, entry.wall.height_m, 0.4))
        turned = set_up[entry.name]
        face = 25.0 + (turns[entry.name] + turned) * x + 40.0
        surveys[entry.name] = {"after": mt.Survey.from_readings(entry.wall, x, z, face, plumb=True)}
        again = tuple(
            FixedAgain(each.name, each.proud_mm + 40.0 + turned * each.x_m) for each in entry.fixed_places
        )
        records.append(FinishedWall(entry.name, after="after", fixed_again=again))
    return mt.Finished(walls=tuple(records)), surveys


@pytest.mark.parametrize("set_up", [0.0, 9.0])
@pytest.mark.parametrize(("turns", "off"), [((0.0, 0.0), 0.0), ((2.0, -6.0), 8.0), ((-3.0, 3.0), -6.0)])
def test_a_corner_is_as_the_faces_are_turned_however_the_instrument_stood(turns, off, set_up):
    job = job_of()
    stood = dict(zip(NAMES, (set_up, -2.0), strict=True))
    made = judge_in_room(job, NAMES[0], *read(job, dict(zip(NAMES, turns, strict=True)), stood))
    (judged,) = made.judged
    assert judged.what == f"corner with {NAMES[1]}"
    assert judged.measured == pytest.approx(off, abs=0.01)
    assert judged.outcome == ("fail" if abs(off) > LIMIT + 2 * judged.uncertainty else "pass")
    assert 0.2 < judged.uncertainty < 1.0
    assert made.notices == ()


def test_each_wall_tells_the_same_of_the_corner_that_they_share():
    job = job_of()
    finished, surveys = read(job, dict.fromkeys(NAMES, 0.0) | {NAMES[0]: 4.0}, dict.fromkeys(NAMES, 1.0))
    left, right = (judge_in_room(job, name, finished, surveys).judged[0] for name in NAMES)
    assert left.measured == right.measured
    assert right.what == f"corner with {NAMES[0]}"


def test_a_corner_without_ties_without_a_tolerance_or_never_promised_is_not_judged():
    for job, said in (
        (job_of(fixed=False), "is not judged"),
        (job_of(tolerance=0.0), "no tolerance"),
        (job_of("plumb"), ""),
    ):
        nothing = dict.fromkeys(NAMES, 0.0)
        made = judge_in_room(job, NAMES[0], *read(job, nothing, nothing))
        assert made.judged == ()
        assert said in " ".join(made.notices)
        assert bool(made.notices) == bool(said)


def test_a_clear_width_is_left_to_a_tape():
    job = coarse_demo()
    (width,) = (each for room in job.rooms for each in room.clear_widths)
    for name in (width.wall, width.opposite):
        assert not is_taped(job, name, mt.Finished())
        (said,) = judge_in_room(job, name, mt.Finished(), {}).notices
        assert said == (
            "The clear width for run of wardrobes is not judged: lay a tape from breast right cheek, "
            "0.20 m from its left end, to window wall: 3870 mm must remain."
        )


# A tape known to ± 2 mm is a rectangle of 2 / √3 = 1.155 mm as a standard uncertainty (JCGM 100:2008, 4.3.7),
# and twice that is what guarded acceptance keeps off (JCGM 106:2012, 8.3).
@pytest.mark.parametrize(
    ("mm", "guarded", "simple"),
    [
        (3880.0, "pass", "pass"), (3872.4, "pass", "pass"), (3872.2, "too close to call", "pass"),
        (3870.1, "too close to call", "pass"), (3869.9, "too close to call", "fail"),
        (3867.8, "too close to call", "fail"), (3867.6, "fail", "fail"), (3860.0, "fail", "fail"),
    ],
)  # fmt: skip
def test_a_clear_width_that_was_taped_is_judged_on_both_its_walls(mm, guarded, simple):
    job = coarse_demo()
    (room, width) = next((room, each) for room in job.rooms for each in room.clear_widths)
    finished = mt.Finished(clear_widths=(mt.TapedWidth(room.name, width.name, mm),))
    for name in (width.wall, width.opposite):
        assert is_taped(job, name, finished)
        made = judge_in_room(job, name, finished, {})
        (judged,) = made.judged
        assert (made.notices, judged.measured, judged.promised) == ((), mm, 3870.0)
        assert judged.what == "clear width for run of wardrobes"
        assert judged.outcome == guarded
        (by_simple,) = judge_in_room(job, name, finished, {}, AcceptanceRule(SIMPLE)).judged
        assert by_simple.outcome == simple
    beside = next(entry.name for entry in job.walls if entry.name not in (width.wall, width.opposite))
    assert not is_taped(job, beside, finished)
    assert judge_in_room(job, beside, finished, {}).judged == ()


def test_a_clear_width_is_written_down_once_and_one_of_another_name_is_in_nobodys_way():
    result, one = mt.evaluate(coarse_demo()), mt.TapedWidth("front room", "run of wardrobes", 3880.0)
    renamed = [mt.TapedWidth("lounge", one.name, 3880.0), mt.TapedWidth(one.room, "shelves", 3880.0)]
    check_finished(result, mt.Finished(clear_widths=(one, *renamed)))
    assert no_more_asked(result.job, mt.Finished(clear_widths=(one, *renamed))) == tuple(renamed)
    with pytest.raises(mt.TakeoffError, match="keep the smaller one"):
        check_finished(result, mt.Finished(clear_widths=(one, one)))


@pytest.mark.parametrize("wrong", [{"mm": 3.0}, {"mm": 2e5}, {"known_mm": 0.0}, {"mm": float("nan")}])
def test_a_width_that_no_room_has_is_refused(wrong):
    with pytest.raises(mt.TakeoffError, match="taped"):
        mt.TapedWidth(**{"room": "kitchen", "name": "bath", "mm": 1700.0, **wrong})


def test_a_width_is_told_under_its_name_and_as_sure_as_it_is():
    asked = mt.ClearWidth("Door B, IT rack", "A", "C", 1700.0, 0.5)
    for known_mm, told in ((0.4, "1704.6 ± 0.5 mm"), (2.0, "1705 ± 2 mm")):
        said = judged_parts(mt.judge_width(asked, 1704.6, known_mm), HOUSE)
        assert said[:2] == ("Clear width for Door B, IT rack", told)
