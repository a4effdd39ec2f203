"""A finished wall by its whole record: which survey judges it, what marks add, the verdicts as a file."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pytest
from csv_back import read_back
from demo import coarse_demo
from finished_walls import dish

import mytakeoff as mt
from mytakeoff.acceptance.checked_wall import latest_survey
from mytakeoff.acceptance.verdict_table import verdict_frame
from mytakeoff.finished.finished_wall import FinishedWall

NAME, DAY = "breast front", date(2027, 3, 12)
FLAT, HOLLOW = "flat.csv", "hollow.csv"


@cache
def priced() -> mt.Result:
    return mt.evaluate(coarse_demo())


@cache
def surveys() -> dict[str, mt.Survey]:
    """The face of a wall of the demo job, true and with a dish of 12 mm, read every 15 cm."""
    wall = priced().job.wall(NAME).wall
    x, z = np.meshgrid(np.arange(0.05, wall.width_m, 0.15), np.arange(0.05, wall.height_m, 0.15))
    faces = {FLAT: 0.0 * x, HOLLOW: dish(x, z, (0.75, 1.3), 0.4, 12.0)}
    return {name: mt.Survey.from_readings(wall, x, z, face, plumb=True) for name, face in faces.items()}


def check(*rounds: mt.CheckRound, after: str = "") -> mt.CheckedWall:
    wall = next(each for each in priced().walls if each.entry.name == NAME)
    return mt.check_wall(priced().job, wall, FinishedWall(NAME, after=after, rounds=rounds), surveys())


def mark(mm: float, x: float = 0.75, z: float = 2.2) -> mt.HandMark:
    return mt.HandMark(x, z, "light", mm)


def test_the_last_survey_judges():
    rounds = (mt.CheckRound(DAY, HOLLOW), mt.CheckRound(DAY, FLAT), mt.CheckRound(DAY))
    assert latest_survey(FinishedWall(NAME, after="a", later="b", rounds=rounds)) == FLAT
    assert check(after=HOLLOW).outcome == check(rounds[0]).outcome == "fail"
    made = check(*rounds)
    assert (made.survey, made.outcome) == (FLAT, "pass")
    assert [snag.state for snag in made.snags.snags] == ["checked"]


def test_without_a_round_its_snags_are_those_of_its_survey():
    made = check(after=HOLLOW)
    assert [(snag.kind, snag.seen_by) for snag in made.snags.snags] == [("hollow", ("readings",))]
    assert made.snags.known_after == ()


@pytest.mark.parametrize(("mm", "outcome"), [(0.0, "pass"), (25.0, "fail")])
def test_an_edge_laid_by_hand_counts_beside_the_survey(mm, outcome):
    made = check(mt.CheckRound(DAY, FLAT, (mark(mm),)))
    (judged,) = made.by_hand
    assert (judged.measured, judged.outcome) == (mm, outcome)
    assert made.outcome == outcome


def test_a_mark_that_was_put_right_counts_no_more():
    first = mt.CheckRound(DAY, FLAT, (mark(25.0),))
    made = check(first, mt.CheckRound(DAY, marks=(mark(1.0),), done=(1,)))
    assert made.by_hand[0].measured == 1.0
    assert made.snags.known_after == ((1,), (1,))
    still = check(first, mt.CheckRound(DAY))
    assert still.by_hand[0].measured == 25.0, "nobody looked there again"


def test_another_rule_decides_anew_and_measures_nothing():
    made = check(mt.CheckRound(DAY, FLAT, (mark(2.0),)))
    simple = made.decided_by(mt.AcceptanceRule("simple acceptance"))
    assert simple.by_survey.between is made.by_survey.between
    assert simple.snags is made.snags
    assert {each.rule.name for each in simple.judged} == {"simple acceptance"}
    assert [each.measured for each in simple.judged] == [each.measured for each in made.judged]


def test_what_was_judged_before_is_not_judged_again():
    made = check(mt.CheckRound(DAY, FLAT))
    wall = next(each for each in priced().walls if each.entry.name == NAME)
    record = FinishedWall(NAME, rounds=(mt.CheckRound(DAY, FLAT, (mark(25.0),)),))
    again = mt.check_wall(priced().job, wall, record, surveys(), made.by_survey)
    assert again.by_survey is made.by_survey
    assert again.outcome == "fail"


@pytest.mark.parametrize("audience", ["estimator", "client"])
def test_the_file_is_the_table(tmp_path, audience):
    made = check(mt.CheckRound(DAY, FLAT, (mark(25.0),)))
    name = {"estimator": "verdicts.csv", "client": "verdicts-client.csv"}
    mt.write_verdicts([made], tmp_path / name[audience], audience=audience)
    back, frame = read_back(tmp_path / name[audience]), verdict_frame([made], audience)
    assert list(back) == list(frame)
    for column in ("what", "verdict", "decided_by", "in_words", "shown_to"):
        assert back[column].tolist() == frame[column].tolist()
    assert [float(mm) for mm in back["measured"]] == frame["measured"].tolist()
    assert back["survey"].fillna("").tolist() == [FLAT] * len(made.by_survey.judged) + [""]
    assert back["verdict"].tolist()[-1] == "fail"
    other = "client" if audience == "estimator" else "estimator"
    with pytest.raises(mt.TakeoffError, match="-client"):
        mt.write_verdicts([made], tmp_path / name[audience], audience=other)
