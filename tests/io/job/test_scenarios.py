"""Scenarios: the edits between two jobs, the job with them, what no longer fits, and what their file says."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from demo import coarse_demo, copy_of_demo, demo
from effort import examples
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.errors import Check
from mytakeoff.io.job.changes import what_changed
from mytakeoff.io.job.scenario_keys import check_scenarios
from mytakeoff.job.catalogue import CEMENT_LIME, ONE_COAT_GYPSUM
from mytakeoff.job.edits import (
    with_backing,
    with_mix,
    with_plane,
    with_price,
    with_rail_places,
    with_reading,
    with_wall_name,
)
from mytakeoff.job.job import MOST_SCENARIOS
from mytakeoff.job.treatments import MOST_EDITS, PATCH, STRAIGHTEN, Treatment

BACKING, WALL = "light gypsum backing", "party wall"


def with_wall(job: mt.Job, name: str = WALL, **changes: Any) -> mt.Job:
    walls = tuple(replace(wall, **changes) if wall.name == name else wall for wall in job.walls)
    return replace(job, walls=walls)


CHANGES = (
    lambda job: replace(job, waste_share=0.12),
    lambda job: replace(job, missed_high_spot_mm=4.0),
    lambda job: replace(job, only=("door wall", WALL)),
    lambda job: replace(job, treatment=Treatment("patched", PATCH, skim=False)),
    lambda job: replace(job, margins=replace(job.margins, profit_share=0.05)),
    lambda job: replace(job, rates=replace(job.rates, float_h_per_m2=0.6)),
    lambda job: replace(job, rails=replace(job.rails, used=False, screws_mm=(40.0, 60.0))),
    lambda job: replace(job, site=replace(job.site, travel=True)),
    lambda job: with_plane(job, kind="free", cut_mm=3.0),
    lambda job: with_plane(job, least_mm=9.0),
    lambda job: with_mix(job, BACKING, density_kg_per_l=0.95, max_coat_mm=11.0),
    lambda job: with_backing(job, ONE_COAT_GYPSUM),
    lambda job: with_mix(with_backing(job, ONE_COAT_GYPSUM), ONE_COAT_GYPSUM.name, density_kg_per_l=1.0),
    lambda job: with_price(job, "plasterer", Decimal("37.25")),
    lambda job: with_price(job, BACKING, Decimal("12.10")),
    lambda job: with_wall(job, treatment=Treatment("straight", STRAIGHTEN)),
    lambda job: with_wall(job, system=mt.System(CEMENT_LIME)),
    lambda job: with_wall(job, sockets=3, strip="paper"),
    lambda job: with_rail_places(job, "door wall", (0.3, 1.5)),
)


@given(
    first=st.sets(st.sampled_from(CHANGES), max_size=4), more=st.sets(st.sampled_from(CHANGES), max_size=4)
)
@examples(100)
def test_the_edits_between_two_jobs_make_one_of_the_other(first: set[Any], more: set[Any]) -> None:
    before = coarse_demo()
    for change in first:
        before = change(before)
    after = before
    for change in more:
        after = change(after)
    made = mt.with_scenario(before, mt.Scenario("as it stands", mt.edits_between(before, after)))
    assert what_changed(made, after) == ()
    assert made == after


PATHS = [edit.change for edit in mt.edits_between(replace(demo(), waste_share=0.2), CHANGES[10](demo()))]
PATHS += [
    'price "primer"',
    "plane",
    "treatment.kind",
    "only",
    f'wall "{WALL}".system.backing',
    "buying.in_stock",
]
PATHS += [
    'extra "radiator off and on".quantity',
    "calendar.weekdays",
    "calendar.start",
    "sureness",
    "compare.grade",
]
scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.dates(),
    st.text(max_size=5),
    st.just("float plumb"),
)


@given(
    change=st.one_of(
        st.text(max_size=30), st.sampled_from(PATHS), st.sampled_from(PATHS).map(lambda p: p + ".x")
    ),
    to=st.one_of(scalars, st.lists(scalars, max_size=3).map(tuple)),
)
@examples(300)
def test_whatever_an_edit_says_it_is_taken_or_told(change: str, to: Any) -> None:
    scenario, check = mt.Scenario("any", (mt.Edit(change, to),)), Check()
    check_scenarios((scenario,), "job.toml", check)
    told = Check()
    made = told.made(lambda: mt.with_scenario(coarse_demo(), scenario))
    if made is None:
        assert all("scenario 'any'" in mistake.place for mistake in told.mistakes)
    else:
        assert check.mistakes == []  # what a job takes, its file does too
        assert what_changed(made, replace(made, scenarios=(scenario,))) == ("scenario 'any' added",)


def test_edits_are_written_as_a_person_would() -> None:
    job = coarse_demo()
    for change in (CHANGES[0], CHANGES[8], CHANGES[10], CHANGES[13], CHANGES[15]):
        job = change(job)
    said = {edit.change: edit.to for edit in mt.edits_between(coarse_demo(), job)}
    assert said == {
        "waste_share": 0.12,
        "plane.kind": "free",
        "plane.cut_mm": 3.0,
        f'mix "{BACKING}".density_kg_per_l': 0.95,
        f'mix "{BACKING}".max_coat_mm': 11.0,
        'price "plasterer"': 37.25,
        f'wall "{WALL}".treatment.name': "straight",
        f'wall "{WALL}".treatment.kind': STRAIGHTEN,
        f'wall "{WALL}".treatment.skim': True,
        f'wall "{WALL}".treatment.square': False,
        f'wall "{WALL}".treatment.take_down': False,
        f'wall "{WALL}".treatment.in_room': False,
    }


def test_a_price_by_hand_is_that_of_the_pack_where_it_is_bought_in_one() -> None:
    scenario = mt.Scenario("cheap", (mt.Edit(f'price "{BACKING}"', 10.0), mt.Edit('price "plasterer"', 30)))
    made = mt.with_scenario(demo(), scenario)
    assert made.tiers_of(BACKING)[0].price == Decimal(10)
    assert made.prices.of("plasterer").price == Decimal(30)
    assert mt.evaluate(made).cost.total < mt.evaluate(demo()).cost.total


def test_readings_rooms_and_walls_are_in_no_scenario() -> None:
    job = with_reading(coarse_demo(), WALL, 1.11, 1.07, 3.0)
    job = replace(job, rooms=(*job.rooms, mt.Room("attic")), title="another")
    assert mt.edits_between(coarse_demo(), job) == ()


def test_a_job_whose_walls_are_not_read_yet_has_scenarios_too() -> None:
    job = with_wall(coarse_demo(), survey=mt.Survey.none(coarse_demo().wall(WALL).wall))
    after = with_wall(replace(job, waste_share=0.2), strip="paper")
    scenario = mt.Scenario("paper", mt.edits_between(job, after))
    assert mt.with_scenario(job, scenario) == after
    bare = replace(job, walls=(), rooms=(), compare=mt.Compare())
    assert mt.with_scenario(bare, mt.Scenario("waste", (mt.Edit("waste_share", 0.2),))).waste_share == 0.2


@pytest.mark.parametrize(("change", "to", "words"), [
    ('wall "attic".strip', "paper", "no wall called 'attic'"),
    ('wall "party wal".strip', "paper", "write 'party wall' in the scenario if that is meant"),
    ('mix "old lime".density_kg_per_l', 1.2, "no mix called 'old lime'"),
    ("system.backing", "old lime", "mix 'old lime'"),
    ('price "moon dust"', 2.0, "no price called 'moon dust'"),
    ("only", ("attic",), "no wall called 'attic'"),
    (f'wall "{WALL}".rails_x_m', (40.0,), "a rail at 40 m"),
])  # fmt: skip
def test_what_no_longer_fits_is_told_and_the_others_still_work(change: str, to: Any, words: str) -> None:
    stale, good = (
        mt.Scenario("stale", (mt.Edit(change, to),)),
        mt.Scenario("good", (mt.Edit("waste_share", 0.2),)),
    )
    job = replace(coarse_demo(), scenarios=(stale, good))
    with pytest.raises(mt.TakeoffError, match="scenario 'stale'") as told:
        mt.with_scenario(job, stale)
    assert words in str(told.value)
    assert mt.with_scenario(job, good).waste_share == 0.2


def test_all_that_does_not_fit_is_told_at_once() -> None:
    edits = (mt.Edit('wall "attic".strip', "paper"), mt.Edit("waste_share", 7.0), mt.Edit('price "x"', 1.0))
    with pytest.raises(mt.TakeoffError) as told:
        mt.with_scenario(coarse_demo(), mt.Scenario("wild", edits))
    assert [part in str(told.value) for part in ("attic", "waste share 7", "'x'")] == [True] * 3


def test_a_wall_called_otherwise_is_called_so_in_scenarios() -> None:
    edits = (mt.Edit(f'wall "{WALL}".strip', "paper"), mt.Edit("only", (WALL,)), mt.Edit("waste_share", 0.2))
    job = replace(coarse_demo(), scenarios=(mt.Scenario("paper", edits),))
    after = with_wall_name(job, WALL, 'the "new" one')
    made = mt.with_scenario(after, after.scenarios[0])
    assert made.wall('the "new" one').strip == "paper"
    assert made.only == ('the "new" one',)
    assert with_wall_name(after, 'the "new" one', WALL) == job


class TestInTheFile:
    """`[[scenario]]` tables of ``job.toml``."""

    KEPT = (
        mt.Scenario("free", (mt.Edit("plane.kind", "free"), mt.Edit("only", (WALL,)), mt.Edit("treatment"))),
        mt.Scenario('"=HYPERLINK(1)"\n<b>', (mt.Edit(f'mix "{BACKING}".density_kg_per_l', 0.95),)),
    )

    def kept(self, tmp_path: Path) -> tuple[Path, mt.Job]:
        folder = copy_of_demo(tmp_path)
        opened = mt.open_job(folder)
        mt.save_job(replace(opened, scenarios=self.KEPT), folder, opened)
        return folder, opened

    def test_they_open_as_they_were_saved_and_all_else_stays_as_it_was_written(self, tmp_path: Path) -> None:
        folder, opened = self.kept(tmp_path)
        assert mt.open_job(folder) == replace(opened, scenarios=self.KEPT)
        text = (folder / "job.toml").read_text(encoding="utf-8")
        before = (copy_of_demo(tmp_path / "again") / "job.toml").read_text(encoding="utf-8")
        assert text.startswith(before.rstrip("\n"))
        assert tomllib.loads(text)["scenario"][0] == {
            "name": "free",
            "edit": [
                {"change": "plane.kind", "to": "free"},
                {"change": "only", "to": [WALL]},
                {"change": "treatment"},
            ],
        }

    def test_none_of_them_is_in_the_figures(self, tmp_path: Path) -> None:
        folder, opened = self.kept(tmp_path)
        assert mt.evaluate(mt.open_job(folder)).cost == mt.evaluate(opened).cost

    def test_two_that_keep_one_each_have_both(self, tmp_path: Path) -> None:
        folder, opened = self.kept(tmp_path)
        mine = mt.Scenario("mine", (mt.Edit("waste_share", 0.15),))
        done = mt.save_job(replace(opened, scenarios=(mine,)), folder, opened)
        assert done.job.scenarios == (*self.KEPT, mine)
        assert done.told == ()

    def test_edits_of_one_from_two_sides_are_both_there(self, tmp_path: Path) -> None:
        folder, _ = self.kept(tmp_path)
        opened = mt.open_job(folder)
        first, second = opened.scenarios
        theirs = replace(first, edits=(mt.Edit("plane.kind", "square"), *first.edits[1:]))
        mt.save_job(replace(opened, scenarios=(theirs, second)), folder, opened)
        mine = replace(first, edits=(*first.edits, mt.Edit("waste_share", 0.15)))
        done = mt.save_job(replace(opened, scenarios=(mine, second)), folder, opened)
        assert done.job.scenarios[0].edits == (*theirs.edits, mt.Edit("waste_share", 0.15))

    def test_a_wall_renamed_in_the_file_is_renamed_in_what_is_kept_here(self, tmp_path: Path) -> None:
        folder = copy_of_demo(tmp_path)
        opened = mt.open_job(folder)
        mt.save_job(with_wall_name(opened, WALL, "stair side"), folder, opened)
        mine = mt.Scenario("mine", (mt.Edit(f'wall "{WALL}".strip', "paper"),))
        done = mt.save_job(replace(opened, scenarios=(mine,)), folder, opened)
        assert done.job.scenarios[0].edits[0].change == 'wall "stair side".strip'

    @pytest.mark.parametrize(("edit", "words"), [
        ('change = "waste_shore"\nto = 0.1', "write 'waste_share'"),
        ('change = "plane.kin"\nto = "free"', "write 'plane.kind'"),
        ('change = "mix.density_kg_per_l"\nto = 1.0', 'write mix "its name"'),
        ('change = "title"\nto = "x"', "no readings, no rooms, no walls added or taken out"),
        ("change = 'wall \"party wall\".width_m'\nto = 2.0", "no readings, no rooms"),
        ("change = 'wall \"party wall\"'\nto = 2.0", "its keys are treatment"),
        ('change = "waste share"\nto = 0.1', "write it as waste_share, plane.kind"),
        ('change = "waste_share"\nto = "ten"', "'ten'; a number stands here"),
        ('change = "waste_share"\nto = 12', "write 0.12 if you meant 12 per cent"),
        ('change = "waste_share"', "no value for waste_share"),
        ('change = "plane"\nto = 3', "a table is changed key by key"),
        ('change = "plane.kind"\nto = "wobbly"', "plumb"),
        ('change = "waste_share"\nto = {a = 1}', "a text stands here"),
        ("change = 'price \"primer\"'\nto = -1.0", "price -1"),
        ('change = "waste_share"\nto = 0.1\n[[scenario.edit]]\nchange = "waste_share"\nto = 0.2', "twice"),
    ])  # fmt: skip
    def test_what_no_job_could_take_is_refused_at_opening(
        self, tmp_path: Path, edit: str, words: str
    ) -> None:
        folder = copy_of_demo(tmp_path)
        with (folder / "job.toml").open("a", encoding="utf-8") as file:
            file.write(f'\n[[scenario]]\nname = "odd"\n[[scenario.edit]]\n{edit}\n')
        with pytest.raises(mt.TakeoffError) as told:
            mt.open_job(folder)
        assert words in str(told.value)
        assert "odd" in str(told.value)

    def test_a_wall_that_is_gone_does_not_keep_the_job_from_opening(self, tmp_path: Path) -> None:
        folder = copy_of_demo(tmp_path)
        with (folder / "job.toml").open("a", encoding="utf-8") as file:
            file.write('\n[[scenario]]\nname = "odd"\n[[scenario.edit]]\n')
            file.write('change = \'wall "attic".strip\'\nto = "paper"\n')
        assert mt.open_job(folder).scenarios[0].edits == (mt.Edit('wall "attic".strip', "paper"),)


def test_how_many_there_may_be() -> None:
    many = tuple(mt.Scenario(f"scenario {nth}") for nth in range(MOST_SCENARIOS + 1))
    with pytest.raises(mt.TakeoffError, match="keeps 100 at most"):
        replace(coarse_demo(), scenarios=many)
    assert replace(coarse_demo(), scenarios=many[1:]).scenarios == many[1:]
    with pytest.raises(mt.TakeoffError, match="500 at most"):
        mt.Scenario("much", tuple(mt.Edit(f'price "{nth}"', 1.0) for nth in range(MOST_EDITS + 1)))
    with pytest.raises(mt.TakeoffError, match="two scenarios called"):
        replace(coarse_demo(), scenarios=(many[0], many[0]))
    for name in ("", "  ", "x" * 101):
        with pytest.raises(mt.TakeoffError, match="name"):
            mt.Scenario(name)
