"""Walls in scans: synthetic rooms whose walls are known, measured ones read without help, and refusals."""

from __future__ import annotations

import numpy as np
import pytest
from clouds import rectangle, wall_cloud, write_e57, write_las, write_ply, write_xyz
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from places import MEASURED
from plyfile import PlyData

import mytakeoff as mt
from mytakeoff import TakeoffError

SHARED = MEASURED
here = pytest.mark.skipif(not SHARED.is_dir(), reason="the measured surfaces are not beside this checkout")
UNIT_M = {"m": 1.0, "mm": 0.001, "ft": 0.3048, "cm": 0.01}


def room(random, width, depth, height, turn=0.0, noise_m=0.002, density=400) -> np.ndarray:
    """Four walls, floor and ceiling about the middle, turned about the upright axis."""
    w, d, h = width, depth, height
    faces = [
        ((0, 0, 0), (w, 0, 0), (0, 0, h)), ((0, d, 0), (w, 0, 0), (0, 0, h)),
        ((0, 0, 0), (0, d, 0), (0, 0, h)), ((w, 0, 0), (0, d, 0), (0, 0, h)),
        ((0, 0, 0), (w, 0, 0), (0, d, 0)), ((0, 0, h), (w, 0, 0), (0, d, 0)),
    ]  # fmt: skip
    points = np.concatenate([rectangle(random, *face, density) for face in faces])
    points = points - [w / 2, d / 2, 1.2] + random.normal(0, noise_m, points.shape)
    c, s = np.cos(turn), np.sin(turn)
    return points @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1.0]])


def one_mistake(*arguments, **named) -> str:
    with pytest.raises(TakeoffError) as caught:
        mt.read_survey(*arguments, **named)
    (mistake,) = caught.value.mistakes
    assert mistake.found
    assert mistake.rule
    assert mistake.remedy
    return str(mistake)


# --- a wall by itself --------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [".xyz", ".ply", ".laz", ".e57"])
def test_one_wall_reads_without_help(tmp_path, ending):
    points = wall_cloud(np.random.default_rng(1))
    path = tmp_path / f"wall{ending}"
    write = {".xyz": write_xyz, ".ply": write_ply, ".laz": write_las}
    if ending == ".e57":
        write_e57(path, (points, (1.0, 0, 0, 0), (0.0, 0, 0)))
    else:
        write[ending](path, points)
    survey = mt.read_survey(path, mt.Wall("A", 4.0, 2.6))
    assert survey.layout == "scan"
    surface = mt.grid_surface(survey, cell_m=0.1)
    # it leans 8 mm into the room over its height, about a mean of 0
    expected = 8.0 * surface.z_m / 2.6 - 4.0
    np.testing.assert_allclose(np.nanmedian(surface.proud_mm, axis=1), expected, atol=0.3)


def test_left_is_left_and_towards_the_room_is_proud(tmp_path):
    # seen from the origin, a wall at y = 2 runs from -x on the left to +x on the right
    random = np.random.default_rng(2)
    points = wall_cloud(random, 20_000)
    away = np.hypot(points[:, 0] + 1.5, points[:, 2] - 2.0)
    points[:, 1] -= 0.02 * np.exp(-((away / 0.25) ** 2))  # without a cliff round it, which would be left out
    survey = mt.read_survey(write_ply(tmp_path / "a.ply", points), mt.Wall("A", 4.0, 2.6))
    high = survey.proud_mm > 12
    assert survey.x_m[high].mean() == pytest.approx(0.5, abs=0.03)
    assert survey.z_m[high].mean() == pytest.approx(2.0, abs=0.03)
    (found,) = mt.find_walls(tmp_path / "a.ply", unit="m")
    behind = found.other_side().survey()
    low = behind.proud_mm < -12
    assert behind.x_m[low].mean() == pytest.approx(3.5, abs=0.03)


@pytest.mark.parametrize("unit", UNIT_M)
def test_the_unit_is_told_by_the_walls_height(tmp_path, unit):
    path = write_ply(tmp_path / "a.ply", wall_cloud(np.random.default_rng(3)) / UNIT_M[unit])
    survey = mt.read_survey(path, mt.Wall("A", 4.0, 2.6))
    assert np.ptp(survey.proud_mm) == pytest.approx(8.0, abs=0.1)
    assert any(f"Unit of the scan: {unit}" in note for note in survey.notes)
    assert mt.find_walls(path)[0].unit_guess == unit


def test_a_guessed_unit_is_never_applied(tmp_path):
    path = write_ply(tmp_path / "a.ply", wall_cloud(np.random.default_rng(3)) * 1000.0)
    (found,) = mt.find_walls(path)
    assert found.unit_guess == "mm"
    assert found.wall.width_m == pytest.approx(4000.0, rel=0.01)  # the numbers as they stand
    assert found.openings == ()
    with pytest.raises(TakeoffError, match="say unit='mm'"):
        found.survey()
    (said,) = mt.find_walls(path, unit="mm")
    assert said.wall.width_m == pytest.approx(4.0, abs=0.02)
    assert np.ptp(said.survey().proud_mm) == pytest.approx(8.0, abs=0.1)


def test_a_unit_off_by_a_thousand_is_refused(tmp_path):
    path = write_ply(tmp_path / "a.ply", wall_cloud(np.random.default_rng(3)))
    assert "0.004 × 0.003 m" in one_mistake(path, mt.Wall("A", 4.0, 2.6), unit="mm")
    with pytest.raises(TakeoffError, match="by its size the scan is in m"):
        mt.find_walls(path, unit="mm")
    assert "in no unit" in one_mistake(path, mt.Wall("A", 0.4, 0.16))
    one_mistake(path, mt.Wall("A", 2.0, 2.6))  # twice as wide as the wall


def test_a_ceiling_is_no_wall(tmp_path):
    random = np.random.default_rng(4)
    path = write_xyz(tmp_path / "a.xyz", rectangle(random, (0, 0, 2.5), (4, 0, 0), (0, 3, 0), 150))
    assert "a floor or a ceiling" in one_mistake(path, mt.Wall("A", 4.0, 3.0))
    with pytest.raises(TakeoffError, match="a floor or a ceiling"):
        mt.find_walls(path, unit="m", up="z")


def test_a_line_as_wide_as_it_scatters_is_a_strip_and_no_wall(tmp_path):
    random = np.random.default_rng(5)
    strip = rectangle(random, (0, 3, 0), (0.012, 0, 0), (0, 0, 2.6), 50_000)
    assert "a strip of 0.01" in one_mistake(write_ply(tmp_path / "s.ply", strip), mt.Wall("A", 4.0, 2.6))


def test_points_on_a_line_one_point_and_none(tmp_path):
    line = np.linspace(0, 1, 500)[:, None] * [3.0, 0.1, 2.0]
    assert "on one straight line" in one_mistake(write_ply(tmp_path / "l.ply", line), mt.Wall("A", 4.0, 2.6))
    one_mistake(write_ply(tmp_path / "o.ply", line[:1]), mt.Wall("A", 4.0, 2.6))
    one_mistake(write_ply(tmp_path / "n.ply", line[:0]), mt.Wall("A", 4.0, 2.6))
    one_mistake(write_ply(tmp_path / "s.ply", np.tile(line[5], (500, 1))), mt.Wall("A", 4.0, 2.6))
    one_mistake(write_ply(tmp_path / "x.ply", np.full((500, 3), np.nan)), mt.Wall("A", 4.0, 2.6))


def test_two_walls_in_one_file_need_a_choice(tmp_path):
    random = np.random.default_rng(5)
    points = np.concatenate([
        rectangle(random, (0, 3, 0), (4, 0, 0), (0, 0, 2.6), 400),
        rectangle(random, (4, 0, 0), (0, 3, 0), (0, 0, 2.6), 400),
    ])  # fmt: skip
    path = write_ply(tmp_path / "two.ply", points)
    said = one_mistake(path, mt.Wall("A", 4.0, 2.6))
    assert "2 walls in one file" in said
    assert "found=1" in said
    assert mt.read_survey(path, mt.Wall("A", 4.0, 2.6), found=1).x_m.max() == pytest.approx(4.0, abs=0.02)
    assert mt.read_survey(path, mt.Wall("B", 3.0, 2.6), found=2).x_m.max() == pytest.approx(3.0, abs=0.02)
    one_mistake(path, mt.Wall("A", 4.0, 2.6), found=3)


def test_progress_rises_and_stops_the_reading(tmp_path, monkeypatch):
    monkeypatch.setattr("mytakeoff.io.scan.ply.CHUNK", 1000)
    path = write_ply(tmp_path / "a.ply", wall_cloud(np.random.default_rng(6)))
    seen: list[float] = []
    (found,) = mt.find_walls(path, unit="m", progress=seen.append)
    assert seen == sorted(seen)
    assert len(set(seen)) == 6  # one for each chunk; what follows the last point has no share of its own
    with pytest.raises(TakeoffError, match="stopped"):
        found.survey(progress=lambda share: share < 0.4)


# --- rooms -------------------------------------------------------------------------------------------------


@examples(6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    width=st.floats(2.5, 6.0), depth=st.floats(2.5, 6.0), height=st.floats(2.2, 3.2), turn=st.floats(0, 3),
    up=st.sampled_from(["z", "y"]), seed=st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_the_walls_of_a_room_are_found(tmp_path, width, depth, height, turn, up, seed):
    points = room(np.random.default_rng(seed), width, depth, height, turn)
    points = points if up == "z" else points[:, [0, 2, 1]] * [1.0, 1.0, -1.0]
    path = write_ply(tmp_path / "room.ply", points)
    found = mt.find_walls(path, unit="m", up=up)
    assert len(found) == 4
    widths = sorted(one.wall.width_m for one in found)
    np.testing.assert_allclose(widths, sorted([width, width, depth, depth]), atol=0.05)
    for one in found:
        assert one.wall.height_m == pytest.approx(height, abs=0.05)
        assert abs(one.lean_mm_per_m) < 2.0
        assert one.area_m2 == pytest.approx(one.wall.width_m * height, rel=0.15)
    areas = [one.area_m2 for one in found]
    assert areas == sorted(areas, reverse=True)
    # the room lies before each of them: its middle is proud by half the room
    for one in found:
        frame = one.found.frame
        (depth_m,) = frame.places(np.zeros((1, 3)))[2]
        assert depth_m == pytest.approx(
            (depth if abs(one.wall.width_m - width) < 0.06 else width) / 2, abs=0.1
        ) or (abs(width - depth) < 0.2)


def furnished(random) -> np.ndarray:
    """A room with a door and a window in the wall at y = 4, a wardrobe and a person before it."""
    points = room(random, 5.0, 4.0, 2.5, density=900) + np.array([2.5, 2.0, 1.2])
    x, y, z = points.T
    wall = np.abs(y - 4.0) < 0.05
    door = wall & (x > 0.8) & (x < 1.7) & (z < 2.0)
    window = wall & (x > 2.4) & (x < 3.6) & (z > 0.9) & (z < 2.1)
    shadow = wall & (x > 4.1) & (x < 4.9) & (z < 1.9)
    points = points[~(door | window | shadow)]
    reveal = rectangle(random, (2.4, 4.0, 0.9), (0, 0.2, 0), (0, 0, 1.2), 900)
    wardrobe = rectangle(random, (4.1, 3.4, 0.0), (0.8, 0, 0), (0, 0, 1.9), 900)
    person = random.normal((2.0, 3.6, 1.0), (0.15, 0.1, 0.4), (800, 3))
    return np.concatenate([points, reveal, wardrobe, person]) - [2.5, 2.0, 1.2]


def test_furniture_people_and_reveals_are_dropped_and_openings_proposed(tmp_path):
    path = write_ply(tmp_path / "room.ply", furnished(np.random.default_rng(7)))
    found = mt.find_walls(path, unit="m")
    wall = next(one for one in found if one.found.frame.out[1] < -0.9 and one.wall.width_m > 4.5)
    # facing the wall at +y, x runs from left to right as in the cloud
    door, window = wall.openings
    assert (door.name[:4], window.name[:6]) == ("door", "window")
    assert (door.x_m, door.z_m, door.width_m, door.height_m) == pytest.approx((0.8, 0.0, 0.9, 2.0), abs=0.07)
    assert (window.x_m, window.z_m, window.width_m, window.height_m) == pytest.approx(
        (2.4, 0.9, 1.2, 1.2), abs=0.07
    )
    x, _, proud = wall.dropped
    assert ((x > 4.0) & (proud > 550) & (proud < 650)).sum() > 50  # the wardrobe
    assert (proud < -60).sum() > 10  # the reveal
    survey = wall.survey()
    assert np.abs(survey.proud_mm).max() < 60.0
    assert np.std(survey.proud_mm[(survey.x_m > 0.1) & (survey.x_m < 4.9)]) < 6.0
    assert any("before the wall" in note for note in survey.notes)


def test_several_stations_are_merged(tmp_path):
    points = room(np.random.default_rng(8), 4.0, 3.0, 2.5)
    left, right = points[points[:, 0] < 0.3], points[points[:, 0] > -0.3]
    paths = [write_ply(tmp_path / "left.ply", left), write_las(tmp_path / "right.las", right)]
    found = mt.find_walls(paths, unit="m")
    assert [round(one.wall.width_m, 1) for one in found] == [4.0, 4.0, 3.0, 3.0]
    assert found[0].survey().x_m.max() == pytest.approx(4.0, abs=0.05)


def test_a_plane_is_as_good_as_a_general_librarys(tmp_path):
    from sklearn.linear_model import LinearRegression, RANSACRegressor

    random = np.random.default_rng(9)
    points = wall_cloud(random, 8_000, noise_m=0.003)
    points[:, 1] += 0.01 * points[:, 0]  # it is turned too
    stray = random.uniform((-2, 0.3, 0), (2, 1.8, 2.6), (1_500, 3))
    path = write_ply(tmp_path / "a.ply", np.concatenate([points, stray]))
    (found,) = mt.find_walls(path, unit="m")
    fit = RANSACRegressor(LinearRegression(), residual_threshold=0.01, random_state=1, max_trials=100)
    everything = np.concatenate([points, stray])
    fit.fit(everything[:, [0, 2]], everything[:, 1])
    turn, lean = fit.estimator_.coef_
    survey = found.survey()
    slope = np.linalg.lstsq(
        np.column_stack([np.ones_like(survey.x_m), survey.z_m]), survey.proud_mm, rcond=None
    )[0][1]
    assert slope == pytest.approx(-1000.0 * lean, abs=0.7)  # towards the room is -y
    normal = found.found.frame.out
    assert np.degrees(np.arctan2(normal[0], -normal[1])) == pytest.approx(
        np.degrees(np.arctan(turn)), abs=0.3
    )


# --- measured by others ------------------------------------------------------------------------------------


@here
@pytest.mark.parametrize("other", ["las", "e57"])
def test_one_wall_in_three_formats_is_one_surface(other):
    # the text is rounded to 0.1 mm
    wall = mt.Wall("A", 8.1, 3.0)
    both = [
        mt.grid_surface(mt.read_survey(SHARED / f"scan1_wall_y.{ending}", wall), cell_m=0.05)
        for ending in ("xyz", other)
    ]  # where nothing was seen the face is carried on from single points, which differ more
    first, second = (np.where(each.extended, np.nan, each.proud_mm) for each in both)
    apart = np.abs(first - second)
    assert (np.isnan(first) != np.isnan(second)).mean() < 0.01
    assert np.nanmedian(apart) <= 0.1
    assert np.nanquantile(apart, 0.95) <= 0.2
    assert np.nanquantile(apart, 0.98) <= 1.0  # cells at the rim of what was left out hold other points


@here
@pytest.mark.parametrize(
    ("name", "size", "cell_m"),
    [
        ("apartment0_wall_y.ply", (1.8, 2.6), 0.05),
        ("apartment0_wall_x.xyz", (2.2, 2.6), 0.05),
        ("kinect_back_wall.ply", (3.0, 2.2), 0.05),
        ("rock_fracture_mm.xyz", (0.022, 0.028), 0.0005),
    ],
)
def test_measured_walls_read_without_help(name, size, cell_m):
    survey = mt.read_survey(SHARED / name, mt.Wall("A", *size))
    assert survey.layout == "scan"
    assert survey.x_m.max() > 0.85 * size[0]
    assert survey.z_m.max() > 0.85 * size[1]
    surface = mt.grid_surface(survey, cell_m=cell_m)
    assert surface.net_area_m2 > 0.8 * size[0] * size[1]
    assert mt.target_plane(surface, mt.PlaneRule(least_mm=5.0)).touches


@here
def test_the_fracture_keeps_its_relief():
    survey = mt.read_survey(SHARED / "rock_fracture_mm.xyz", mt.Wall("A", 0.022, 0.028))
    # the file's own heights, less their plane by general least squares
    x, y, z = np.loadtxt(SHARED / "rock_fracture_mm.xyz").T
    columns = np.column_stack([np.ones_like(x), x, y])
    relief = z - columns @ np.linalg.lstsq(columns, z, rcond=None)[0]
    leaning = np.column_stack([np.ones_like(survey.z_m), survey.z_m])
    proud = survey.proud_mm - leaning @ np.linalg.lstsq(leaning, survey.proud_mm, rcond=None)[0]
    assert survey.proud_mm.size == z.size
    np.testing.assert_allclose(
        np.quantile(proud, [0.05, 0.5, 0.95]), np.quantile(relief, [0.05, 0.5, 0.95]), atol=0.03
    )


@here
def test_the_depth_frame_stands_upright():
    # a camera looks along z with y down: the lower part of the picture is the foot of the wall
    (found,) = mt.find_walls(SHARED / "kinect_back_wall.ply", unit="m")
    assert found.up == "-y"
    assert found.found.frame.out[2] < -0.95


@here
def test_the_depth_frame_says_its_steps():
    # the steps as they stand in the file: between the different depths that most points have
    depth, count = np.unique(
        PlyData.read(SHARED / "kinect_back_wall.ply")["vertex"]["z"].astype(float), return_counts=True
    )
    often = count > 0.05 * count.sum()
    steps_mm = np.diff(depth[often]) * 1000.0
    (found,) = mt.find_walls(SHARED / "kinect_back_wall.ply", unit="m")
    survey = found.survey()
    assert steps_mm.min() - 1.0 <= survey.depth_step_mm <= steps_mm.max() + 1.0
    surface = mt.grid_surface(survey, 0.05)
    assert any(f"steps of {survey.depth_step_mm:.1f} mm" in notice for notice in surface.notices)
    assert surface.noise_mm >= steps_mm.min() / np.sqrt(12)  # anywhere in a step alike


@here
@pytest.mark.parametrize("name", ["apartment0_wall_y.ply", "apartment0_wall_x.xyz", "scan1_wall_y.las"])
def test_instruments_without_steps_are_not_said_to_have_any(name):
    walls = mt.find_walls(SHARED / name, unit="m")
    surface = mt.grid_surface(walls[0].survey(), 0.05)
    assert not any("steps of" in notice for notice in surface.notices)


@pytest.mark.parametrize(("step_m", "said"), [(0.02, True), (0.01, True), (0.001, False)])
def test_depth_in_steps_is_said_where_it_hides_the_scatter(tmp_path, step_m, said):
    points = wall_cloud(np.random.default_rng(12), 30_000, noise_m=0.002)
    points[:, 0] += 0.1 * points[:, 1]
    points[:, 1] = np.round(points[:, 1] / step_m) * step_m  # the axis that the room is seen along
    (found,) = mt.find_walls(write_ply(tmp_path / "a.ply", points), unit="m")
    surface = mt.grid_surface(found.survey(), 0.05)
    assert any(f"steps of {1000 * step_m:.1f} mm" in notice for notice in surface.notices) is said
    assert any("points scatter by 2." in notice for notice in surface.notices) is not said
