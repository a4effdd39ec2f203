"""Finish grades: published tables cell by cell, each grade's own way of measuring on faces known exactly."""

from __future__ import annotations

import math

import numpy as np
import oracles
import pytest

import mytakeoff as mt
from mytakeoff.flatness.grades import GRADES, GapByDistance, GapUnderEdge, PlumbLimits, grade_of, own_grade
from mytakeoff.flatness.judging import BELLY, HOLLOW, PLUMB, PLUMB_APART, UNEVEN, judge, most_uneven_places
from mytakeoff.flatness.straightedge import straightedge_gap

# DIN 18202 table 3, interpolated, as printed in a German screed handbook (deploy.doczz.net/doc/5839552)
DISTANCES_M = (0.1, 0.6, 1, 1.5, 2, 2.5, 3, 3.5, 4, 6, 8, 10, 15)
PRINTED_MM = {
    5: (5, 8, 10, 11, 12, 13, 13, 14, 15, 18, 22, 25, 30),
    6: (3, 4, 5, 6, 7, 8, 8, 9, 10, 13, 17, 20, 25),
    7: (2, 2, 3, 4, 5, 6, 6, 7, 8, 10, 13, 15, 20),
}
# 2 + (3 - 2) · 0.5 / 0.9 = 2.56 mm, which rounds to 3; the handbook prints 2
MISPRINTED = {(7, 0.6): 3}


def table_of(line: int) -> GapByDistance:
    flatness = grade_of(f"DIN 18202 line {line}").flatness
    assert isinstance(flatness, GapByDistance)
    return flatness


@pytest.mark.parametrize("line", [5, 6, 7])
def test_the_interpolated_table_cell_by_cell(line: int) -> None:
    for distance, printed in zip(DISTANCES_M, PRINTED_MM[line], strict=True):
        assert table_of(line).limit_mm(distance) == MISPRINTED.get((line, distance), printed), distance


def test_below_and_beyond_the_table_its_ends_hold() -> None:
    assert [table_of(6).limit_mm(distance) for distance in (0.01, 15.0, 40.0)] == [3, 25, 25]


@pytest.mark.parametrize("line", [5, 6, 7])
def test_edges_with_one_tolerance_each_say_the_same_as_the_table(line: int) -> None:
    rules = table_of(line).edge_rules(12.0)
    for distance in np.linspace(0.05, 12.0, 500):
        allowed = min(rule.tolerance_mm for rule in rules if rule.length_m >= distance - 1e-4)
        assert allowed == table_of(line).limit_mm(float(distance))


@pytest.mark.parametrize(
    ("grade", "height_m", "limit_mm"),
    [
        # DIN 18202 table 2, beaplan.de (secondary): both sides of every step
        *(("DIN 18202 line 6", height, limit) for height, limit in (
            (0.5, 3), (0.51, 6), (1.0, 6), (1.01, 8), (2.5, 8), (3.0, 8), (3.01, 12), (3.2, 12), (6.0, 12),
            (6.01, 16), (15.0, 16), (15.01, 20), (30.0, 20), (30.01, 30),
        )),
        # NHBC Standards 9.1.3, 2019 and 2020 (nhbc-standards.co.uk)
        ("NHBC 2019", 2.5, 8), ("NHBC 2019", 2.51, 12),
        ("NHBC 2020", 2.6, 8), ("NHBC 2020", 3.0, 8), ("NHBC 2020", 3.01, 12),
        # SNiP 3.04.01-87 table 10 (homemasters.ru, secondary)
        ("SNiP 3.04.01-87 simple", 2.7, 15), ("SNiP 3.04.01-87 improved", 2.7, 10),
        ("SNiP 3.04.01-87 high-quality", 2.7, 5),
    ],
)  # fmt: skip
def test_out_of_plumb_by_height(grade: str, height_m: float, limit_mm: float) -> None:
    plumb = grade_of(grade).plumb
    assert plumb is not None
    assert plumb.limit_mm(height_m) == limit_mm


@pytest.mark.parametrize(
    ("name", "depth", "count", "per_m"),
    [("simple", 5, 3, 3), ("improved", 3, 2, 2), ("high-quality", 2, 2, 1)],
)
def test_snip_classes(name: str, depth: float, count: int, per_m: float) -> None:
    """SNiP 3.04.01-87 table 10 (homemasters.ru, perekos.net; secondary)."""
    grade = grade_of(f"SNiP 3.04.01-87 {name}")
    assert grade.flatness == GapUnderEdge(2.0, depth, both_ways=True, most_per_4_m2=count)
    assert grade.plumb is not None
    assert (grade.plumb.apart_m, grade.plumb.apart_mm) == (1.0, per_m)


@pytest.mark.parametrize(
    ("name", "limit", "both"), [("NHBC 2019", 5, True), ("NHBC 2020", 3, True), ("IS 1661", 3, False)]
)
def test_limits_under_a_2_m_edge(name: str, limit: float, both: bool) -> None:
    """NHBC 9.1.3 of 2019 and 2020; IS 1661:1972 clause 15 (secondary)."""
    flatness = grade_of(name).flatness
    assert isinstance(flatness, GapUnderEdge)
    assert (flatness.length_m, flatness.limit_mm, flatness.both_ways) == (2.0, limit, both)


def test_every_grade_says_where_it_comes_from_and_to_check() -> None:
    assert len({grade.name for grade in GRADES}) == len(GRADES) == 9
    for grade in GRADES:
        assert grade.source
        assert grade.edition
        assert "check the contract's own standard" in grade.status
        assert ("secondary" in grade.status) == (not grade.name.startswith("NHBC"))


def bowed(sagitta_mm: float, cell_m: float = 0.1, height_m: float = 0.5) -> mt.Surface:
    """A face bent across over 2 m: its middle stands proud of the ends by the sagitta; negative: hollow."""
    x = (np.arange(21)) * cell_m - 1.0
    return oracles.grid_of(np.tile(sagitta_mm * (1 - x**2), (round(height_m / cell_m), 1)), cell_m)


def found(verdict, what: str):
    return next(finding for finding in verdict.findings if finding.what == what)


def test_a_hollow_fails_both_ways_of_measuring_a_bulge_only_the_one_with_packers() -> None:
    """An arc over exactly 2 m shows its sagitta, hollow or proud."""
    for grade, hollow_ok, bulge_ok in (
        ("IS 1661", False, True),
        ("NHBC 2020", False, False),
        ("NHBC 2019", True, True),
    ):
        assert judge(bowed(-4.0), grade_of(grade)).passes == hollow_ok, grade
        assert judge(bowed(4.0), grade_of(grade)).passes == bulge_ok, grade
    bulge = found(judge(bowed(4.0), grade_of("NHBC 2020")), BELLY)
    assert (bulge.found, bulge.over_by) == (pytest.approx(4.0), pytest.approx(1.0))
    hollow = found(judge(bowed(-4.0), grade_of("IS 1661")), HOLLOW)
    assert (hollow.found, hollow.allowed, hollow.x_m) == (pytest.approx(4.0), 3.0, pytest.approx(1.05))


def test_a_face_exactly_at_the_limit_passes() -> None:
    assert judge(bowed(-3.0), grade_of("IS 1661")).passes
    assert not judge(bowed(-3.02), grade_of("IS 1661")).passes


def by_distance(surface: mt.Surface, table: GapByDistance) -> tuple[float, float]:
    """Over each chord of each row by itself: (gap - limit, gap) of the worst, from the definition."""
    step = surface.x_m[1] - surface.x_m[0]
    worst = (-math.inf, 0.0)
    for row in surface.proud_mm:
        for i in range(len(row)):
            for j in range(i + 2, len(row)):
                chord = row[i] + (row[j] - row[i]) * np.arange(1, j - i) / (j - i)
                gap = max(0.0, float((chord - row[i + 1 : j]).max()))
                worst = max(worst, (gap - table.limit_mm((j - i) * step), gap))
    return worst


@pytest.mark.parametrize("seed", range(5))
def test_din_judges_each_gap_by_its_own_distance(seed: int) -> None:
    """One row, so that only the direction across counts; every chord looked at by itself."""
    random = np.random.default_rng(seed)
    surface = oracles.grid_of(random.normal(0, 2.5, (1, 30)).cumsum(axis=1) / 2, 0.15)
    verdict = judge(surface, grade_of("DIN 18202 line 6"), plumb=False)
    over, _ = by_distance(surface, table_of(6))
    assert verdict.passes == (over <= 0.01)
    if over > 0:
        assert found(verdict, HOLLOW).over_by == pytest.approx(over)


def test_din_lets_a_long_hollow_pass_that_a_short_edge_forbids() -> None:
    """5 mm: over a 0.8 m dip line 6 allows 3 + 2·0.7/0.9 → 5; over 0.4 m it allows 4."""
    for cell, passes in ((0.4, True), (0.2, False)):
        dip = oracles.grid_of([[0.0, 0.0, -5.0, 0.0, 0.0]], cell)
        assert judge(dip, grade_of("DIN 18202 line 6"), plumb=False).passes == passes


def test_out_of_plumb_end_to_end_and_a_metre_apart() -> None:
    """A face that leans 4 mm/m over 26 cells of 0.1 m: 2.5 m between its outer cells, so 10 mm."""
    z = (np.arange(26) + 0.5) * 0.1
    leaning = oracles.grid_of(np.tile(4.0 * z[:, None], (1, 4)))
    verdict = judge(leaning, grade_of("SNiP 3.04.01-87 simple"))
    assert found(verdict, PLUMB).found == pytest.approx(10.0)
    assert found(verdict, PLUMB).passes
    assert found(verdict, PLUMB_APART).found == pytest.approx(4.0)
    assert not found(verdict, PLUMB_APART).passes
    assert found(judge(leaning, own_grade(3.0, 2.0, 7.0, 2.0)), PLUMB_APART).over_by == pytest.approx(1.0)
    unsure = judge(leaning, grade_of("SNiP 3.04.01-87 simple"), plumb=False)
    assert unsure.plumb == ()
    assert "not plumb" in unsure.note


def test_the_column_over_a_door_does_not_tell_the_walls_plumb() -> None:
    door = mt.Opening("door", 0.2, 0.0, 0.3, 2.0)
    z = (np.arange(26) + 0.5) * 0.1
    proud = np.tile(np.where(z > 2.0, 20 * (z - 2.0), 0.0)[:, None], (1, 8))
    proud[:, [0, 1, 5, 6, 7]] = 0.0
    verdict = judge(oracles.grid_of(proud, 0.1, [door]), own_grade(3.0, 2.0, 5.0, 2.5))
    assert found(verdict, PLUMB_APART).found == 0.0
    assert judge(oracles.grid_of(proud, 0.1, [door]), grade_of("NHBC 2020")).plumb[0].found == 0.0


def test_uneven_places_are_counted_on_the_worst_2_by_2_m() -> None:
    """Three dips within 2 m of one another and a fourth 2 m further: three."""
    proud = np.zeros((21, 60))
    proud[10, [5, 10, 15, 40]] = -2.0
    surface = oracles.grid_of(proud)
    assert most_uneven_places(surface, straightedge_gap(surface, 2.0), 1.0)[0] == 3
    assert found(judge(surface, grade_of("SNiP 3.04.01-87 simple")), UNEVEN).passes
    assert not found(judge(surface, grade_of("SNiP 3.04.01-87 improved")), UNEVEN).passes
    assert most_uneven_places(surface, straightedge_gap(surface, 2.0), 2.5)[0] == 0
    proud[10, 6] = -2.0  # touches its neighbour: the same place
    assert most_uneven_places(surface, -proud, 1.0)[0] == 3


def test_the_worst_is_what_is_most_over_as_a_share() -> None:
    verdict = judge(bowed(-6.0), own_grade(3.0, 2.0, 4.0, 0.3))
    assert verdict.worst.what == HOLLOW
    assert verdict.worst.over_by == pytest.approx(3.0)


def test_unknown_names_and_figures_out_of_range() -> None:
    with pytest.raises(mt.TakeoffError, match="choose from DIN 18202 line 5"):
        grade_of("DIN 18202 line 9")
    with pytest.raises(mt.TakeoffError) as error:
        own_grade(0.0, -2.0, -1.0, 0.0)
    assert len(error.value.mistakes) == 4


def test_no_limit_by_height_where_there_is_none() -> None:
    assert PlumbLimits().limit_mm(2.5) is None
