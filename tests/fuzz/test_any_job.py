"""What holds of every job, tried on jobs drawn from seeds: how it is written down changes no figure of it."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from random_jobs import doubled, enlarged, mirrored, random_job
from sound_result import check_headline, check_ranges, check_result
from survey_files import readings

import mytakeoff as mt
from mytakeoff.coats.coats import NO_COAT_MM
from mytakeoff.job.edits import with_price

SEEDS = st.integers(0, 10**6)
MANY = 100  # of jobs before a landing; ten times as many in the long profile
REPAIR_MM = 0.01  # a wall that is filled is filled to this, by the repair's own word


@cache
def result_of(seed: int) -> mt.Result:
    return mt.evaluate(random_job(seed))


def same_litres(one: mt.Result, other: mt.Result, times: float = 1.0) -> None:
    """As much plaster: exactly where walls are floated, to the repair's own hundredth where filled."""
    filled = one.job.treatment is not None
    near = times * REPAIR_MM * one.area_m2 if filled else 1e-6 * times * one.litres
    assert other.area_m2 == pytest.approx(times * one.area_m2)
    assert other.volume_l == pytest.approx(times * one.volume_l, abs=near)


@given(SEEDS)
@examples(MANY)
def test_its_result_is_sound_and_its_coats_add_up(seed):
    result = result_of(seed)
    check_result(result)
    for wall in result.walls:
        if wall.floated:
            assert wall.layers[0].area_m2 == pytest.approx(wall.build_up.covered_area_m2)
            deepest = sum(layer.deepest_mm for layer in wall.layers)
            assert deepest >= wall.build_up.max_mm - NO_COAT_MM * len(wall.layers)


@given(SEEDS)
@examples(MANY)
def test_in_a_mirror_it_takes_the_same_and_costs_the_same(seed):
    one = result_of(seed)
    other = mt.evaluate(mirrored(one.job))
    same_litres(one, other)
    if one.job.treatment is None:
        assert other.cost.total == one.cost.total


@given(SEEDS)
@examples(MANY)
def test_in_another_order_its_walls_cost_the_same(seed):
    one = result_of(seed)
    turned = list(one.job.walls)
    random.Random(seed).shuffle(turned)
    assert mt.evaluate(replace(one.job, walls=tuple(turned))).cost.total == one.cost.total


@given(SEEDS)
@examples(MANY)
def test_with_every_wall_twice_it_takes_twice_as_much_and_no_more_than_twice_the_bags(seed):
    """Without a choice of packs and without what is not worth a bag: two crumbs may be worth one."""
    one = mt.evaluate(replace(random_job(seed), packs=mt.PackList(), bag_slack_share=0.0))
    other = mt.evaluate(doubled(one.job))
    same_litres(one, other, 2.0)
    assert other.dry_kg == pytest.approx(2 * one.dry_kg)
    assert other.bags <= 2 * one.bags


@given(SEEDS)
@examples(MANY)
def test_with_every_length_doubled_it_takes_four_times_as_much(seed):
    """Lengths on the wall, cells, reach and the edge judged by doubled, depths kept: litres are mm × m².

    Without rails: they stand an arm apart on any wall, and the plane keeps room for them.
    """
    one = mt.evaluate(replace(random_job(seed), rails=mt.RailChoice(used=False)))
    same_litres(one, mt.evaluate(enlarged(one.job, 2.0)), 4.0)


@given(SEEDS, st.floats(0.0, 0.4), st.floats(0.0, 0.09))
@examples(MANY)
def test_more_waste_never_takes_fewer_bags(seed, waste, more):
    """Without a choice of packs: where ten cost less than nine, more may be bought for less."""
    job = replace(random_job(seed), packs=mt.PackList())
    one, other = (
        mt.evaluate(replace(job, waste_share=share, patch_waste_share=share))
        for share in (waste, waste + more)
    )
    assert other.dry_kg >= one.dry_kg
    assert other.bags >= one.bags
    assert other.cost.total >= one.cost.total


@given(SEEDS, st.sampled_from([1.0, 2.0, 4.0]), st.sampled_from([0.6, 1.0, 2.0]))
@examples(MANY)
def test_what_is_repaired_passes_what_it_was_repaired_for(seed, tolerance_mm, edge_m):
    wall = random_job(seed).walls[0]
    surface = mt.grid_surface(wall.survey, cell_m=0.1, reach_m=0.5)
    repair = mt.spot_repair(surface, tolerance_mm, edge_m)
    face = mt.Surface.from_grid(
        surface.wall, surface.x_m, surface.z_m, surface.proud_mm + np.nan_to_num(repair.thickness_mm)
    )
    assert np.nanmax(mt.straightedge_gap(face, edge_m)) <= tolerance_mm + REPAIR_MM


@given(SEEDS)
@examples(10)
def test_its_ranges_contain_their_medians(seed):
    job = replace(random_job(seed), missed_high_spot_mm=None)
    job = replace(job, walls=job.walls[:1])  # drawing faces takes the longest
    result = mt.evaluate(job)
    ranges = mt.job_ranges(result)
    check_ranges(ranges)
    check_headline(mt.headline(result, ranges))


def with_remarks(text: str) -> tuple[str, list[str]]:
    """A job file with a remark above and beside every heading, and what they say."""
    said, lines = [], []
    for line in text.splitlines():
        if line.startswith("["):
            said += [f"# above {len(said)}.", f"# beside {len(said)}."]
            lines += [said[-2], f"{line}  {said[-1]}"]
        else:
            lines.append(line)
    return "\n".join(lines) + "\n", said


@given(SEEDS)
@examples(MANY, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_saved_and_opened_it_is_the_same_and_its_remarks_are_there(tmp_path: Path, seed):
    folder = tmp_path / str(seed)
    job = replace(random_job(seed), folder=str(folder))
    mt.save_job(job, folder)
    opened = mt.open_job(folder)
    assert replace(opened, walls=job.walls) == job
    for one, other in zip(job.walls, opened.walls, strict=True):
        assert replace(other, survey=one.survey) == one
        assert readings(other.survey) == readings(one.survey)
        assert other.survey.high_mm.tolist() == one.survey.high_mm.tolist()
    text, said = with_remarks((folder / "job.toml").read_text(encoding="utf-8"))
    (folder / "job.toml").write_text(text, encoding="utf-8")
    item = job.prices.rows[seed % len(job.prices.rows)].item
    edited = with_price(replace(opened, waste_share=0.123), item, job.prices.rows[0].price + 1)
    mt.save_job(edited, folder, opened)
    again = (folder / "job.toml").read_text(encoding="utf-8")
    assert [line for line in again.splitlines() if line.startswith("# ")] == said[::2]
    assert without_waste(again) == without_waste(text)
    assert mt.open_job(folder) == edited


def without_waste(text: str) -> list[str]:
    """The lines of a file, blank ones and what its waste is left out."""
    return [line for line in text.splitlines() if line.strip() and not line.startswith("waste_share = ")]
