"""The chain as a whole: what a change recomputes, and that the stages agree with one another."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff import chain
from mytakeoff.job.edits import with_backing, with_margins, with_mix, with_plane, with_price
from mytakeoff.resources import demo_folder
from mytakeoff.treatment import bare_wall
from mytakeoff.treatment import floated as wallstages

STAGES = ("surface_stage", "plane_stage", "build_up_stage", "layers_stage", "wall_stage", "takeoff_stage")
GEOMETRY = STAGES[:3]


@pytest.fixture
def demo() -> mt.Job:
    """With no stage remembered: what another test left would be half remembered."""
    for name in STAGES:
        stage(name).cache_clear()
    return mt.open_job(demo_folder())


def stage_calls(job: mt.Job) -> dict[str, int]:
    """How often each stage is computed for a job whose predecessor has been evaluated."""
    before = {name: misses(name) for name in STAGES}
    mt.evaluate(job)
    return {name: misses(name) - before[name] for name in STAGES}


def misses(name: str) -> int:
    return stage(name).cache_info().misses


def stage(name: str):
    return next(getattr(room, name) for room in (bare_wall, wallstages, chain) if hasattr(room, name))


class TestOnlyWhatDependsIsRecomputed:
    def test_nothing_when_nothing_changed(self, demo: mt.Job) -> None:
        mt.evaluate(demo)
        assert stage_calls(replace(demo)) == dict.fromkeys(STAGES, 0)

    def test_a_price_or_a_margin_touches_no_stage(self, demo: mt.Job) -> None:
        mt.evaluate(demo)
        assert stage_calls(with_price(demo, "angle bead", Decimal("9.87"))) == dict.fromkeys(STAGES, 0)
        assert stage_calls(with_margins(demo, tax_share=0.07)) == dict.fromkeys(STAGES, 0)

    def test_waste_touches_quantities_only(self, demo: mt.Job) -> None:
        mt.evaluate(demo)
        calls = stage_calls(replace(demo, waste_share=0.123))
        assert calls == {**dict.fromkeys(STAGES, 0), "takeoff_stage": 1}

    @pytest.mark.parametrize("change", [{"density_kg_per_l": 0.8137}, {"max_coat_mm": 14.25}])
    def test_density_and_coat_depth_touch_no_geometry(self, demo: mt.Job, change: dict[str, float]) -> None:
        mt.evaluate(demo)
        calls = stage_calls(with_mix(demo, demo.system.backing.name, **change))
        assert all(calls[name] == 0 for name in GEOMETRY)
        assert calls["takeoff_stage"] == 1

    def test_the_rule_touches_the_plane_and_what_follows(self, demo: mt.Job) -> None:
        mt.evaluate(demo)
        calls = stage_calls(with_plane(demo, least_mm=8.125))
        assert calls["surface_stage"] == 0
        assert calls["plane_stage"] == calls["build_up_stage"] == len(demo.walls)

    def test_another_survey_touches_its_wall_only(self, demo: mt.Job) -> None:
        mt.evaluate(demo)
        first = demo.walls[0]
        survey = replace(first.survey, proud_mm=first.survey.proud_mm + 1.0)
        changed = replace(demo, walls=(replace(first, survey=survey), *demo.walls[1:]))
        calls = stage_calls(changed)
        assert calls["surface_stage"] == calls["plane_stage"] == calls["wall_stage"] == 1


class TestTheStagesAgree:
    def test_litres_are_area_times_mean(self, demo: mt.Job) -> None:
        for wall in mt.evaluate(demo).walls:
            build_up = wall.build_up
            assert build_up.volume_l == pytest.approx(build_up.area_m2 * build_up.mean_mm, rel=1e-12)

    def test_layers_hold_all_the_plaster(self, demo: mt.Job) -> None:
        for wall in mt.evaluate(demo).walls:
            assert sum(layer.volume_l for layer in wall.layers) == pytest.approx(
                wall.build_up.volume_l, rel=1e-9
            )

    def test_every_place_keeps_the_least_thickness(self, demo: mt.Job) -> None:
        for wall in mt.evaluate(demo).walls:
            thinnest = float(np.nanmin(wall.build_up.thickness_mm))
            assert thinnest >= wall.rule.least_mm - 1e-9

    def test_the_amounts_add_up_to_the_total(self, demo: mt.Job) -> None:
        cost = mt.evaluate(demo).cost
        assert sum(cost.to_frame()["amount"]) == cost.total
        assert cost.to_frame()["running_total"].iloc[-1] == cost.total

    def test_walls_priced_alone_take_what_they_take_together(self, demo: mt.Job) -> None:
        alone = [mt.evaluate(replace(demo, only=(wall.name,))) for wall in demo.walls]
        assert sum(result.volume_l for result in alone) == pytest.approx(mt.evaluate(demo).volume_l)
        # whole bags are bought once for the job, so never more than wall by wall
        assert mt.evaluate(demo).bags <= sum(result.bags for result in alone)


class TestTheHeadSum:
    """4.2 × 2.6 m at 17 mm: 186 l, × 0.9 kg/l × 1.1 = 184 kg, eight bags (common practice, no source)."""

    def test_from_readings_to_bags(self, demo: mt.Job) -> None:
        wall = mt.Wall("flat", 4.2, 2.6)
        x, z = np.meshgrid(np.linspace(0, 4.2, 9), np.linspace(0, 2.6, 5))
        survey = mt.Survey.from_readings(wall, x.ravel(), z.ravel(), np.full(x.size, -40.0), swept=True)
        mix = mt.Mix("backing", 0.9, 25.0, 8.0, 20.0, 35.0)
        prices = mt.PriceList((*demo.prices.rows, mt.Price("backing", "bag", Decimal("10"))))
        job = mt.Job(
            "head sum",
            (mt.Room("room"),),
            (mt.JobWall(wall, "room", survey, "brick"),),
            mt.System(mix),
            prices,
            plane=mt.PlaneChoice(least_mm=17.0),
            rails=mt.RailChoice(used=False),
            missed_high_spot_mm=0.0,  # the sum has nothing on top
        )
        result = mt.evaluate(job)
        assert round(result.volume_l) == 186
        assert round(result.dry_kg) == 184
        assert result.bags == 8


class TestWhatIsRefused:
    def test_plumb_off_a_plane_that_was_not_plumb(self, demo: mt.Job) -> None:
        first = demo.walls[0]
        tilted = replace(first, survey=replace(first.survey, plumb=False))
        job = replace(demo, walls=(tilted, *demo.walls[1:]))
        with pytest.raises(mt.TakeoffError, match="not plumb") as caught:
            mt.evaluate(job)
        assert first.name in str(caught.value)
        assert "free to lean" in str(caught.value)
        mt.evaluate(with_plane(job, kind="free"))

    def test_square_without_a_measured_corner_names_every_wall(self, demo: mt.Job) -> None:
        bare = tuple(replace(wall, turn_mm_per_m=None) for wall in demo.walls)
        with pytest.raises(mt.TakeoffError) as caught:
            mt.evaluate(with_plane(replace(demo, walls=bare), kind="square"))
        assert len(caught.value.mistakes) == len(demo.walls)

    @pytest.mark.parametrize("share", [1.0, 1.5, -0.01])
    def test_waste_out_of_range(self, demo: mt.Job, share: float) -> None:
        with pytest.raises(mt.TakeoffError, match="80 %"):
            replace(demo, waste_share=share)

    @pytest.mark.parametrize("depth", [0.0, -3.0, 7.9])
    def test_a_coat_of_nothing_or_under_the_least(self, demo: mt.Job, depth: float) -> None:
        with pytest.raises(mt.TakeoffError, match="mm"):
            with_mix(demo, demo.system.backing.name, max_coat_mm=depth)

    def test_a_mix_forbidden_on_its_background(self, demo: mt.Job) -> None:
        damp = replace(demo.walls[0], background="damp masonry")
        with pytest.raises(mt.TakeoffError, match="damp"):
            mt.evaluate(replace(demo, walls=(damp, *demo.walls[1:])))

    def test_a_mix_without_a_price(self, demo: mt.Job) -> None:
        mix = mt.Mix("unheard of", 0.9, 25.0, 8.0, 20.0, 35.0)
        with pytest.raises(mt.TakeoffError, match="'unheard of' has no price"):
            mt.evaluate(with_backing(demo, mix))


def test_high_spots_are_cut_no_deeper_than_the_background_allows(demo: mt.Job) -> None:
    result = mt.evaluate(with_plane(demo, cut_mm=3.0))
    flue = next(wall for wall in result.walls if wall.entry.background == "chimney flue wall")
    assert flue.rule.cut_mm == 0.0
    assert flue.build_up.cut_l == 0.0
    assert any("not the 3 mm asked" in notice for notice in flue.notices)


def test_square_takes_the_measured_corner(demo: mt.Job) -> None:
    measured = [wall for wall in demo.walls if wall.turn_mm_per_m is not None]
    job = with_plane(replace(demo, walls=tuple(measured)), kind="square")
    for wall in mt.evaluate(job).walls:
        assert wall.plane.b_mm_per_m == pytest.approx(wall.entry.turn_mm_per_m)
        assert wall.plane.c_mm_per_m == 0.0


def test_a_lean_limit_waits_for_the_plane_that_may_lean(demo: mt.Job) -> None:
    limited = with_plane(demo, lean_limit_mm_per_m=1.0)
    assert mt.evaluate(limited).volume_l == mt.evaluate(demo).volume_l
    for wall in mt.evaluate(with_plane(limited, kind="free")).walls:
        assert abs(wall.plane.c_mm_per_m) <= 1.0 + 1e-9


def test_the_square_plane_never_takes_less_than_the_one_free_to_turn(demo: mt.Job) -> None:
    measured = [entry for entry in demo.walls if entry.turn_mm_per_m is not None]
    assert measured
    for entry in measured:
        square = chain.square_litres(demo, entry)
        assert square is not None
        assert square >= mt.evaluate(demo).wall(entry.name).build_up.volume_l - 1e-9
    assert chain.square_litres(demo, replace(measured[0], turn_mm_per_m=None)) is None


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Sweep", "LaidEdge"),
        ("Sureness", "Confidence"),
        ("JobSureness", "JobRanges"),
        ("job_sureness", "job_ranges"),
    ],
)
def test_a_script_with_the_names_of_before_still_runs(old, new):
    assert getattr(mt, old) is getattr(mt, new)


class TestWordsAndFormats:
    def test_walls_say_their_numbers_as_the_job_writes_them(self, demo: mt.Job) -> None:
        house, german = (mt.evaluate(replace(demo, locale=locale, reach_m=0.3)) for locale in ("", "de_DE"))
        pairs = list(zip(house.notices, german.notices, strict=True))
        assert any(ours != theirs for ours, theirs in pairs)
        assert all(re.sub(r"(?<=\d)\.(?=\d)", ",", ours) == theirs for ours, theirs in pairs)
        assert [line.amount for line in house.cost.lines] == [line.amount for line in german.cost.lines]
        assert {line.basis for line in house.cost.lines} != {line.basis for line in german.cost.lines}

    def test_another_currency_makes_no_new_wall(self, demo: mt.Job) -> None:
        euros, francs = mt.evaluate(demo), mt.evaluate(replace(demo, currency="CHF"))
        assert all(one is other for one, other in zip(euros.walls, francs.walls, strict=True))
