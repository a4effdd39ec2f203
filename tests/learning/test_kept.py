"""What became of offers: taken with the reason, left as long as finished jobs say the same, taken back."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from done_jobs import BACKING, done_job, small_job

import mytakeoff as mt
from mytakeoff.formats.formats import HOUSE
from mytakeoff.formats.inches import NBSP
from mytakeoff.job.ranges import LABOUR, WASTE
from mytakeoff.learning.kept import (
    reasons_in,
    still_offered,
    with_offers_again,
    with_offers_left,
    with_offers_taken,
)
from mytakeoff.learning.learn import Lessons, heard, heard_steps, learn, without_job
from mytakeoff.learning.words import moved_words, reasons_words
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.steps import run

DENSITY = f"mix density: {BACKING}"


@cache
def lessons(jobs: int = 3) -> Lessons:
    return learn(done_job(nth, denser=1.06, wasted=0.15, slower=1.2) for nth in range(1, jobs + 1))


def next_job() -> mt.Job:
    return replace(small_job(7), state="draft")


def names(job: mt.Job, jobs: int = 3) -> list[str]:
    return [offer.name for offer in still_offered(job, lessons(jobs))]


def test_what_is_taken_keeps_its_reason():
    job = with_offers_taken(next_job(), lessons(), [DENSITY, "waste"])
    assert [each.name for each in reasons_in(job)] == [DENSITY, "waste"]
    density = reasons_in(job)[0]
    assert (density.was, density.jobs, density.taken) == (0.8, 3, True)
    assert density.becomes == pytest.approx(0.8 * 1.06**0.6, abs=1e-4)  # by hand, as in test_learn
    (said,) = reasons_words(reasons_in(job), HOUSE)
    assert said.replace(NBSP, " ") == (
        f"From 3 finished jobs of your own since 2 Mar 2027: density of {BACKING} 0.80 kg/l → 0.83 kg/l; "
        "waste 10.0 % → 13.0 %."
    )
    assert not {DENSITY, "waste"} & set(names(job))
    assert {each.name for each in job.ranges} == {"mix density", WASTE}


def test_hours_of_any_task_bring_the_range_of_the_labour_rate_along():
    job = with_offers_taken(next_job(), lessons(), ["hours: rails"])
    assert [each.name for each in job.ranges] == [LABOUR]
    assert [each.name for each in job.learnt] == ["hours: rails"]
    assert with_offers_taken(next_job(), lessons(), ["waste"]).ranges[0].name == WASTE


def test_a_figure_that_was_changed_since_has_no_reason_any_more():
    job = with_offers_taken(next_job(), lessons(), ["waste"])
    assert reasons_in(job)
    assert reasons_in(replace(job, waste_share=0.2)) == ()
    odd = replace(job, learnt=(mt.LearntFigure("hours: singing", 1, 2), mt.LearntFigure("luck", 1, 2)))
    assert reasons_in(odd) == ()


def test_what_is_left_stays_gone_until_the_jobs_say_something_else():
    job = next_job()
    left = with_offers_left(job, still_offered(job, lessons()))
    assert replace(left, learnt=()) == job
    assert names(left) == []
    assert set(names(left, 4)) == set(names(job, 4)) != set(), "a fourth job says more"
    assert names(with_offers_again(left)) == names(job)


def test_one_left_the_others_are_still_offered():
    job = next_job()
    (waste,) = (offer for offer in still_offered(job, lessons()) if offer.name == "waste")
    left = with_offers_left(job, [waste])
    assert names(left) == [name for name in names(job) if name != "waste"]
    taken = with_offers_taken(left, lessons(), [DENSITY])
    assert [(each.name, each.taken) for each in taken.learnt] == [("waste", False), (DENSITY, True)]
    assert with_offers_again(taken).learnt == taken.learnt[1:]


def test_taken_again_it_says_where_it_began():
    once = with_offers_taken(next_job(), lessons(2), ["waste"])
    twice = with_offers_taken(once, lessons(3), ["waste"])
    (figure,) = twice.learnt
    assert (figure.was, figure.jobs) == (0.1, 3)
    assert figure.becomes > once.learnt[0].becomes


def test_a_name_that_nothing_was_learnt_of_is_refused():
    with pytest.raises(mt.TakeoffError, match="luck"):
        with_offers_taken(next_job(), lessons(), ["luck"])


def test_it_is_saved_with_the_job_and_in_no_figure_of_it(tmp_path: Path):
    job = with_offers_taken(next_job(), lessons(), ["waste"])
    left = with_offers_left(job, still_offered(job, lessons()))
    mt.save_job(left, tmp_path / "job")
    again = mt.open_job(tmp_path / "job")
    assert again.learnt == left.learnt
    assert names(again) == []
    assert '[[learnt]]\nname = "waste"' in (tmp_path / "job" / "job.toml").read_text(encoding="utf-8")
    assert mt.evaluate(left).cost == mt.evaluate(job).cost
    assert fingerprint_of(left) == fingerprint_of(job)


def test_two_words_of_one_figure_are_no_job():
    figure = mt.LearntFigure("waste", 0.1, 0.12)
    with pytest.raises(mt.TakeoffError, match="two learnt figures called 'waste'"):
        replace(next_job(), learnt=(figure, figure))
    with pytest.raises(mt.TakeoffError, match="no name"):
        mt.LearntFigure(" ", 0.1, 0.12)


def test_what_one_job_added_is_what_the_others_do_not_say():
    others = without_job(lessons(), "job 2")
    alone = learn(done_job(nth, denser=1.06, wasted=0.15, slower=1.2) for nth in (1, 3))
    assert others.jobs == ("job 1", "job 3")
    for each in alone.learnt:
        assert others.named(each.name).value == pytest.approx(each.value)
        assert abs(others.named(each.name).moved_share) < abs(lessons().named(each.name).moved_share)


def test_two_figures_that_would_read_alike_are_told_apart():
    said = moved_words(DENSITY, 0.8, 0.802, HOUSE)
    assert [each.replace(NBSP, " ") for each in said] == ["0.8000 kg/l", "0.8020 kg/l"]


def test_heard_step_by_step_a_job_says_the_same():
    done = done_job(5, denser=1.06, wasted=0.15)
    open_to_chance = replace(done, job=replace(done.job, missed_high_spot_mm=None))
    for each in (done, open_to_chance):
        steps = heard_steps(each)
        assert next(steps) is None, "not all of it at once"
        assert run(steps) == heard(each)
    broken = replace(done, finished=mt.Finished((mt.Delivered("mesh", 1, brought_back=3),)))
    assert run(heard_steps(broken)) == heard(broken)
    assert heard(broken).mistakes


def test_a_figure_that_is_all_but_nothing_keeps_its_reason():
    """It is kept to four places, which is no longer a thousandth of it."""
    told = learn([done_job(1, slower=1e-4)])
    offered = still_offered(next_job(), told)
    hours = next(offer for offer in offered if offer.name == "hours: rails")
    assert abs(round(hours.becomes, 4) / hours.becomes - 1) > 1e-3
    assert hours.name in [each.name for each in reasons_in(with_offers_taken(next_job(), told, [hours.name]))]
    left = with_offers_left(next_job(), offered)
    assert still_offered(left, told) == ()
