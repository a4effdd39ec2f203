"""What of a price is guessed, because nobody read the ground: on the screen, in print, for the client."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hand import entry_of, job_of

import mytakeoff as mt
from mytakeoff.audience import CLIENT
from mytakeoff.io.tables.costs import export_costs
from mytakeoff.job.treatments import Treatment
from mytakeoff.panels.parts import range_words, words
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.treatment.guesses import guess_of

WALL = mt.Wall("A", 2.4, 2.0)


def scan(upto_m: float) -> mt.Survey:
    """A wavy wall of which a scan saw so much from its left end [m]."""
    rng = np.random.default_rng(6)
    x, z = rng.uniform(0, upto_m, 4000), rng.uniform(0, 2.0, 4000)
    return mt.Survey.from_readings(WALL, x, z, 4 * np.sin(4 * x + z) + 3 * z, layout="scan")


def result_of(survey: mt.Survey, **details) -> mt.Result:
    return mt.evaluate(job_of(replace(entry_of(WALL), survey=survey), **({"reach_m": 3.0} | details)))


@pytest.fixture(scope="module")
def part() -> mt.Result:
    return result_of(scan(1.8))


def test_the_share_that_was_not_read_is_said_with_its_litres_and_the_range(part):
    [wall] = part.walls
    guess = guess_of(wall)
    assert guess.area_m2 == pytest.approx(0.6 * 2.0, rel=0.1)
    assert guess.of_m2 == pytest.approx(4.8)
    unread = wall.surface.x_m > 1.8
    by_hand = (wall.build_up.thickness_mm * wall.surface.cell_area_m2)[:, unread].sum()
    assert guess.litres == pytest.approx(by_hand, rel=0.1)
    low, high = guess.likely_l
    band = job_ranges(part).walls[0].litres
    assert (low, high) == pytest.approx((band.low, band.high), rel=0.02)
    assert low < part.litres < high
    [said] = part.guessed
    assert said.startswith(
        f"A: about 1.1 of 4.8 m² ({100 * guess.area_m2 / 4.8:.0f} %) were not read: carried on"
    )
    assert (
        f"{guess.litres:.0f} of its {guess.of_l:.0f} l lie there; it takes likely {low:.0f} to {high:.0f} l"
        in said
    )


def test_print_screen_and_notices_say_it(part):
    [said] = part.guessed
    assert said.removesuffix(".") in str(part)
    assert said in words.headline(part)
    assert any("m² (2" in notice and "were not read" in notice for notice in part.notices)


def test_the_client_is_told_what_could_not_be_measured(part):
    said = words.headline(part, CLIENT)
    assert "1.1 m² could not be measured; the price assumes that the wall goes on there as beside it." in said
    assert "lie there" not in said


def test_the_clients_file_says_what_his_screen_says(part, tmp_path):
    little = result_of(scan(1.8), reach_m=0.2)
    for result, sentence in (
        (part, "1.1 m² could not be measured; the price assumes that the wall goes on there as beside it."),
        (little, f"Not priced: {little.unpriced_m2:.1f} m² that the survey does not reach."),
    ):
        text = export_costs(result, tmp_path / "table-client.csv", audience=CLIENT).read_text(
            encoding="utf-8"
        )
        assert sentence in words.headline(result, CLIENT)
        assert sentence in text


def test_little_that_was_not_read_goes_without_saying():
    nearly = result_of(scan(2.25))
    assert 0 < guess_of(nearly.walls[0]).area_m2 < 0.48
    assert nearly.guessed == ()
    assert "not read" not in words.headline(nearly) + "".join(nearly.notices)
    assert "could not be measured" not in words.headline(nearly, CLIENT)


def test_that_nothing_is_left_between_points_is_said_of_a_wall_that_was_seen_alone(part):
    said = "so many points leave nothing between them"
    assert said not in " ".join(range_words.behind(job_ranges(part)))
    whole = result_of(scan(2.4))
    assert said in " ".join(range_words.behind(job_ranges(whole)))
    assert guess_of(whole.walls[0]) is None


def test_what_lies_behind_a_patched_wall_moves_nothing():
    patched = result_of(scan(1.8), treatment=Treatment("patch", "patch what has fallen", skim=False))
    assert patched.guessed == ()


def test_millimetres_of_the_users_own_leave_the_range_out_of_the_words():
    own = result_of(scan(1.8), missed_high_spot_mm=3.0)
    [said] = own.guessed
    assert said.endswith("l lie there.")


@pytest.mark.parametrize(
    "kind", ["float following the lean", pytest.param("straighten the hollows", marks=pytest.mark.slow)]
)
def test_other_ways_that_go_by_the_face_have_a_range_for_it_too(kind):
    result = result_of(scan(1.5), treatment=Treatment("way", kind))
    low, high = guess_of(result.walls[0]).likely_l
    assert 0 < low < high
    assert len(result.guessed) == 1
