"""Rounds of checking and fixed places in ``finished.toml``."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from demo import coarse_demo
from written_jobs import remarks

import mytakeoff as mt
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.finished.hand_mark import HandMark
from mytakeoff.finished.record import Finished
from mytakeoff.io.finished.finished_file import FINISHED_FILE, finished_in, open_finished, save_finished


@pytest.fixture
def job_folder(tmp_path: Path) -> Path:
    mt.save_job(replace(coarse_demo(), folder=""), tmp_path / "job")  # nothing was written down of it
    return tmp_path / "job"


CHECKED = """\
format = 1

[[wall]]
name = "party wall"
after = "surveys/after.csv"   # the day it was dry
plumb = false

# read from the door
[[wall.fixed_again]]
name = "socket"
after_mm = -3.5
[[wall.fixed_again]]
name = "screw"
after_mm = 4.0
later_mm = 4.1   # by the new laser

# with the client
[[wall.round]]
on = 2027-03-20
survey = "surveys/after.csv"
done = []
[[wall.round.mark]]
x_m = 1.2
z_m = 0.4
kind = "light"
mm = 4   # a wedge of four

# alone
[[wall.round]]
on = 2027-03-27
done = [1, 3]   # both by hand
[[wall.round.mark]]
x_m = 2.0
z_m = 1.0
kind = "rocks"
mm = 2.5
edge_m = 1.0
"""
SEEN = FinishedWall(
    "party wall",
    after="surveys/after.csv",
    plumb=False,
    fixed_again=(FixedAgain("socket", -3.5), FixedAgain("screw", 4.0, 4.1)),
    rounds=(
        CheckRound(date(2027, 3, 20), "surveys/after.csv", (HandMark(1.2, 0.4, "light", 4.0),)),
        CheckRound(date(2027, 3, 27), "", (HandMark(2.0, 1.0, "rocks", 2.5, 1.0),), (1, 3)),
    ),
)


@pytest.fixture
def checked(job_folder: Path) -> Path:
    """A job whose wall was checked in two rounds, its surveys beside it."""
    (job_folder / FINISHED_FILE).write_text(CHECKED, encoding="utf-8")
    for name in ("after", "again"):
        (job_folder / "surveys" / f"{name}.csv").write_text("x_m,z_m,proud_mm\n", encoding="utf-8")
    return job_folder


def test_rounds_and_fixed_places_are_read_by_their_fields(checked):
    assert open_finished(checked) == Finished(walls=(SEEN,))
    save_finished(open_finished(checked), checked)
    assert (checked / FINISHED_FILE).read_text(encoding="utf-8") == CHECKED


third = CheckRound(date(2027, 4, 3), "surveys/again.csv", done=(2,))


@pytest.mark.parametrize(
    "change",
    [
        lambda wall: replace(wall, rounds=(*wall.rounds, third)),
        lambda wall: replace(wall, rounds=(wall.rounds[0], replace(wall.rounds[1], done=(1, 2, 3)))),
        lambda wall: replace(wall, rounds=tuple(replace(one, survey="") for one in wall.rounds)),
        lambda wall: replace(
            wall, rounds=(replace(wall.rounds[0], marks=(*wall.rounds[0].marks, third_mark)), wall.rounds[1])
        ),
        lambda wall: replace(wall, fixed_again=(*wall.fixed_again, FixedAgain("hook", 1.0))),
        lambda wall: replace(wall, fixed_again=tuple(replace(one, later_mm=0.5) for one in wall.fixed_again)),
        lambda wall: replace(wall, fixed_again=wall.fixed_again[::-1], rounds=(third, *wall.rounds)),
        lambda wall: replace(wall, mean_mm=14.5, later="surveys/again.csv", plumb=True),
    ],
)
def test_rounds_and_fixed_places_keep_their_remarks(checked, change):
    made = Finished(walls=(change(SEEN),))
    save_finished(made, checked, open_finished(checked))
    assert open_finished(checked) == made
    text = (checked / FINISHED_FILE).read_text(encoding="utf-8")
    assert sorted(remarks(text)) == sorted(remarks(CHECKED))


third_mark = HandMark(0.4, 2.0, "light", 3.0)

WRONG_ROUNDS = """\
format = 1
[[wall]]
name = "party wall"
after = "surveys/gone.csv"
[[wall.fixed_again]]
after_mm = 1
[[wall.fixed_again]]
name = "socket"
after_mm = 90000
[[wall.round]]
survey = "surveys/after.csv"
[[wall.round]]
on = 2027-03-20
done = [0]
[[wall.round.mark]]
x_m = 1.2
kind = "wobbles"
mm = -4
"""


def test_all_that_is_wrong_of_rounds_is_told_with_its_place(checked):
    with pytest.raises(mt.TakeoffError) as error:
        finished_in(WRONG_ROUNDS, checked)
    found = {mistake.place: mistake for mistake in error.value.mistakes}
    wall = f"{FINISHED_FILE}, wall 1 (party wall)"
    assert all(each.found and each.rule and each.remedy for each in found.values())
    for place in (
        f"{wall}, fixed_again 1",
        f"{wall}, fixed_again 2 (socket), after_mm",
        f"{wall}, round 1",
        f"{wall}, round 2, mark 1",
        f"{wall}, round 2, mark 1, kind",
        f"{wall}, round 2, mark 1, mm",
    ):
        assert place in found, sorted(found)
    with pytest.raises(mt.TakeoffError, match="number"):
        finished_in(WRONG_ROUNDS[:21] + 'name = "a"\n[[wall.round]]\non = 2027-03-20\ndone = [0]\n', checked)


def test_the_survey_of_a_round_is_there(checked):
    text = CHECKED.replace("surveys/after.csv", "surveys/gone.csv").replace(
        "done = [1, 3]", 'survey = "../b.csv"'
    )
    with pytest.raises(mt.TakeoffError) as error:
        finished_in(text, checked)
    wall = f"{FINISHED_FILE}, wall (party wall)"
    assert [(each.place, each.found) for each in error.value.mistakes] == [
        (f"{wall}, round 1", "no file 'surveys/gone.csv'"),
        (f"{wall}, round 2", "file '../b.csv'"),
        (wall, "no file 'surveys/gone.csv'"),
    ]
