"""The ways of treating a wall: what each takes, what it leaves behind, and that the budget agrees."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from hand import SKIMMED
from option_jobs import (
    FALLEN,
    NO_CUT,
    OPTIONS,
    PATCH_AND_SKIM,
    PATCH_ONLY,
    PLUMB,
    STRAIGHT,
    amounts,
    demo_job,
    flat_job,
    litres,
)

import mytakeoff as mt
from mytakeoff.job.catalogue import LIME_SAND
from mytakeoff.job.treatments import AS_IT_IS, FLOAT_PLUMB, PATCH, STRAIGHTEN, Compare, PlumbThing, Treatment
from mytakeoff.options import compare as options
from mytakeoff.options.compare import compare, option_or_refused, option_result, options_of, wall_by_wall
from mytakeoff.options.result import HOLLOWS_ONLY, OptionResult, Refused, best_of
from mytakeoff.options.table import COLUMNS, options_frame
from mytakeoff.treatment import treat as optionwalls
from mytakeoff.treatment.cautions import cautions_for
from mytakeoff.treatment.left_open import option_walls
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import standard_treatments, treated_wall


@pytest.fixture(scope="module")
def demo() -> mt.Job:
    """The demonstration on coarse cells."""
    return demo_job()


class TestWhatEachTakes:
    def test_as_it_is_takes_nothing(self) -> None:
        job = replace(flat_job(loose=(FALLEN,)), extras=(mt.Extra("mixer hire", 2.0),))
        done = option_result(job, OPTIONS[0])
        assert done.total == 0
        assert done.days == done.days_to_paint == 0
        assert done.cost.lines == ()

    def test_nothing_done_needs_no_caution(self) -> None:
        job = flat_job(loose=(FALLEN,))
        assert cautions_for(job, option_walls(job, OPTIONS[0])) == ()
        assert cautions_for(job, option_walls(job, PATCH_ONLY)) != ()

    def test_loose_plaster_stays_on_and_fallen_hollows_stay_open(self) -> None:
        loose = replace(FALLEN, x_m=1.6, fallen=False)
        [wall] = option_walls(flat_job(loose=(FALLEN, loose)), OPTIONS[0])
        off_l = -np.nansum(wall.surface.proud_mm * wall.surface.cell_area_m2)
        assert off_l == pytest.approx(1.0 * 0.8 * 20)  # the fallen area alone

    def test_a_patch_fills_the_hole_flush(self) -> None:
        [wall] = option_walls(flat_job(loose=(FALLEN,)), PATCH_ONLY)
        assert litres(wall) == {"patches": 16.0}  # 1.0 × 0.8 m, 20 mm deep
        face = wall.surface.proud_mm + wall.build_up.thickness_mm
        assert np.nanmax(np.abs(face)) < 1e-9
        [patch] = wall.patches
        assert (patch.area_m2, patch.deepest_mm) == pytest.approx((0.8, 20.0))

    def test_what_came_off_grows_by_a_quarter(self) -> None:
        loose = replace(FALLEN, fallen=False)
        [wall] = option_walls(flat_job(loose=(loose,)), PATCH_ONLY)
        assert wall.build_up.volume_l == pytest.approx(0.8 * 1.25 * 20)
        assert amounts(flat_job(loose=(loose,)), PATCH_ONLY)["tipping, mixed rubble"] == Decimal(
            # 20 l of old plaster at 1.7 kg/l; what is mixed too much is gypsum, kept apart
            "34"
        )

    def test_patches_waste_more_and_take_patch_hours(self) -> None:
        quantities = amounts(flat_job(loose=(FALLEN,)), PATCH_ONLY)
        # 16 l × 0.8 kg/l × 1.2 = 15.4 kg: one bag; grit primer 0.8 m² × 0.3 kg: a whole kilo
        assert quantities["light gypsum backing"] == 1
        assert quantities["grit primer"] == 1
        # 0.5 h and 0.8 m² × 1 h, and 0.1 h/m² for the second coat of 20 mm
        assert quantities["plasterer: patches"] == Decimal("1.38")
        assert not {"angle bead", "rail", "plasterer: float backing", "gypsum skim"} & set(quantities)

    def test_bare_patching_says_that_it_shows(self) -> None:
        job = flat_job(loose=(FALLEN,))
        assert any("show through paint" in said for said in option_result(job, PATCH_ONLY).notices)
        assert not any("show through" in said for said in option_result(job, PATCH_AND_SKIM).notices)

    def test_a_skim_lies_evenly_over_the_patched_wall(self) -> None:
        job = flat_job(loose=(FALLEN,))
        [wall] = option_walls(job, PATCH_AND_SKIM)
        assert litres(wall) == {"finish": 14.4, "patches": 16.0}  # 7.2 m² × 2 mm
        quantities = amounts(job, PATCH_AND_SKIM)
        assert quantities["gypsum skim"] == 1  # 14.4 × 1.25 × 1.1 = 19.8 kg
        assert quantities["grit primer"] == 3  # 7.2 m² × 0.3 = 2.16 kg
        assert quantities["plasterer: finish coat"] == Decimal("2.16")  # 7.2 m² × 0.3 h

    def test_reveals_are_skimmed_with_the_wall_and_not_built_up(self) -> None:
        window = mt.Opening("window", 1.0, 0.8, 1.0, 1.2, reveal_mm=200.0)
        quantities = amounts(flat_job(openings=(window,)), PATCH_AND_SKIM)
        # wall 7.2 − 1.2 m² and reveals (1.2 + 1.2 + 1.0) m × 0.2 m, 0.3 h/m² each
        assert quantities["plasterer: finish coat"] == Decimal("2.00")
        assert not {"angle bead", "plasterer: reveals"} & set(quantities)

    @pytest.mark.parametrize(
        ("system", "background", "coats"),
        [
            (SKIMMED, "sound old plaster", {"finish": 14.4}),
            (SKIMMED, "smooth concrete", {"finish": 14.4}),
            (SKIMMED, "brick", {"finish": 14.4, "backing": 57.6}),  # 8 mm: masonry takes no skim alone
            (mt.System(LIME_SAND), "sound old plaster", {"backing": 43.2}),  # 6 mm, its own finish
        ],
    )
    def test_what_a_skim_is_made_of(self, system, background, coats) -> None:
        [wall] = option_walls(flat_job(system, background), PATCH_AND_SKIM)
        assert litres(wall) == coats

    def test_a_wall_without_holes_needs_no_patching(self) -> None:
        assert option_result(flat_job(), PATCH_ONLY).total == 0

    def test_thin_hollows_are_filled_with_the_finish_where_the_backing_is_too_coarse(self, demo) -> None:
        backing = replace(demo.system.backing, least_coat_mm=12.0)
        system = replace(demo.system, backing=backing, dubbing=None)
        job = replace(demo, system=system, only=("window wall",), compare=Compare(tolerance_mm=3.0))
        [wall] = option_walls(job, STRAIGHT)
        assert max(patch.deepest_mm for patch in wall.patches) < 12
        assert "patches" not in litres(wall)
        thin = litres(wall)["thin patches"]
        assert thin == pytest.approx(sum(patch.volume_l for patch in wall.patches), abs=1e-5)


@pytest.fixture(scope="module")
def straightened(demo: mt.Job) -> WallResult:
    job = replace(demo, compare=Compare(tolerance_mm=3.0))
    return treated_wall(job, job.wall("party wall"), STRAIGHT)


class TestStraightening:
    def test_filled_patches_are_ruled_flush_and_no_gap_exceeds_the_grade(self, straightened) -> None:
        gap = gap_by_definition(straightened)
        assert np.nanmax(gap) <= 3.0 + 1e-6
        hole = optionwalls.hole_stage(straightened.surface, straightened.entry.loose, 0.25)
        filled = straightened.build_up.thickness_mm - hole.thickness_mm > 2.0 + 1e-3  # beside the skim
        assert filled.any()
        assert np.nanmax(gap[filled]) <= 0.5 + 0.02

    def test_holes_are_filled_whatever_the_grade(self, straightened) -> None:
        hole = optionwalls.hole_stage(straightened.surface, straightened.entry.loose, 0.25)
        assert (np.nan_to_num(straightened.build_up.thickness_mm - hole.thickness_mm) >= -1e-9).all()
        assert hole.volume_l == pytest.approx(1.25 * 1.6 * 1.4 * 20)  # the fallen area lies inside

    def test_it_says_that_bulges_stay(self, demo) -> None:
        assert HOLLOWS_ONLY in option_result(demo, STRAIGHT).notices
        assert HOLLOWS_ONLY not in option_result(demo, PATCH_AND_SKIM).notices

    def test_it_never_takes_less_than_patching(self, demo) -> None:
        for entry in demo.walls:
            patched, straight = (treated_wall(demo, entry, way) for way in (PATCH_AND_SKIM, STRAIGHT))
            assert straight.build_up.volume_l >= patched.build_up.volume_l - 1e-9


def gap_by_definition(wall: WallResult, edge_m: float = 2.0) -> np.ndarray:
    """Chord minus wall, the greatest over every pair of cells of an unbroken line, tried one by one."""
    face = wall.surface.proud_mm - wall.build_up.cut_mm + wall.build_up.thickness_mm
    step_x, step_z = np.diff(wall.surface.x_m)[0], np.diff(wall.surface.z_m)[0]
    rows, columns = face.shape
    gap = np.where(np.isnan(face), np.nan, 0.0)
    for across, up in ((1, 0), (0, 1), (1, 1), (1, -1)):
        span = int(edge_m / np.hypot(across * step_x, up * step_z) + 1e-9)
        for row, column in np.argwhere(~np.isnan(face)):
            cells = []
            for step in range(span + 1):
                at = row + up * step, column + across * step
                if not (0 <= at[0] < rows and 0 <= at[1] < columns) or np.isnan(face[at]):
                    break
                cells.append(at)
                for inner in range(1, step):
                    chord = face[cells[0]] + (face[at] - face[cells[0]]) * inner / step
                    gap[cells[inner]] = max(gap[cells[inner]], chord - face[cells[inner]])
    return gap


class TestWhatItLeavesBehind:
    def test_each_number_of_a_floated_wall_by_hand(self) -> None:
        job = flat_job(turn_mm_per_m=0.0)
        option = option_result(job, PLUMB)
        [left] = option.remains
        # 8 mm of backing and 2 of finish over a flat plumb wall
        assert option.room_lost_mm == pytest.approx(10.0)
        assert option.worst_gap_mm == pytest.approx(0.0, abs=1e-9)
        assert option.lean_mm == pytest.approx(0.0, abs=1e-9)
        powder = 7.2 * (8 * 0.8 + 2 * 1.25)
        assert option.dry_kg == pytest.approx(powder * 1.19)  # gypsum binds at most 0.19 of its weight
        assert left.dry_kg_per_m2 == pytest.approx(powder * 1.19 / 7.2)
        assert option.passes

    def test_days_to_paint(self) -> None:
        option = option_result(flat_job(), PLUMB)
        # Monday: set up 1.25 h, prime 0.36 h, it dries over night; Tuesday: back 0.5, rails 1.43, float 3.6 h
        # to 13:32, which sets for 4 h; Wednesday: rails out 0.57 h, 4 h, skim 2.16 h to 14:44. Then 8 + 2 mm
        # dry a day a mm: Saturday in the week after, so paint from Sunday, 13 days after the first.
        assert option.days_to_paint == 13
        assert option.paint_date(date(2027, 3, 1)) == date(2027, 3, 14)
        assert option.paint_date(date(2027, 3, 6)) == date(2027, 3, 21)  # a Saturday: work begins on Monday

    def test_the_worst_wall_is_named_with_how_much_it_is_over(self, demo) -> None:
        job = replace(demo, compare=Compare(tolerance_mm=3.0))
        option = option_result(job, OPTIONS[0])
        wall, finding = option.worst
        bare = treated_wall(job, job.wall("party wall"), OPTIONS[0])
        assert wall == "party wall"
        assert finding.found == pytest.approx(np.nanmax(gap_by_definition(bare)), abs=1e-6)
        assert option.verdict.startswith("fails on party wall by")

    def test_a_wedge_beside_a_wardrobe(self, demo) -> None:
        beside = (PlumbThing("wardrobe", "party wall", 0.0, 0.6),)
        job = replace(demo, compare=replace(demo.compare, beside=beside), only=("party wall", "door wall"))
        skimmed, plumb = (option_result(job, way).remains for way in (PATCH_AND_SKIM, PLUMB))
        assert len(skimmed[0].wedges) == 1
        assert skimmed[1].wedges == ()
        assert skimmed[0].wedges[0].widest_mm > 5
        assert plumb[0].wedges[0].widest_mm == pytest.approx(0.0, abs=1e-6)


@pytest.fixture(scope="module")
def table(demo: mt.Job) -> tuple[OptionResult | Refused, ...]:
    return compare(replace(demo, compare=replace(demo.compare, take_down=False)))


class TestSideBySide:
    def test_the_standard_ways_and_each_wall_its_own(self, table) -> None:
        names = [way.name for way in standard_treatments()]
        squared = options.SQUARE_IN_ROOM.name  # a corner of the front room was measured
        assert [option.name for option in table] == [*names, squared, options.WALL_BY_WALL]

    def test_the_frame_has_a_row_an_option(self, table) -> None:
        frame = options_frame(table)
        assert tuple(frame.columns) == COLUMNS
        assert frame["price"].tolist() == [option.total for option in table]
        assert frame["passes"].tolist() == [option.passes for option in table]

    def test_the_best_is_the_cheapest_that_passes(self, table) -> None:
        best = best_of(table)
        assert best is not None
        assert best.passes
        assert all(best.total <= option.total for option in table if option.passes)

    def test_each_wall_its_own_way_passes_and_is_no_dearer_than_floating_all(self, table) -> None:
        *_, plumb, mixed = table
        assert mixed.passes
        assert mixed.total <= plumb.total
        assert mt.evaluate(mixed.result.job).cost.total == mixed.total

    def test_added_options_stand_beside_the_standard_ones(self, demo) -> None:
        own = Treatment("patch only", PATCH, skim=False)
        assert options_of(replace(demo, treatments=(own,)))[-1] == own
        with pytest.raises(mt.TakeoffError, match="two options called 'patch only'"):
            replace(demo, treatments=(own, own))

    def test_what_cannot_be_done_says_why(self, demo) -> None:
        bare = tuple(replace(wall, turn_mm_per_m=None) for wall in demo.walls)
        refused = option_or_refused(replace(demo, walls=bare), OPTIONS[6])
        assert isinstance(refused, Refused)
        frame = options_frame([refused])
        assert "corner" in frame["verdict"][0]
        assert best_of([refused]) is None

    def test_a_wall_measured_off_no_plumb_line_is_refused_plumb_and_judged_without(self, demo) -> None:
        tilted = tuple(replace(wall, survey=replace(wall.survey, plumb=False)) for wall in demo.walls)
        job = replace(demo, walls=tilted, only=("party wall", "door wall"))
        table = {option.name: option for option in compare(replace(job, compare=NO_CUT))}
        assert isinstance(table["float plumb"], Refused)
        leaning, mixed = table["float following the lean"], table[options.WALL_BY_WALL]
        assert leaning.lean_mm is None
        assert any("not plumb" in notice for notice in leaning.notices)
        assert mixed.passes

    def test_what_passes_in_no_way_is_floated_plumb(self, demo) -> None:
        strict = replace(demo, only=("party wall",), compare=replace(NO_CUT, grade="SNiP 3.04.01-87 simple"))
        ways = [OPTIONS[0], PATCH_ONLY]
        assert not any(option_result(strict, way).passes for way in ways)
        assert wall_by_wall(strict, [*ways, PLUMB]).walls[0].floated
        assert wall_by_wall(strict, ways).walls[0].treatment == PATCH_ONLY

    def test_an_unknown_grade_is_refused_with_the_list(self, demo) -> None:
        refused = option_or_refused(replace(demo, compare=Compare(grade="perfect")), PLUMB)
        assert isinstance(refused, Refused)
        assert "DIN 18202 line 6" in str(refused.why)
        assert refused.why.mistakes[0].place == "compare, grade"


class TestOneWallNeedsPatchesAnotherAPlane:
    """What the demonstration job is for: the same grade, two walls, two answers."""

    @staticmethod
    def passing(demo: mt.Job, wall: str) -> dict[str, bool]:
        job = replace(demo, only=(wall,))
        return {way.kind: option_result(job, way).passes for way in standard_treatments(take_down=False)}

    def test_the_door_wall_passes_patched(self, demo) -> None:
        assert self.passing(demo, "door wall")[PATCH]

    def test_the_party_wall_passes_only_when_floated_plumb(self, demo) -> None:
        passing = self.passing(demo, "party wall")
        assert passing.pop(FLOAT_PLUMB)
        assert not any(passing.values())

    def test_because_it_leans_more_than_the_grade_allows(self, demo) -> None:
        # DIN 18202 table 2: 8 mm up to 3 m; readings at x 0.2 m go from 49 to 60 mm between 0.1 and 2.5 m
        option = option_result(replace(demo, only=("party wall",)), STRAIGHT)
        _, worst = option.worst
        assert worst.what == "out of plumb over the height"
        assert worst.allowed == 8.0
        assert worst.found > 60 - 49
        [wall] = option.walls
        face = wall.surface.proud_mm + wall.build_up.thickness_mm
        assert worst.found == pytest.approx(np.nanmax(np.abs(face[-1] - face[0])))

    def test_wall_by_wall_says_so(self, demo) -> None:
        mixed = wall_by_wall(demo, standard_treatments(take_down=False))
        kinds = {wall.entry.name: wall.entry.treatment.kind for wall in mixed.walls}
        assert kinds["party wall"] == FLOAT_PLUMB
        assert kinds["door wall"] in (AS_IT_IS, PATCH)

    def test_bare_masonry_and_fallen_plaster_are_no_finish(self, demo) -> None:
        brick = option_result(
            replace(demo, only=("window wall",), compare=Compare(tolerance_mm=30.0)), OPTIONS[0]
        )
        assert brick.unfinished == ("window wall",)
        assert not brick.passes
        assert "not finished" in brick.verdict


@pytest.mark.parametrize(
    "make",
    [
        lambda: Treatment(" ", PATCH),
        lambda: Treatment("square", STRAIGHTEN, square=True),
        lambda: Compare(tolerance_mm=0.0),
        lambda: Compare(straightedge_m=-2.0),
        lambda: Compare(left_mm=float("nan")),
        lambda: Compare(lean_mm_per_m=-1.0),
        lambda: PlumbThing("door", "A", -0.1),
        lambda: PlumbThing("door", "A", 0.1, 0.0),
    ],
)
def test_what_is_refused_at_the_door(make) -> None:
    with pytest.raises(mt.TakeoffError):
        make()


def test_a_plumb_thing_stands_against_a_wall_of_the_job(demo) -> None:
    with pytest.raises(mt.TakeoffError, match="wardrobe"):
        replace(demo, compare=Compare(beside=(PlumbThing("wardrobe", "no such wall", 0.0, 0.6),)))
