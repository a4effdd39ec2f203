"""How sure a filled wall's litres are: each face filled anew by the public repair, and what prices follow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hand import job_of

import mytakeoff as mt
from mytakeoff.cost.cost import job_cost
from mytakeoff.flatness.edge_lines import EdgeRule
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.treatments import PATCH, STRAIGHTEN, Treatment
from mytakeoff.ranges.fill_range import FillRange, fill_range_steps
from mytakeoff.ranges.job_ranges import job_ranges
from mytakeoff.ranges.wall_prices import case_steps
from mytakeoff.repair.coarse_cells import Parts
from mytakeoff.simulation.planes_over_faces import Drawn
from mytakeoff.simulation.wall_range import faces_steps
from mytakeoff.steps import run
from mytakeoff.survey.wall import LooseArea
from mytakeoff.treatment.drawn_fills import AT_ONCE, FACES, fills_steps
from mytakeoff.treatment.left_open import drawn_more_steps, measured_of

WALL = mt.Wall("A", 1.6, 1.2, openings=(mt.Opening("hatch", 1.1, 0.5, 0.3, 0.4),))
HOLE = LooseArea(0.2, 0.2, 0.4, 0.3, depth_mm=15.0, fallen=True)


def survey(step_m: float = 0.3, bumps_mm: float = 4.0, **details) -> mt.Survey:
    """An invented wall of bumps, read in whole millimetres."""
    x, z = (axis.ravel() for axis in np.meshgrid(np.arange(0.1, 1.6, step_m), np.arange(0.1, 1.2, step_m)))
    proud = bumps_mm * np.sin(6 * x + 1) * np.cos(5 * z) + 2 * z
    return mt.Survey.from_readings(WALL, x, z, np.round(proud), **details)


def job(kind=STRAIGHTEN, read: mt.Survey | None = None, **details) -> Job:
    entry = JobWall(WALL, "room", read or survey(), "sound old plaster", loose=details.pop("loose", ()))
    way = Treatment("way", kind, skim=details.pop("skim", True), take_down=details.pop("take_down", False))
    return job_of(entry, treatment=way, compare=mt.Compare(tolerance_mm=2.0, straightedge_m=1.0), **details)


def range_of(one: Job) -> FillRange:
    [wall] = mt.evaluate(one).walls
    more = run(drawn_more_steps(one, wall))
    return run(fill_range_steps(one, wall, Drawn(more.litres + wall.build_up.volume_l, more.weights)))


def blocks(values: np.ndarray, area: np.ndarray) -> np.ndarray:
    """Means over two by two cells, weighted by area; NaN where there is none."""
    rows, columns = values.shape[0] // 2, values.shape[1] // 2
    weighed = np.where(area > 0, values, 0.0) * area
    total, weight = (each.reshape(rows, 2, columns, 2).sum(axis=(1, 3)) for each in (weighed, area))
    return np.divide(total, weight, out=np.full(total.shape, np.nan), where=weight > 0)


def refilled_l(face_mm: np.ndarray, area: np.ndarray) -> float:
    """A face straightened by `spot_repair` on cells a hand wide, its whole part of wall counted."""
    x, z = (np.arange(n) * 0.1 + 0.05 for n in (face_mm.shape[1] // 2, face_mm.shape[0] // 2))
    bare = replace(WALL, openings=())
    surface = mt.Surface.from_grid(bare, x, z, blocks(face_mm, area))
    fill = mt.spot_repair(surface, 2.0, 1.0, left_mm=0.5).thickness_mm
    return float(np.nansum(fill * area.reshape(z.size, 2, x.size, 2).sum(axis=(1, 3))))


def test_each_face_takes_what_the_public_repair_puts_on_it():
    one = job(loose=(HOLE,))
    [wall] = mt.evaluate(one).walls
    found = range_of(one)
    drawn_faces = run(faces_steps(measured_of(one, wall)))
    area = drawn_faces.surface.known_area_m2
    assert area.shape == (24, 32)  # 5 cm
    plain = refilled_l(drawn_faces.surface.proud_mm + drawn_faces.lowering_mm, area)
    proud_mm = drawn_faces.proud_mm
    some = np.linspace(0, len(proud_mm) - 1, FACES).round().astype(int)
    filled = np.array(
        [
            refilled_l(face.astype(float) + drawn_faces.lowering_mm, area)
            for face in drawn_faces.proud_mm[some]
        ]
    )
    expected = wall.build_up.volume_l + filled - plain
    # fills end at most 0.1 mm under their least, here over 1.8 m²
    np.testing.assert_allclose(found.drawn.litres, expected, atol=0.2)
    assert np.ptp(found.drawn.litres) > 1.0


def test_a_patched_wall_takes_what_was_entered_whatever_lies_between_its_readings():
    one = job(PATCH, loose=(HOLE,))
    result = mt.evaluate(one)
    [wall] = job_ranges(result).walls
    assert wall.range.drawn_faces is None
    assert wall.readings == ()
    assert {*wall.litres.rounded(6)} == {*job_ranges(result).litres.rounded(6)}
    # 0.4 × 0.3 m at 15 mm is 1.8 l; without a finish the skim is backing, 8 mm over the wall
    assert wall.litres.middle == pytest.approx(1.8 + 8.0 * (1.6 * 1.2 - 0.3 * 0.4))


def test_readings_closer_by_leave_less_open():
    widths = []
    for step_m in (0.2, 0.4):
        litres = job_ranges(mt.evaluate(job(read=survey(step_m)))).litres
        widths.append(litres.high - litres.low)
    assert widths[0] < 0.7 * widths[1]


def test_faces_take_more_than_the_smooth_surface_and_never_less_than_holes_and_skim():
    found = range_of(job(loose=(HOLE,)))
    assert found.drawn.at(0.5) > found.priced_l
    bare = range_of(job(PATCH, loose=(HOLE,))).priced_l
    assert found.drawn.litres.min() >= bare - 1e-6


def test_a_scan_leaves_nothing_open():
    x, z = np.random.default_rng(2).uniform((0, 0), (1.6, 1.2), (3000, 2)).T
    read = mt.Survey.from_readings(WALL, x, z, 4 * np.sin(6 * x), layout="scan")
    found = range_of(job(read=read))
    assert found.drawn_faces is None
    assert found.drawn.litres.tolist() == [found.priced_l]


def test_the_price_follows_what_each_face_takes_more():
    """The cost of the wall as it would be on a face, less that of the wall as read, on the same cells."""
    one = job()
    result = mt.evaluate(one)
    found = range_of(one)
    cases = run(case_steps(one, result.walls, 0, found))
    base = float(result.cost.total)
    as_read = float(job_cost(one, [found.plain]).total)
    dearest = int(found.drawn.litres.argmax())
    more = float(job_cost(one, [found.faces[dearest]]).total) - as_read
    assert float(cases.total_at(found.drawn.litres[[dearest]])[0]) == pytest.approx(base + more)
    assert as_read == pytest.approx(base, rel=0.1)  # coarse cells alone move the price little
    litres = sum(each for each in cases.by_mix.values())
    np.testing.assert_allclose(litres, found.drawn.litres, rtol=0.02)


def test_what_is_taken_down_is_taken_off_every_face():
    """Whoever takes high spots down does so where that was decided: the litres of it stay the same."""
    nib = survey().with_high_spots([(0.75, 0.65, 14.0)])
    one = job(read=nib, take_down=True)
    [wall] = mt.evaluate(one).walls
    assert wall.build_up.cut_l > 0.005
    found = range_of(one)
    for face in (found.plain, *found.faces):
        assert face.build_up.cut_l == pytest.approx(wall.build_up.cut_l)
    uncut = range_of(job(read=nib))
    assert found.plain.build_up.volume_l < uncut.plain.build_up.volume_l


def test_faces_filled_once_serve_every_price(monkeypatch):
    one = job()
    first = range_of(one)
    monkeypatch.setattr("mytakeoff.treatment.drawn_fills.ruled_flush", lambda *_: pytest.fail("filled anew"))
    again = range_of(replace(one, waste_share=0.3))
    assert again.drawn.litres.tolist() == first.drawn.litres.tolist()
    assert {face.build_up.surface.proud_mm.shape for face in again.faces} == {(12, 16)}


def test_a_few_fills_come_in_a_step():
    one = job()
    drawn_faces = run(faces_steps(measured_of(one, mt.evaluate(one).walls[0])))
    last = None

    def all_steps():
        nonlocal last
        last = yield from fills_steps(drawn_faces, (EdgeRule(1.0, 2.0),), 0.5)

    steps = list(all_steps())
    assert steps == [None] * len(steps)
    assert len(steps) > FACES / AT_ONCE
    assert last is not None
    assert last.weights.sum() == pytest.approx(1.0)


def test_means_over_parts_keep_the_litres_of_a_field():
    rng = np.random.default_rng(4)
    surface = mt.grid_surface(survey(), 0.05)
    field = rng.uniform(0, 9, surface.proud_mm.shape)
    parts = Parts.of(surface, 2.0)
    litres = float((field * surface.known_area_m2).sum())
    assert float(np.nansum(parts.means_mm(field) * parts.area_m2)) == pytest.approx(litres)
    assert parts.as_surface(parts.highest_mm()).net_area_m2 == pytest.approx(surface.net_area_m2)
