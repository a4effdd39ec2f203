"""What follows a scan's last point comes in short steps too, and nothing follows a step that was closed.

A cloud with four times the points is worked on in about four times the steps where a step holds a set number
of them: that is what "short" means here, no time is taken.
"""

from __future__ import annotations

from collections.abc import Generator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from clouds import wall_cloud, write_ply

from mytakeoff import Surface, Wall, grid_surface
from mytakeoff import steps as bysteps
from mytakeoff.io.scan import find_walls as find_scan
from mytakeoff.io.scan import found_wall
from mytakeoff.io.scan.find_walls import find_walls, find_walls_steps
from mytakeoff.scan import cell_median as cellmedian
from mytakeoff.scan import orientation as axes
from mytakeoff.surface.surface import grid_surface_steps

AT_ONCE = 1 << 12
WALL = Wall("A", 4.0, 2.6)


@pytest.fixture
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (bysteps, cellmedian):
        monkeypatch.setattr(module, "AT_ONCE", AT_ONCE)
    monkeypatch.setattr(cellmedian, "BLOCK", AT_ONCE)
    monkeypatch.setattr(axes, "FACES_AT_ONCE", AT_ONCE)


def scan(tmp_path: Path, count: int) -> Path:
    return write_ply(tmp_path / f"{count}.ply", wall_cloud(np.random.default_rng(3), count, 0.001))


def counted(steps: Generator) -> tuple[int, object]:
    """How many steps follow the last point, and what they make."""
    after = 0
    while True:
        try:
            share = next(steps)
        except StopIteration as end:
            return after, end.value
        after += share is None or share >= 1


def test_four_times_the_points_take_four_times_the_steps(tmp_path: Path, short: None) -> None:
    reading, facing = [], []
    for count in (50_000, 200_000):
        [wall] = find_walls(scan(tmp_path, count), unit="m")
        steps, survey = counted(wall.survey_steps(WALL))
        reading.append(steps)
        steps, face = counted(grid_surface_steps(survey, 0.05))
        facing.append(steps)
        assert isinstance(face, Surface)
        np.testing.assert_array_equal(face.proud_mm, grid_surface(survey, 0.05).proud_mm)
    for few, many in (reading, facing):
        assert few > 50_000 / AT_ONCE
        assert many > 3 * few


def test_finding_walls_looks_up_between_the_faces(tmp_path: Path, short: None) -> None:
    after, walls = counted(find_walls_steps(scan(tmp_path, 50_000), unit="m"))
    assert len(walls) == 1
    assert after > 5


@pytest.mark.parametrize(
    ("room", "stage"), [(find_scan, "walls_in"), (found_wall, "settle"), (found_wall, "survey_of")]
)
def test_closing_before_a_stage_starts_keeps_it_from_starting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, room: ModuleType, stage: str
) -> None:
    path, started = scan(tmp_path, 20_000), []
    [wall] = find_walls(path, unit="m")
    real = getattr(room, stage)
    monkeypatch.setattr(room, stage, lambda *given: started.append(stage) or real(*given))

    def work() -> Generator[float, None, object]:
        return find_walls_steps(path, unit="m") if stage == "walls_in" else wall.survey_steps(WALL)

    steps = work()
    while next(steps) < 1:
        pass
    steps.close()
    assert next(steps, "ended") == "ended"
    assert not started
    counted(work())
    assert started  # else the test would hold of anything
