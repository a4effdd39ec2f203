"""Rounds of checking: what is found, touched up, checked, reopened, and what nobody looked at."""

from __future__ import annotations

from datetime import date

import pytest
from effort import examples
from finished_walls import HELD, dish, flat, read
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt

DAYS = [date(2027, 3, day) for day in (1, 8, 15, 22)]


def hollows(*places):
    return lambda x, z: sum((dish(x, z, at, 0.35, 7.0) for at in places), 0.0 * x)


LEFT, RIGHT = (1.0, 1.2), (3.0, 1.2)
SURVEYS = {
    "both": read(hollows(LEFT, RIGHT), 0.1),
    "right": read(hollows(RIGHT), 0.1),
    "none": read(flat, 0.1),
    "coarse": read(flat, 0.95),
}
FILL_ONLY = mt.TouchUp(cut_limit_mm=0.0)


def book(*rounds: mt.CheckRound) -> mt.SnagList:
    return mt.snag_book(HELD, rounds, SURVEYS, FILL_ONLY)


def told(snags: mt.SnagList) -> dict[int, tuple[str, list[str]]]:
    return {snag.number: (snag.state, [event.what for event in snag.history]) for snag in snags.snags}


def on(nth: int, survey: str = "", **more) -> mt.CheckRound:
    return mt.CheckRound(DAYS[nth], survey, **more)


def light(mm: float, at=(2.0, 0.7)) -> mt.HandMark:
    return mt.HandMark(*at, "light", mm)


def test_what_is_gone_after_touching_up_is_checked_and_what_is_not_stays_open():
    assert told(book(on(0, "both"))) == {1: ("open", ["found"]), 2: ("open", ["found"])}
    assert told(book(on(0, "both"), on(1, "right", done=(1, 2)))) == {
        1: ("checked", ["found", "done", "checked"]),
        2: ("open", ["found", "done", "still there"]),
    }


def test_what_was_touched_up_is_done_until_somebody_looks():
    assert told(book(on(0, "both"), on(1, done=(2,))))[2] == ("done", ["found", "done"])


def test_what_comes_back_is_reopened_under_its_number_with_its_history():
    snags = book(on(0, "both"), on(1, "none", done=(1, 2)), on(2, "right"))
    assert told(snags)[2] == ("open", ["found", "done", "checked", "reopened"])
    assert [event.on for event in snags.snags[1].history] == [DAYS[0], DAYS[1], DAYS[1], DAYS[2]]
    assert [snag.number for snag in snags.to_do] == [2]
    assert snags.litres == pytest.approx(snags.snags[1].litres)


def test_new_ones_take_the_next_numbers_and_stand_by_their_places():
    snags = book(on(0, "right"), on(1, "both"))
    assert [(snag.number, round(snag.x_m)) for snag in snags.snags] == [(2, 1), (1, 3)]


def test_a_place_keeps_its_number_whatever_is_found_out_about_an_earlier_round():
    rounds = [on(0, "right"), on(1, "both"), on(2, "none", done=(2,))]
    assert [(snag.number, round(snag.x_m)) for snag in book(*rounds).snags] == [(2, 1), (1, 3)]
    forgotten = on(0, "right", marks=(light(5.0), light(5.0, (0.3, 0.3))))
    places = [mt.NumberedSnag(1, "hollow", 3.1, 1.1), mt.NumberedSnag(2, "hollow", 1.0, 1.2)]
    snags = mt.snag_book(HELD, [forgotten, *rounds[1:]], SURVEYS, FILL_ONLY, places=places)
    by_number = {snag.number: (round(snag.x_m, 1), round(snag.z_m, 1)) for snag in snags.snags}
    assert by_number == {1: (3.0, 1.2), 2: (1.0, 1.2), 3: (0.3, 0.3), 4: (2.0, 0.7)}
    assert snags.known_after == ((1, 3, 4), (1, 2, 3, 4), (1, 2, 3, 4))
    assert told(snags)[2] == ("checked", ["found", "done", "checked"])


def test_a_number_whose_place_shows_nothing_any_more_is_given_as_if_it_had_none():
    places = [mt.NumberedSnag(2, "hollow", 2.0, 2.3)]
    snags = mt.snag_book(HELD, [on(0, "both"), on(1, done=(2,))], SURVEYS, FILL_ONLY, places=places)
    assert told(snags) == {1: ("open", ["found"]), 2: ("done", ["found", "done"])}
    with pytest.raises(mt.TakeoffError, match="number 3 touched up") as error:
        book(on(0, "both"), on(1, done=(3,)), on(2, done=(4,)))
    assert len(error.value.mistakes) == 2


def test_the_place_of_another_kind_or_too_far_away_says_nothing_of_a_number():
    for kind, x_m in (("high", 3.0), ("hollow", 3.8)):
        places = [mt.NumberedSnag(7, kind, x_m, 1.2)]
        snags = mt.snag_book(HELD, [on(0, "both")], SURVEYS, FILL_ONLY, places=places)
        assert [snag.number for snag in snags.snags] == [1, 2]


def test_readings_that_never_saw_a_place_do_not_close_what_an_edge_showed_there():
    found = on(0, "coarse", marks=(light(5.0),))
    assert told(book(found, on(1, "coarse", done=(1,))))[1] == ("done", ["found", "done"])
    assert told(book(found, on(1, "none", done=(1,))))[1][0] == "checked"
    assert told(book(found, on(1, marks=(light(1.0),), done=(1,))))[1][0] == "checked"
    assert told(book(found, on(1, marks=(light(1.0, (3.5, 2.0)),), done=(1,))))[1][0] == "done"
    rocks = mt.HandMark(2.0, 0.7, "rocks", 0.0)
    assert told(book(found, on(1, marks=(rocks,), done=(1,))))[1][0] == "done"
    assert told(book(found, on(1, marks=(light(4.0),), done=(1,))))[1] == (
        "open",
        ["found", "done", "still there"],
    )


def test_a_survey_does_not_close_what_it_did_not_reach():
    x_m, z_m = SURVEYS["none"].x_m, SURVEYS["none"].z_m
    half = x_m < 2.0
    left = mt.Survey.from_readings(HELD.wall, x_m[half], z_m[half], 0.0 * x_m[half])
    snags = mt.snag_book(HELD, [on(0, "both"), on(1, "left")], {**SURVEYS, "left": left}, FILL_ONLY)
    assert {number: state for number, (state, _) in told(snags).items()} == {1: "checked", 2: "open"}


def test_the_surface_and_the_repair_are_those_of_the_last_survey():
    snags = book(on(0, "both"), on(1, "right"), on(2, marks=(light(1.0),)))
    assert snags.surface.proud_mm.min() == pytest.approx(-7.0, abs=0.3)
    assert snags.repair.volume_l == pytest.approx(book(on(0, "right")).litres)
    assert book(on(0, marks=(light(5.0),))).surface is None


names = st.sampled_from(["", "both", "right", "none", "coarse"])
marks = st.lists(
    st.builds(light, st.sampled_from([0.0, 2.0, 5.0]), st.sampled_from([(2.0, 0.7), LEFT])), max_size=2
)


@given(st.lists(st.tuples(names, marks), min_size=1, max_size=4))
@examples(25)
def test_no_snag_is_ever_lost_and_each_keeps_its_number(rounds):
    made = [on(nth, name, marks=tuple(own)) for nth, (name, own) in enumerate(rounds)]
    before: dict[int, tuple[str, list[str]]] = {}
    for count in range(1, len(made) + 1):
        now = told(book(*made[:count]))
        assert set(before) <= set(now)
        assert sorted(now) == list(range(1, len(now) + 1))
        for number, (state, history) in now.items():
            assert history[: len(before.get(number, ("", []))[1])] == before.get(number, ("", []))[1]
            assert history[0] == "found"
            assert (state == "checked") == (history[-1] == "checked")
        before = now


@pytest.mark.parametrize(
    ("rounds", "said"),
    [
        ((on(1), on(0)), "rounds stand in the order of their days"),
        ((on(0, "gone"),), "the survey of a round is one that is there"),
        ((on(0, "right"), on(1, done=(2,))), "it is a snag of an earlier round; write one of 1"),
        ((on(0, done=(1,)),), "it is a snag of an earlier round; leave it out"),
        ((on(0, marks=(light(4.0, (9.0, 1.0)),)),), "a mark is made on the wall"),
    ],
)
def test_rounds_that_cannot_be_are_refused(rounds, said):
    with pytest.raises(mt.TakeoffError, match=said):
        book(*rounds)


def test_a_number_under_one_is_refused():
    with pytest.raises(mt.TakeoffError, match="round of 2027-03-01"):
        on(0, done=(0,))
