"""What finished jobs move, what they say together, and what nothing is learnt from."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from demo import coarse_demo
from done_jobs import BACKING, SKIM, done_job

import mytakeoff as mt
from mytakeoff.finished.record import Delivered, Finished, HoursSpent
from mytakeoff.formats.formats import HOUSE
from mytakeoff.formats.inches import NBSP
from mytakeoff.learning.evidence import FinishedJob, evidence_of
from mytakeoff.learning.learn import learn
from mytakeoff.learning.learnt import learnt_of, shared_shift
from mytakeoff.learning.priors import Evidence, Prior
from mytakeoff.learning.words import learnt_words, lessons_words, quantile_words


def test_three_jobs_six_per_cent_denser():
    """By hand: the default stands for two jobs, so three of five parts of the way: 0.8 × 1.06^0.6 = 0.828."""
    lessons = learn(done_job(nth, denser=1.06) for nth in (1, 2, 3))
    density = lessons.named(f"mix density: {BACKING}")
    assert density.value == pytest.approx(0.8 * 1.06**0.6, rel=1e-6)
    assert density.seen == pytest.approx(0.848)
    said = learnt_words(density, HOUSE).replace(NBSP, " ")
    assert said == (
        f"Your {BACKING} came out 6 % denser over 3 jobs: 0.80 kg/l → 0.83 kg/l; "
        "default moved since 2 Mar 2027."
    )
    assert [each.job for each in density.evidence] == ["job 1", "job 2", "job 3"]
    assert lessons.left_out == ()
    low, middle, high = (density.after.quantile(share) for share in (0.1, 0.5, 0.9))
    assert middle == pytest.approx(density.value)
    assert low < middle < high
    assert "as strong as 2 jobs" in quantile_words(density, HOUSE)


def test_each_figure_comes_back_as_it_was_put_in():
    found = {
        prior.name: evidence
        for prior, evidence in evidence_of(
            done_job(1, denser=1.1, wasted=0.2, slower=1.25, spots=4, strayed=1.4, sure_mm=0.5)
        )
    }
    assert found[f"mix density: {BACKING}"].value == pytest.approx(0.88)
    assert 0.01 < found[f"mix density: {BACKING}"].uncertainty_share < 0.1
    assert found["waste"].value == pytest.approx(0.2)
    for task in ("rails", "float backing", "finish coat", "all tasks"):
        assert found[f"hours: {task}"].value == pytest.approx(1.25, rel=1e-3)
    (spots,) = (each for name, each in found.items() if name.startswith("high spots"))
    assert spots.point == pytest.approx(4 / spots.area_m2)
    assert found["strayed"].value == pytest.approx(1.4)
    assert found["strayed"].uncertainty_share == pytest.approx(0.1)  # of fifty places: 1/√(2·50)


def test_hours_are_against_the_default_rates_whatever_the_job_was_priced_with():
    """A job priced with what was learnt before says the same as one priced at the defaults."""
    done = done_job(1, slower=1.3)
    own = replace(done.job, rates=replace(done.job.rates, rails_h_per_m=0.3, skim_h_per_m2=0.39))
    for job in (done.job, own):
        said = {prior.name: each.value for prior, each in evidence_of(replace(done, job=job))}
        assert said["hours: rails"] == pytest.approx(1.3, rel=1e-3)
        assert said["hours: finish coat"] == pytest.approx(1.3, rel=1e-3)


def test_density_takes_a_second_survey():
    done = done_job(1, denser=1.1)
    blind = replace(done, finished=replace(done.finished, walls=()))
    assert not any(prior.kind == "mix density" for prior, _ in evidence_of(blind))


def test_where_nobody_looked_at_the_waste_density_is_less_sure_and_waste_says_nothing():
    done = done_job(1)
    (came,) = done.finished.deliveries
    blind = replace(done, finished=replace(done.finished, deliveries=(replace(came, wasted=None),)))
    said = {prior.name: each for prior, each in evidence_of(blind)}
    assert said[f"mix density: {BACKING}"].uncertainty_share == pytest.approx(0.05)
    assert "waste" not in said


def test_other_mixes_move_where_one_starts():
    """Backing alone; then a skim as much denser in the same jobs pulls it further, and itself."""
    alone = learn(done_job(nth, denser=1.06) for nth in (1, 2)).named(f"mix density: {BACKING}")
    both = learn(done_job(nth, denser=1.06, mixes=(BACKING, SKIM)) for nth in (1, 2))
    backing, skim = (both.named(f"mix density: {name}") for name in (BACKING, SKIM))
    assert 0.8 < alone.value < backing.value < 0.848
    assert skim.moved_share == pytest.approx(backing.moved_share)
    assert backing.before == alone.before


def test_the_shift_by_hand():
    """Two jobs of another mix, 10 % and 0 % off: half of 10 % in logs, and two of four parts of that."""
    prior = Prior("mix density", "a", 1.0)
    rows = [Evidence("one", 1.1), Evidence("two", 1.0)]
    assert shared_shift([(prior, rows)]) == pytest.approx(math.log(1.1) / 4)
    assert shared_shift([]) == 0.0
    assert learnt_of(Prior("mix density", "b", 2.0), (), 0.1).after.mean == pytest.approx(2 * math.exp(0.1))


def test_a_figure_that_no_job_speaks_of_stays():
    none = learnt_of(Prior("hours", "rails", 1.0), ())
    assert none.after == none.before
    assert not none.is_offered
    assert "No job says anything of hours: rails" in learnt_words(none, HOUSE)
    assert learn([]).learnt == ()
    with pytest.raises(mt.TakeoffError, match="nothing yet"):
        learn([]).named("waste")


def test_where_it_started_is_what_the_first_job_had():
    """Of a mix of the user's own, the density before anything was taken over: jobs come in any order."""
    own = [done_job(nth, denser=1.06, mixes=("gypsum skim",)) for nth in (3, 1)]
    (skim,) = (each for each in learn(own).learnt if each.prior.kind == "mix density")
    assert skim.prior.default == 1.25
    assert skim.since == own[1].job.calendar.start


def test_a_copy_counts_once():
    one, other = done_job(1, denser=1.1), done_job(2, denser=1.1)
    copy = replace(one, name="copy of job 1", job=replace(one.job, title="another title"))
    lessons = learn([one, other, copy])
    assert lessons.jobs == ("job 1", "job 2")
    assert lessons.learnt == learn([one, other]).learnt
    (told,) = lessons.left_out
    assert told.place == "copy of job 1"
    assert "job 1" in told.found


def test_of_copies_that_say_otherwise_none_counts():
    one, other = done_job(1, denser=1.1), replace(done_job(1, denser=0.9), name="copy")
    lessons = learn([one, other, done_job(2)])
    assert lessons.jobs == ("job 2",)
    assert [mistake.place for mistake in lessons.left_out] == ["job 1", "copy"]
    assert all("otherwise" in mistake.found for mistake in lessons.left_out)


def test_an_account_that_cannot_be_is_told_and_left_out():
    wrong = FinishedJob("job 2", done_job(2).job, Finished((Delivered("mesh", 1, brought_back=3),)))
    lessons = learn([done_job(1), wrong])
    assert lessons.jobs == ("job 1",)
    assert all(mistake.place.startswith("job 2") for mistake in lessons.left_out)
    said = list(lessons_words(lessons, HOUSE))
    assert any(line.startswith("Not learnt from: job 2") for line in said)
    assert len(said) == len(lessons.learnt) + len(lessons.left_out)


def test_a_job_without_anything_written_down_says_nothing():
    empty = replace(done_job(1), finished=Finished())
    assert evidence_of(empty) == ()
    assert learn([empty]).jobs == ()


def test_the_demonstration_job_counts_only_where_no_other_finished_job_lies_beside_it():
    demonstration = FinishedJob("hollow-quay", coarse_demo(), Finished(hours=(HoursSpent("rails", 9.0),)))
    own = done_job(1, slower=1.2)
    alone, both = learn([demonstration]), learn([demonstration, own])
    assert alone.jobs == ("hollow-quay",)
    assert alone.left_out == ()
    assert both.jobs == (own.name,)
    assert both.learnt == learn([own]).learnt
    (told,) = both.left_out
    assert told.place == "hollow-quay"
    assert "invented" in str(told)
    silent = replace(own, finished=Finished())
    assert learn([demonstration, silent]).jobs == ("hollow-quay",), "one that says nothing is no evidence"
