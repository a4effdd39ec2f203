"""What surveys through files say of finished walls: known fills and a known shrinkage, and what cannot be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from effort import examples
from hypothesis import given
from hypothesis import strategies as st
from read_again import (
    AFTER,
    LAID_MM,
    MARKS,
    OLD_MM,
    WALL,
    X,
    Z,
    folder_of,
    job_of,
    measured_in,
    stands,
    survey,
    usual_folder,
)
from second_surveys import plastered

import mytakeoff as mt
from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
from mytakeoff.account.measured_words import measured_words
from mytakeoff.account.settle import as_measured
from mytakeoff.account.settling import shrinkage_seen
from mytakeoff.change import between
from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain, SettledCoat
from mytakeoff.finished.record import Finished
from mytakeoff.formats.formats import HOUSE
from mytakeoff.io.finished.after_surveys import read_after
from mytakeoff.io.finished.finished_file import open_finished, save_finished

# -- known fills and a known shrinkage ----------------------------------------------------------------


def known_fill(folder: Path, rng: np.random.Generator) -> tuple[Finished, MeasuredAgain, float]:
    """A wall of which this test knows what was put on, through files, from another set-up."""
    case = plastered("floated once and dented", 0.5, 5, rng)
    marks = [(f"mark {nth}", *row[:3]) for nth, row in enumerate(case.fixed)]
    again = [FixedAgain(f"mark {nth}", row[3]) for nth, row in enumerate(case.fixed)]
    _, finished, found = measured_in(folder_of(folder, job_of(case.before, marks), again, case.after))
    return with_measured(finished, (found,)), found, case.litres


def test_what_was_put_on_lies_where_it_is_said(tmp_path):
    # 95 of 100 are said: 3 or fewer of 5 come once in 44 rows of five (binomial)
    rng, held = np.random.default_rng(21), 0
    for nth in range(5):
        finished, found, litres = known_fill(tmp_path / str(nth), rng)
        (wall,) = finished.walls
        square_m = 4.0 * 2.6 - 0.9 * 2.0
        assert found.laid.area_m2.sum() == pytest.approx(square_m)
        assert wall.mean_mm == found.laid.mean_mm
        assert wall.uncertainty_mm * found.laid.factor == pytest.approx(found.laid.uncertainty_mm)
        assert wall.uncertainty_mm < 2.0
        within_l = abs(found.laid.volume_l - litres) <= found.laid.uncertainty_l
        within_mm = abs(wall.mean_mm - litres / square_m) <= found.laid.uncertainty_mm
        assert within_l == within_mm
        held += within_l
    assert held >= 4


def test_no_error_leaves_none_and_the_account_takes_those_litres(tmp_path):
    job, finished, found = measured_in(usual_folder(tmp_path / "job"))
    known = with_measured(finished, (found,))
    assert found.laid.residual_mm == pytest.approx(np.zeros(len(MARKS)), abs=1e-6)
    assert found.laid_by == tuple(name for name, *_ in MARKS)
    assert known.walls[0].mean_mm == pytest.approx(LAID_MM, abs=found.laid.uncertainty_mm)
    (wall,) = as_measured(mt.evaluate(job), known).walls
    litres = wall.build_up.volume_l + wall.allowance_l
    assert litres == pytest.approx(known.walls[0].mean_mm * wall.build_up.area_m2)


@examples(6)
@given(st.floats(-300, 300), st.floats(-6, 6), st.floats(-6, 6))
def test_wherever_the_second_instrument_stood(offset_mm, turn, lean):
    """Its depth, turn and lean are in the tie and in nothing else."""
    here, there = laid_from((0.0, 0.0, 0.0)), laid_from((offset_mm, turn, lean))
    assert there.mean_mm == pytest.approx(here.mean_mm, abs=1e-3)
    assert there.uncertainty_mm == pytest.approx(here.uncertainty_mm, rel=0.05)


def laid_from(at: tuple[float, float, float]) -> mt.Change:
    """What was put on by a second survey from there, read without an error."""
    again = tuple(FixedAgain(name, mm + stands(at, x, z)) for name, x, z, mm in MARKS)
    finished = Finished(walls=(FinishedWall(WALL.name, after=AFTER, fixed_again=again),))
    after = survey(OLD_MM.mean() + LAID_MM + stands(at, X, Z))
    (found,) = measure_again(job_of(survey(OLD_MM), MARKS), finished, {WALL.name: {AFTER: after}})
    return found.laid


def test_what_was_told_once_is_not_worked_out_again(tmp_path, monkeypatch):
    folder = usual_folder(tmp_path / "job")
    _, _, first = measured_in(folder)

    def anew(*_args, **_more):
        raise AssertionError("worked out again")

    monkeypatch.setattr(between, "known_face", anew)
    _, _, again = measured_in(folder)  # read anew, and the same
    assert again.laid is first.laid


def later_at(shrunk_mm: float, folder: Path, error_mm: float = 0.1) -> tuple[mt.Job, Finished, MeasuredAgain]:
    """A wall read to a tenth three times, each from elsewhere, that has gone back by so much in between."""
    rng = np.random.default_rng(3)
    here, there = (-180.0, 3.0, -2.0), (60.0, -1.0, 4.0)

    def read(exact):
        return np.round(exact + rng.normal(0.0, error_mm, np.shape(exact)), 2)

    face = OLD_MM.mean() + LAID_MM + 0.6 * np.sin(3.0 * X)
    x, z, depth = (np.array(each) for each in list(zip(*MARKS, strict=True))[1:])
    fixed = [read(depth), read(depth + stands(here, x, z)), read(depth + stands(there, x, z))]
    names = [name for name, *_ in MARKS]
    again = [FixedAgain(*row) for row in zip(names, *(each.tolist() for each in fixed[1:]), strict=True)]
    marks = list(zip(names, x.tolist(), z.tolist(), fixed[0].tolist(), strict=True))
    sure = mt.Confidence(likely=mt.LikelyWall(reading_mm=error_mm))
    job = job_of(survey(read(OLD_MM)), marks, sureness=sure)
    after = survey(read(face + stands(here, X, Z)))
    later = survey(read(face - shrunk_mm + stands(there, X, Z)))
    return measured_in(folder_of(folder, job, again, after, later))


def test_a_shrinkage_of_four_tenths_is_seen(tmp_path):
    job, finished, found = later_at(0.4, tmp_path / "job")
    assert found.settled.mean_mm == pytest.approx(-0.4, abs=found.settled.uncertainty_mm)
    assert found.settled.uncertainty_mm < 0.3
    assert found.settled_by == found.laid_by
    known = with_measured(finished, (found,))
    ((settled,),) = (wall.settled for wall in known.walls)
    assert settled.uncertainty_mm * found.settled.factor == pytest.approx(found.settled.uncertainty_mm)
    (seen, *_) = shrinkage_seen(mt.evaluate(job), known)
    assert seen.is_seen
    assert seen.share == pytest.approx(0.4 / known.walls[0].mean_mm, abs=3 * seen.uncertainty_share)


def test_a_face_that_stayed_is_not_seen_to_shrink(tmp_path):
    job, finished, found = later_at(0.0, tmp_path / "job")
    (seen, *_) = shrinkage_seen(mt.evaluate(job), with_measured(finished, (found,)))
    assert abs(found.settled.mean_mm) <= found.settled.uncertainty_mm
    assert not seen.is_seen


def test_a_face_may_go_back_far_beyond_what_surveys_are_off_by(tmp_path):
    """Refused between a bare wall and its plaster, told of one that dries."""
    _, _, found = later_at(6.0, tmp_path / "job")
    assert found.settled.mean_mm == pytest.approx(-6.0, abs=found.settled.uncertainty_mm)
    bare, face = survey(OLD_MM), survey(OLD_MM - 6.0)
    marks = [(x, z, mm, mm) for _, x, z, mm in MARKS]
    with pytest.raises(mt.TakeoffError, match="behind the first survey"):
        mt.change_between(bare, face, marks)
    assert mt.change_between(bare, face, marks, same_face=True).mean_mm == pytest.approx(-6.0)


# -- what is filled in, and what is not ---------------------------------------------------------------


def test_what_a_hand_wrote_stays(tmp_path):
    own = {"mean_mm": 13.0, "uncertainty_mm": 0.7, "settled": (SettledCoat(-0.2, 0.1),)}
    _, finished, found = measured_in(usual_folder(tmp_path / "job", **own))
    assert with_measured(finished, (found,)) == finished


def test_too_few_fixed_places_fill_nothing_in_and_say_so(tmp_path):
    folder = usual_folder(tmp_path / "job")
    finished = open_finished(folder)
    (wall,) = finished.walls
    save_finished(Finished(walls=(replace(wall, fixed_again=wall.fixed_again[:2]),)), folder)
    _, finished, found = measured_in(folder)
    assert with_measured(finished, (found,)) == finished
    assert (found.thickness_mm, found.put_on_mm) == (None, None)
    assert measured_words(found) == ()
    assert found.laid.notices[0].startswith("Only the change of shape is told: 2 fixed places")


def test_a_mean_that_is_no_thickness_is_told(tmp_path):
    """A third of the wall 40 mm hacked off, nothing put on: not behind all over, and no thickness."""
    folder = usual_folder(tmp_path / "job")
    job, finished = mt.open_job(folder), open_finished(folder)
    after = survey(OLD_MM - 40.0 * (X < 1.0))
    marks = tuple(FixedAgain(name, mm) for name, _, _, mm in MARKS)
    wall = replace(finished.walls[0], fixed_again=marks)
    (found,) = measure_again(job, Finished(walls=(wall,)), {WALL.name: {AFTER: after}})
    assert found.laid.mean_mm < -5.0
    assert found.laid.notices[-1].startswith("On average the finished face lies ")
    assert "the wall counts as not measured" in found.laid.notices[-1]
    assert with_measured(Finished(walls=(wall,)), (found,)) == Finished(walls=(wall,))


def test_a_mean_that_is_not_sure_at_all_is_told(tmp_path):
    folder = usual_folder(tmp_path / "job")
    (wall,) = open_finished(folder).walls
    askew = tuple(
        replace(each, after_mm=each.after_mm + (300.0 if nth % 2 else -300.0))
        for nth, each in enumerate(wall.fixed_again[:4])
    )
    save_finished(Finished(walls=(replace(wall, fixed_again=askew),)), folder)
    _, finished, found = measured_in(folder)
    assert found.laid.uncertainty_mm / found.laid.factor > 100.0
    assert with_measured(finished, (found,)) == finished
    assert "Read the fixed places again" in found.laid.notices[-1]


def test_what_was_taken_down_first_counts_as_put_on(tmp_path):
    """A change is net of it: what was filled where the high spot had stood is plaster, too."""
    folder = usual_folder(tmp_path / "job")
    job = mt.open_job(folder)
    proud = survey(OLD_MM + 14.0 * (np.hypot(X - 0.5, Z - 1.4) < 0.3), plumb=True)
    job = replace(job, walls=(replace(job.walls[0], survey=proud, old_plaster_mm=20.0),))
    job = replace(job, plane=replace(job.plane, cut_mm=8.0))
    result = mt.evaluate(job)
    (wall,) = result.walls
    finished = open_finished(folder)
    (found,) = measure_again(job, finished, read_after(job, finished, folder))
    assert wall.build_up.cut_l > 0
    assert found.cut_mm == pytest.approx(wall.build_up.cut_l / wall.build_up.area_m2)
    assert found.put_on_mm == pytest.approx(found.laid.mean_mm + found.cut_mm)
    assert with_measured(finished, (found,)).walls[0].mean_mm == found.put_on_mm
    assert any("taken down first" in said for said in measured_words(found))


def test_the_wall_is_held_to_what_is_priced_of_it(tmp_path):
    """Loose areas grow as the job has them grow, reach and what is likely are the job's own."""
    folder = usual_folder(tmp_path / "job")
    job, finished = mt.open_job(folder), open_finished(folder)
    surveys = read_after(job, finished, folder)
    (wall,) = job.walls
    loose = replace(wall, loose=(mt.LooseArea(0.3, 0.8, 0.8, 0.8, 20.0),))
    means = [
        measure_again(replace(job, walls=(loose,), loose_growth_share=share), finished, surveys)[0].laid
        for share in (0.0, 1.0)
    ]
    area_m2 = means[0].area_m2.sum()
    more_mm = 20.0 * 0.64 / area_m2  # as much again comes off
    assert means[1].mean_mm - means[0].mean_mm == pytest.approx(more_mm, rel=0.1)
    rough = replace(job, sureness=mt.Confidence(likely=mt.LikelyWall(reading_mm=4.0)))
    calm, unsure = (
        {part.name: part.standard for part in measure_again(each, finished, surveys)[0].laid.parts}
        for each in (job, rough)
    )
    for name in ("first survey", "second survey"):
        assert unsure[name] > 2 * calm[name]


def test_the_job_and_what_was_written_down_stay_as_they_were(tmp_path):
    folder = usual_folder(tmp_path / "job")
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    job, finished, _ = measured_in(folder)
    assert (mt.open_job(folder), open_finished(folder)) == (job, finished)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


# -- in words -----------------------------------------------------------------------------------------


def test_in_words(tmp_path):
    _, _, found = later_at(0.4, tmp_path / "job")
    laid, settled = found.laid, found.settled
    put_on, places, back, again = measured_words(found)
    mean, off = (HOUSE.depth(mm, places=1) for mm in (laid.mean_mm, laid.uncertainty_mm))
    assert put_on.startswith(f"Put on: {mean} ± {off} on average over {HOUSE.number(5.4, 1)} m², ")
    assert f"{HOUSE.number(laid.volume_l, 0 if laid.uncertainty_l >= 1 else 1)} l ± " in put_on
    for said, change in ((places, laid), (again, settled)):
        for name, mm in zip(found.laid_by, change.residual_mm, strict=True):
            assert f"{name} {'' if abs(mm) < 0.05 else '+' if mm > 0 else '−'}{abs(mm):.1f}" in said
    mean = HOUSE.depth(abs(settled.mean_mm), places=1)
    assert back.startswith(f"Since then its face has gone back by {mean} ± ")


def test_a_place_that_moved_is_marked(tmp_path):
    folder = usual_folder(tmp_path / "job")
    (wall,) = open_finished(folder).walls
    moved = tuple(
        replace(each, after_mm=each.after_mm + 25.0 * (each.name == "lamp")) for each in wall.fixed_again
    )
    save_finished(Finished(walls=(replace(wall, fixed_again=moved),)), folder)
    _, _, found = measured_in(folder)
    (said,) = (each for each in measured_words(found) if each.startswith("Fixed places"))
    assert "lamp +25.0\N{NO-BREAK SPACE}mm (put aside)" in said or "lamp +25.0 mm (put aside)" in said
    assert said.count("(put aside)") == 1
