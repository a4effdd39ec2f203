"""What a client reads of a finished wall: the figures are those judged, the verdict is never kinder."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date

import pytest
from finished_walls import HELD, dish, flat, read

import mytakeoff as mt
from mytakeoff.acceptance.in_words import (
    history_words,
    in_hundred,
    judged_words,
    rule_words,
    snag_words,
    snags_words,
)
from mytakeoff.formats.formats import HOUSE, Formats

FEET = Formats(feet_and_inches=True)
GAP = mt.Judged("hollow gap", "mm", 0.0, 3.0, 1.0, 0.5, x_m=1.2, z_m=0.4, edge_m=2.0)


@pytest.mark.parametrize(
    ("judged", "said"),
    [
        (GAP, "Gap under a 2 m edge at x 1.20 m, z 0.40 m: 1.0 ± 1.0 mm, 3 mm allowed: passes"),
        (
            replace(GAP, measured=5.0),
            "5.0 ± 1.0 mm, 3 mm allowed: fails; that it conforms all the same: under 1 in",
        ),
        (replace(GAP, measured=2.6), "too close to call: that it conforms is 79 in 100."),
        (
            replace(GAP, chance_between=0.9),
            "by what may lie between the readings: of 100 walls read like this 90",
        ),
        (replace(GAP, unseen_m=1.34), "too close to call: places up to 1.34 m across were not read"),
        (replace(GAP, what="belly"), "Bulge under a 2 m edge"),
        (replace(GAP, what="gap under a laid edge"), "Gap under a laid 2 m edge"),
        (replace(GAP, x_m=math.nan, measured=0.0), "Gap under a 2 m edge: 0.0 ± 1.0 mm"),
        (
            mt.Judged("lean", "mm", -13.0, 8.0, -9.0, 1.0, "either way"),
            "9.0 ± 2.0 mm back; 13 mm back was promised, 8 mm either way allowed: passes",
        ),
        (mt.Judged("lean", "mm", 0.0, 8.0, 12.0, 1.0, "either way"), "into the room; plumb was promised"),
        (
            mt.Judged("corner", "mm/m", 0.0, 5.0, -9.0, 1.0, "either way"),
            "Corner: 9.0 ± 2.0 mm on a metre narrower than promised, 5 mm either way allowed: fails",
        ),
        (
            mt.judge_width(mt.ClearWidth("bath", "A", "C", 1700.0, 0.5), 1704.0, 2.0),
            "Clear width for bath: 1704 ± 2 mm, 1700 mm must remain: passes",
        ),
    ],
)
def test_each_thing_says_measured_known_allowed_verdict_and_risk(judged, said):
    words = judged_words(judged, HOUSE)
    assert said in words
    assert words.endswith(".")


def test_what_is_too_close_says_where_to_lay_the_edge():
    close = replace(GAP, measured=2.6, ends_m=((0.5, 0.4), (2.4, 0.4)))
    assert judged_words(close, HOUSE).endswith(
        "Lay the edge there, from x 0.50 m, z 0.40 m to x 2.40 m, z 0.40 m, and read the gap with a wedge."
    )
    assert "Lay the edge" not in judged_words(replace(close, measured=1.0), HOUSE)


@pytest.mark.parametrize("chance", [0.0, 1e-6, 0.004, 0.5, 0.9951, 1 - 1e-9, 1.0])
def test_no_chance_is_said_as_nothing_or_as_certainty(chance):
    assert in_hundred(chance) not in ("0 in 100", "100 in 100")


def test_feet_and_inches_have_no_metric_lengths():
    words = judged_words(replace(GAP, measured=2.6, ends_m=((0.5, 0.4), (2.4, 0.4))), FEET)
    assert not re.search(r"\d (m|mm)\b", words)


def test_a_finished_wall_says_verdict_things_unknown_and_rule():
    finished = mt.judge_finished(HELD, read(flat, 0.5))
    words = mt.finished_words(finished, HOUSE)
    assert words[0] == "north: what was promised (own) passes."
    assert [line.split(":")[0] for line in words[1:3]] == ["Gap under a 2 m edge", "Lean over its height"]
    assert any("apart: a hollow up to 0.64 m across can lie between them unseen" in line for line in words)
    assert words[-1] == rule_words(mt.AcceptanceRule(), HOUSE)
    simple = mt.judge_finished(HELD, read(flat, 0.5), rule=mt.AcceptanceRule("simple acceptance"))
    assert "simple acceptance (JCGM 106:2012, 8.2)" in mt.finished_words(simple, HOUSE)[-1]


def test_a_snag_says_where_it_is_as_one_measures_it():
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 0.4, 7.0), 0.1)
    first = mt.CheckRound(date(2027, 3, 1), "a", (mt.HandMark(2.1, 1.2, "light", 6.0),))
    snags = mt.snag_book(HELD, [first], {"a": survey}, mt.TouchUp(cut_limit_mm=0.0))
    [snag] = snags.snags
    words = snag_words(snag, HOUSE)
    assert words.startswith("2.00 m from the left end, 1.25 m up from the floor: hollow, 5.3 mm to fill on ")
    assert words.endswith("; light of 6.0 mm under 2 m by hand")
    assert history_words(snag, HOUSE) == "found 1 Mar 2027"
    assert snags_words(snags, HOUSE).startswith("north: 1 snag to do; ")
    again = mt.CheckRound(date(2027, 3, 8), "b", done=(1,))
    closed = mt.snag_book(HELD, [first, again], {"a": survey, "b": read(flat, 0.1)})
    assert snags_words(closed, HOUSE) == "north: 1 snag, all checked."
    assert snags_words(mt.SnagList(HELD, ()), HOUSE) == "north: nothing to touch up."
