"""The demonstration job, the starting job and the example in it: they open, and say what is invented."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from example_job import example_folder
from places import CHECKOUT

from mytakeoff import evaluate, open_job, save_job
from mytakeoff.job.catalogue import DEFAULT_MIXES, UNITS
from mytakeoff.job.edits import with_price

ROOT = CHECKOUT
DEMO = ROOT / "data-demo"
START = ROOT / "mytakeoff/data/starting-job"
EXAMPLE = example_folder()


@pytest.fixture(scope="module")
def demo():
    return evaluate(open_job(DEMO))


@pytest.mark.parametrize("folder", [DEMO, EXAMPLE], ids=["demo", "example"])
def test_it_opens_evaluates_and_is_left_as_it_is_by_saving(folder, files):
    before = files(folder)
    job = open_job(folder)
    result = evaluate(job)
    assert result.cost.total > 0
    assert result.unpriced_m2 < 0.05
    save_job(job, folder)
    assert files(folder) == before


@pytest.mark.parametrize("folder", [DEMO, START], ids=["demo", "start"])
def test_every_price_is_there_and_marked_as_invented(folder):
    job = open_job(folder)
    mixes = [mix.name for mix in (*DEFAULT_MIXES, *job.mixes)]
    assert {row.item for row in job.prices.rows} >= {*mixes, *UNITS}
    units = {**UNITS, **dict.fromkeys(mixes, "bag")}
    assert [row.item for row in job.prices.rows if row.unit != units[row.item]] == []
    assert all("invented" in row.note for row in job.prices.rows)
    assert "nvented" in " ".join(job.notes)


def test_the_walls_are_out_as_old_walls_are(demo):
    # a likely old wall: leans 8-20 mm over 2.6 m, bows 5-15 mm, plumb on rails 14-22 mm mean and deepest
    # 30-45 mm: common practice, no source
    assert 14 <= demo.mean_mm <= 22
    assert 30 <= demo.max_mm <= 45
    party = demo.job.wall("party wall").survey
    columns = [x for x in np.unique(party.x_m) if not 1.2 <= x <= 2.8]
    leans = [np.polyfit(party.z_m[party.x_m == x], party.proud_mm[party.x_m == x], 1)[0] for x in columns]
    assert 8 <= -np.mean(leans) * 2.6 <= 20
    window = demo.job.wall("window wall").survey
    ends, middle = (window.proud_mm[np.isin(window.x_m, x)].mean() for x in ([0.1, 4.1], [2.1]))
    assert 5 <= ends - middle <= 15
    door = demo.job.wall("door wall").survey
    assert np.ptp(door.proud_mm) <= 6
    assert all(3 <= abs(wall.turn_mm_per_m) <= 12 for wall in demo.job.walls)


def test_the_readings_are_those_of_a_hand_survey(demo):
    for wall in demo.job.walls:
        assert wall.survey.plumb
        assert np.array_equal(wall.survey.proud_mm, np.round(wall.survey.proud_mm))
        assert set(wall.survey.z_m.tolist()) == {0.1, 0.7, 1.3, 1.9, 2.5}
    assert sum(wall.survey.high_mm.size for wall in demo.job.walls) >= 3
    assert {wall.survey.layout for wall in demo.job.walls} == {"grid", "list"}


def test_the_fallen_place_lies_in_a_larger_loose_one(demo):
    outer, fallen = demo.job.wall("party wall").loose
    assert (fallen.width_m, fallen.height_m, fallen.depth_mm, fallen.fallen) == (0.9, 0.7, 20.0, True)
    assert outer.x_m < fallen.x_m
    assert outer.z_m < fallen.z_m
    assert fallen.x_m + fallen.width_m < outer.x_m + outer.width_m
    assert fallen.z_m + fallen.height_m < outer.z_m + outer.height_m
    wall = demo.walls[0]
    row, column = np.unravel_index(np.nanargmax(wall.build_up.thickness_mm), wall.build_up.thickness_mm.shape)
    grown_m = 0.2  # loose areas grow by a quarter of their area as they come off
    assert outer.x_m - grown_m <= wall.surface.x_m[column] <= outer.x_m + outer.width_m + grown_m
    assert outer.z_m - grown_m <= wall.surface.z_m[row] <= outer.z_m + outer.height_m + grown_m
    inside = demo.job.wall("party wall").survey
    at = (np.abs(inside.x_m - 2.0) < 0.45) & (np.abs(inside.z_m - 1.3) < 0.35)
    beside = (np.abs(inside.z_m - 1.3) < 0.35) & ~at
    assert at.sum() == 2
    sunk_mm = inside.proud_mm[beside].mean() - inside.proud_mm[at].mean()
    assert sunk_mm == pytest.approx(fallen.depth_mm, abs=4)


def own_prices(job):
    """Every price and pack the user's own: the remark that it was invented is gone."""
    rows = tuple(replace(row, note="") for row in job.prices.rows)
    packs = tuple(replace(row, note="") for row in job.packs.rows)
    return replace(job, prices=replace(job.prices, rows=rows), packs=replace(job.packs, rows=packs))


def own_surveys(job):
    """Every wall read anew, a millimetre off what the example has."""
    walls = tuple(replace(w, survey=replace(w.survey, proud_mm=w.survey.proud_mm - 1.0)) for w in job.walls)
    return replace(job, walls=walls)


def test_a_new_job_is_empty_and_left_as_it_is_by_saving(files):
    before = files(START)
    job = open_job(START)
    assert (job.rooms, job.walls, job.worked_out.walls, evaluate(job).cost.total) == ((), (), (), 0)
    save_job(job, START)
    assert files(START) == before


@pytest.mark.parametrize("folder", [DEMO, EXAMPLE], ids=["demo", "example"])
def test_a_note_of_what_is_invented_leaves_when_it_is_replaced(folder):
    """A client's sheet said that all was invented after both surveys had been replaced (from users)."""
    job = open_job(folder)
    (first, *others) = job.notes
    assert evaluate(job).notes == job.notes
    (said, *left) = evaluate(own_surveys(job)).notes
    assert said == "Invented, to be replaced before a figure is used: all prices."
    assert left == others
    (said, *left) = evaluate(own_prices(job)).notes
    names = [wall.name for wall in job.walls]
    assert said.endswith(f"{', '.join(names)}.")
    assert "price" not in said
    assert first not in (said, *left)
    assert evaluate(own_prices(own_surveys(job))).notes == tuple(others)


def test_a_note_of_the_user_s_own_stays():
    job = own_prices(own_surveys(open_job(DEMO)))
    assert evaluate(replace(job, notes=("Prices are invented.",))).notes == ("Prices are invented.",)


def test_a_price_that_is_typed_is_no_longer_invented():
    job = open_job(DEMO)
    typed = with_price(job, "plasterer", Decimal("41.00"))
    assert not typed.prices.of("plasterer").invented
    assert typed.prices.of("labourer").invented
    same = with_price(job, "plasterer", job.prices.of("plasterer").price)
    assert same.prices == job.prices


def test_what_is_invented_in_a_mixed_job_is_named():
    job = own_prices(open_job(DEMO))
    rows = tuple(replace(row, note="invented") if row.item == "plasterer" else row for row in job.prices.rows)
    (party, *others) = own_surveys(job).walls
    walls = (job.walls[0], *others)
    job = replace(job, prices=replace(job.prices, rows=rows), walls=walls)
    (said, _) = evaluate(job).notes
    assert said.endswith("the survey of party wall and 1 price (plasterer).")
    assert party.name == "party wall"
