"""An option is the budget of its job, and only what depends on a change is worked out again."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from option_jobs import (
    BEST_CUT,
    OPTIONS,
    PATCH_ONLY,
    PLUMB,
    STRAIGHT,
    demo_job,
)

import mytakeoff as mt
from mytakeoff.job.edits import floated, with_mix, with_plane, with_price
from mytakeoff.job.treatments import Compare
from mytakeoff.options import compare as options
from mytakeoff.options.compare import carry, option_result
from mytakeoff.treatment import bare_wall
from mytakeoff.treatment import filled as repairstages
from mytakeoff.treatment import floated as wallstages
from mytakeoff.treatment import treat as optionwalls
from mytakeoff.treatment.left_open import option_walls


@pytest.fixture(scope="module")
def demo() -> mt.Job:
    """The demonstration on coarse cells."""
    return demo_job()


class TestTheBudgetAgrees:
    @pytest.mark.parametrize("cut_mm", [0.0, 2.0])
    @pytest.mark.parametrize(
        ("way", "kind"), [(PLUMB, "plumb"), (OPTIONS[6], "square"), (OPTIONS[4], "free")]
    )
    def test_floating_is_exactly_the_budget_workbook(self, demo, way, kind, cut_mm) -> None:
        job = with_plane(replace(demo, only=("party wall", "window wall")), cut_mm=cut_mm, least_mm=9.0)
        budget, option = mt.evaluate(with_plane(job, kind=kind)), option_result(job, way)
        assert option.cost == budget.cost
        assert [wall.build_up.volume_l for wall in option.walls] == [
            wall.build_up.volume_l for wall in budget.walls
        ]
        assert option.days == budget.days
        assert option.needs == budget.needs

    @pytest.mark.parametrize("way", [*OPTIONS, *BEST_CUT], ids=lambda way: way.name)
    def test_the_job_carried_over_has_the_option_s_total(self, demo, way) -> None:
        job = replace(demo, only=("party wall", "window wall"))
        option = option_result(job, way)
        carried = mt.evaluate(carry(job, option.treatment))  # left uncut where half a day more would not pay
        assert carried.cost.total == option.total
        assert sum(line.amount for line in (*option.cost.lines, *option.cost.markups)) == option.total

    def test_a_plane_is_carried_as_the_choice_of_plane(self, demo) -> None:
        assert carry(demo, PLUMB).treatment is None
        assert carry(demo, OPTIONS[6]).plane.kind == "square"
        assert carry(demo, STRAIGHT).treatment == STRAIGHT

    def test_choosing_a_plane_leaves_the_treatment_and_a_slider_keeps_it(self, demo) -> None:
        job = carry(demo, STRAIGHT)
        assert with_plane(job, least_mm=9.0).treatment == STRAIGHT
        assert with_plane(job, kind="plumb").treatment is None
        own = replace(demo, walls=(replace(demo.walls[0], treatment=PATCH_ONLY), *demo.walls[1:]))
        assert floated(own) == demo

    def test_the_lean_allowed_bounds_the_face_that_follows_the_wall(self, demo) -> None:
        job = replace(demo, compare=replace(demo.compare, lean_mm_per_m=1.5))
        leans = [abs(wall.plane.c_mm_per_m) for wall in option_walls(job, OPTIONS[4])]
        assert max(leans) == pytest.approx(1.5)


class TestOnlyWhatDependsIsRecomputed:
    GEOMETRY = (
        (bare_wall, "surface_stage"), (wallstages, "plane_stage"), (wallstages, "build_up_stage"),
        (repairstages, "hole_stage"), (repairstages, "flush_stage"), (repairstages, "straightened_stage"),
        (repairstages, "cut_and_filled_stage"), (optionwalls, "cut_stage"), (options, "remains_stage"),
    )  # fmt: skip

    @pytest.fixture(autouse=True)
    def _nothing_kept(self) -> None:
        """What other tests left may be dropped in the middle of this one, and count as worked out anew."""
        for module, name in self.GEOMETRY:
            getattr(module, name).cache_clear()

    @staticmethod
    def misses() -> list[int]:
        stages = TestOnlyWhatDependsIsRecomputed.GEOMETRY
        return [getattr(module, name).cache_info().misses for module, name in stages]

    @pytest.mark.parametrize(
        "change",
        [
            lambda job: with_price(job, "angle bead", Decimal("9.87")),
            lambda job: with_price(job, "light gypsum backing", Decimal("23.45")),
            lambda job: replace(job, waste_share=0.18, patch_waste_share=0.3),
            lambda job: with_mix(job, "light gypsum backing", density_kg_per_l=0.97),
            lambda job: replace(job, margins=replace(job.margins, tax_share=0.07)),
        ],
        ids=["bead", "bag", "waste", "density", "tax"],
    )
    def test_prices_waste_and_densities_touch_no_geometry(self, demo, change) -> None:
        assert self.moved_by(change, replace(demo, only=("window wall", "door wall")), OPTIONS)

    @pytest.mark.parametrize(
        "change",
        [
            lambda job: with_price(job, "light gypsum backing", Decimal("13.52")),
            lambda job: replace(job, waste_share=0.13),
            lambda job: with_mix(job, "light gypsum backing", density_kg_per_l=0.81),
            lambda job: replace(job, margins=replace(job.margins, tax_share=0.07)),
        ],
        ids=["bag", "waste", "density", "tax"],
    )
    def test_high_spots_taken_down_where_it_pays_stay_while_prices_move_little(self, demo, change) -> None:
        ways = (*BEST_CUT, replace(STRAIGHT, name="straight, cut", take_down=True))
        assert self.moved_by(change, replace(demo, only=("window wall", "door wall")), ways)

    def moved_by(self, change, job: mt.Job, ways) -> bool:
        """Whether totals moved, once it is sure that no geometry did."""
        totals = [option_result(job, way).total for way in ways]
        before = self.misses()
        after = [option_result(change(job), way).total for way in ways]
        assert self.misses() == before
        return totals != after

    def test_another_tolerance_touches_the_straightened_wall_only(self, demo) -> None:
        job = replace(demo, only=("door wall",), compare=Compare(tolerance_mm=5.0))
        for way in OPTIONS:
            option_result(job, way)
        before = self.misses()
        for way in OPTIONS:
            option_walls(replace(job, compare=Compare(tolerance_mm=2.25)), way)
        moved = [now - then for now, then in zip(self.misses(), before, strict=True)]
        named = dict(zip((name for _, name in self.GEOMETRY), moved, strict=True))
        assert named.pop("straightened_stage") == 1
        assert set(named.values()) == {0}
