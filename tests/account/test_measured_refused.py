"""Later surveys that cannot be: each is told with its place, and nothing is changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from demo import coarse_demo
from read_again import (
    AFTER,
    LAID_MM,
    MARKS,
    OLD_MM,
    WALL,
    X,
    Z,
    refused,
    survey,
    usual_folder,
)

import mytakeoff as mt
from mytakeoff.account.measured_again import measure_again
from mytakeoff.account.settle import as_measured, settle_up
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain
from mytakeoff.finished.record import Finished, HoursSpent
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.labour.pieces import laid_coats

# -- what cannot be -----------------------------------------------------------------------------------


def after_of(folder: Path, text: str) -> Path:
    (folder / AFTER).write_text(text, encoding="utf-8")
    return folder


def rows_of(x_m, mm, head: str = "x_m,z_m,proud_mm") -> str:
    rows = (f"{x:.3f},{z:.3f},{each:.3f}" for x, z, each in zip(x_m, Z, mm, strict=True))
    return "\n".join([head, *rows, ""])


BUMPY = 0.95 * OLD_MM + 30.0  # a face that still shows the wall


def test_a_survey_of_another_wall(tmp_path):
    folder = after_of(usual_folder(tmp_path / "job"), rows_of(1.5 * X, BUMPY))
    (mistake, *_) = refused(folder)
    assert mistake.place.startswith(AFTER)
    assert "reaches from 0 to 3 m" in mistake.rule


def test_a_survey_from_the_other_end(tmp_path):
    folder = usual_folder(tmp_path / "job", (0.0, 0.0, 0.0))
    job, bare = mt.open_job(folder), replace(WALL, openings=())
    first = replace(job.walls[0].survey, wall=bare)
    mt.save_job(replace(job, walls=(replace(job.walls[0], wall=bare, survey=first),)), folder, job)
    (mistake,) = refused(after_of(folder, rows_of(3.0 - X, BUMPY)))
    assert mistake.place == f"{FINISHED_FILE}, wall ({WALL.name}), {AFTER}"
    assert "mirror" in mistake.found


@pytest.mark.parametrize(("factor", "unit"), [(0.1, "centimetres"), (1 / 25.4, "inches")])
def test_a_survey_in_another_unit(tmp_path, factor, unit):
    folder = usual_folder(tmp_path / "job", (0.0, 0.0, 0.0))
    (mistake,) = refused(after_of(folder, rows_of(X, factor * BUMPY)))
    assert mistake.place == f"{FINISHED_FILE}, wall ({WALL.name}), {AFTER}"
    assert unit in mistake.remedy


def test_a_survey_that_lies_behind_the_first(tmp_path):
    folder = usual_folder(tmp_path / "job", (0.0, 0.0, 0.0))
    rng = np.random.default_rng(2)
    (mistake,) = refused(after_of(folder, rows_of(X, OLD_MM - 30.0 + rng.normal(0, 0.3, X.size))))
    assert mistake.place == f"{FINISHED_FILE}, wall ({WALL.name}), {AFTER}"
    assert "behind the first survey" in mistake.found


@pytest.mark.parametrize(("rows", "count"), [("1.0,1.0,5\n", "1 reading"), ("", "0 readings")])
def test_a_survey_of_one_reading(tmp_path, rows, count):
    (mistake,) = refused(after_of(usual_folder(tmp_path / "job"), f"x_m,z_m,proud_mm\n{rows}"))
    assert (mistake.place, mistake.found) == (AFTER, count)


def with_wall(folder: Path, **changes) -> Path:
    (wall,) = open_finished(folder).walls
    save_finished(Finished(walls=(replace(wall, **changes),)), folder)
    return folder


DAY = date(2027, 6, 1)
PLACE = f"{FINISHED_FILE}, wall 1 ({WALL.name})"


def test_fixed_places_that_the_wall_does_not_have(tmp_path):
    folder = usual_folder(tmp_path / "job")
    (wall,) = open_finished(folder).walls
    wrong = (*wall.fixed_again, FixedAgain("lampe", 3.0), FixedAgain("well", 3.0), FixedAgain("screw", 1.0))
    twice, near, far = refused(with_wall(folder, fixed_again=wrong))
    places = [f"{PLACE}, fixed place ({name})" for name in ("screw", "lampe", "well")]
    assert [each.place for each in (twice, near, far)] == places
    assert twice.found == "'screw', 2 times"
    assert near.remedy == "write 'lamp'"
    assert far.remedy.startswith("choose from 'door frame', 'screw', ")


def test_fixed_places_where_none_were_marked(tmp_path):
    folder = usual_folder(tmp_path / "job")
    job = mt.open_job(folder)
    mt.save_job(replace(job, walls=(replace(job.walls[0], fixed_places=()),)), folder, job)
    mistakes = refused(folder)
    assert len(mistakes) == len(MARKS)
    assert all("mark fixed places" in each.remedy for each in mistakes)


def test_one_survey_named_as_two(tmp_path):
    folder = usual_folder(tmp_path / "job")
    first = mt.open_job(folder).walls[0].survey.source
    (mistake,) = refused(with_wall(folder, later=f"./{AFTER}"))
    assert (mistake.place, mistake.found) == (PLACE, f"{AFTER!r} twice")
    mistakes = refused(
        with_wall(folder, after=first, later=f"./{first}", rounds=(CheckRound(DAY, survey=first),))
    )
    found = [each.found for each in mistakes]
    assert found == [f"{first!r} twice", f"after {first!r}", f"later './{first}'", f"round 1 {first!r}"]
    (mistake,) = refused(with_wall(folder, after="", later=AFTER, rounds=()))
    assert "none right after" in mistake.found


def test_fixed_places_in_line_and_off_their_readings_are_told_at_their_wall(tmp_path):
    folder = usual_folder(tmp_path / "job")
    job = mt.open_job(folder)
    upright = tuple(mt.FixedPlace(name, 1.0, 0.4 * nth, 0.0) for nth, (name, *_) in enumerate(MARKS))
    mt.save_job(replace(job, walls=(replace(job.walls[0], fixed_places=upright),)), folder, job)
    (mistake,) = refused(folder)
    assert mistake.place == f"{FINISHED_FILE}, wall ({WALL.name}), fixed places"


def test_a_round_before_the_job_begins(tmp_path):
    start = coarse_demo().calendar.start
    assert start is not None
    early = CheckRound(start.replace(year=start.year - 1))
    (mistake,) = refused(usual_folder(tmp_path / "job", rounds=(early,)))
    assert mistake.place == f"{FINISHED_FILE}, wall ({WALL.name}), round 1"


def test_walls_that_the_job_does_not_have_are_passed_over():
    unknown = Finished(walls=(FinishedWall("no such wall", after=AFTER),))
    assert measure_again(coarse_demo(), unknown, {"no such wall": {AFTER: survey(OLD_MM)}}) == ()


def test_surveys_of_all_walls_are_told_together(tmp_path):
    folder = usual_folder(tmp_path / "job")
    job, finished = mt.open_job(folder), open_finished(folder)
    named = replace(WALL, name="other")
    other = replace(job.walls[0], wall=named, survey=survey(OLD_MM, plumb=True, wall=named))
    job = replace(job, walls=(*job.walls, other))
    both = Finished(walls=(*finished.walls, replace(finished.walls[0], name="other")))
    one = mt.Survey.from_readings(WALL, [1.0], [1.0], [5.0], so_far=True, source=AFTER)
    with pytest.raises(mt.TakeoffError) as raised:
        measure_again(job, both, {name: {AFTER: one} for name in (WALL.name, "other")}, FINISHED_FILE)
    assert [each.place for each in raised.value.mistakes] == [
        f"{FINISHED_FILE}, wall ({name}), {AFTER}" for name in (WALL.name, "other")
    ]


def test_a_wall_that_turned_out_far_thinner_than_priced_takes_no_hours_below_nothing(tmp_path):
    """Several coats of 150 mm, priced for a reading that was misread; the wall took 14. By the fuzzer."""
    folder = usual_folder(tmp_path / "job")
    job = mt.open_job(folder)
    lump = survey(OLD_MM + 150.0 * (np.hypot(X - 0.5, Z - 1.4) < 0.2), plumb=True)
    job = replace(job, walls=(replace(job.walls[0], survey=lump),))
    known = Finished((), (HoursSpent("set up", 1.0),), walls=(FinishedWall(WALL.name, LAID_MM, 0.5),))
    (priced,) = mt.evaluate(job).walls
    assert priced.build_up.mean_mm > 5 * LAID_MM
    (measured,) = as_measured(mt.evaluate(job), known).walls
    assert all(each.coat.volume_l >= 0 for each in laid_coats(measured))
    laid_l = sum(each.coat.volume_l for each in laid_coats(measured))
    assert laid_l == pytest.approx(LAID_MM * measured.build_up.area_m2)
    assert settle_up(job, known).parts
