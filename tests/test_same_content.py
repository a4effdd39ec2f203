"""A survey is known by what it says: a job that was opened again is not worked out again."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from demo import copy_of_demo

import mytakeoff as mt
from mytakeoff.job.edits import with_price, with_reading
from mytakeoff.resources import demo_folder
from mytakeoff.store import Store
from mytakeoff.survey import survey as survey_module


def misses() -> dict[str, int]:
    """How often each cached stage of the package was worked out so far."""
    return {
        f"{module}.{name}": value.cache_info().misses
        for module, loaded in list(sys.modules.items())
        if module.startswith("mytakeoff.")
        for name, value in vars(loaded).items()
        if hasattr(value, "cache_info") and value.__module__ == module
    }


def worked_out(work: Callable[[], Any]) -> dict[str, int]:
    """What was worked out meanwhile, and how often."""
    before = misses()
    work()
    return {name: now - before.get(name, 0) for name, now in misses().items() if now > before.get(name, 0)}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_of_demo(tmp_path)


class TestAJobThatIsKnown:
    def test_opened_twice_it_is_worked_out_once(self, folder: Path) -> None:
        first = mt.evaluate(mt.open_job(folder))
        again = mt.open_job(folder)
        assert worked_out(lambda: mt.evaluate(again)) == {}
        assert all(one is other for one, other in zip(mt.evaluate(again).walls, first.walls, strict=True))

    def test_every_option_of_it_too(self, folder: Path) -> None:
        def compared() -> tuple[object, ...]:
            return mt.compare(replace(mt.open_job(folder), only=("window wall",), cell_m=0.1))

        compared()
        assert not [name for name in worked_out(compared) if ".io." not in name]

    def test_its_faces_are_drawn_once(self, folder: Path) -> None:
        def faces() -> object:
            job = replace(mt.open_job(folder), only=("window wall",), cell_m=0.1)
            [made] = mt.job_sureness(mt.evaluate(job)).walls
            return made.range.drawn_faces

        assert faces() is faces()

    def test_a_second_workbook_on_it_works_out_nothing(self, folder: Path) -> None:
        first = Store(mt.open_job(folder))
        second = Store(mt.open_job(folder))
        assert first.apply(lambda job: replace(job, missed_high_spot_mm=3.25))
        assert worked_out(lambda: second.apply(lambda job: replace(job, missed_high_spot_mm=3.25))) == {}
        assert second.result.cost.total == first.result.cost.total

    @pytest.mark.parametrize("new", [False, True], ids=["its own folder", "another folder"])
    def test_saved_and_opened_again_it_is_known(self, folder: Path, tmp_path: Path, new: bool) -> None:
        store = Store(mt.open_job(folder))
        opened = store.job
        assert store.apply(lambda job: with_reading(job, "window wall", 0.33, 1.77, -12.5))
        where = tmp_path / "elsewhere" if new else folder
        mt.save_job(store.job, where, opened if not new else None)
        again = mt.open_job(where)
        assert again.wall("window wall").survey == store.job.wall("window wall").survey
        assert worked_out(lambda: Store(again)) == {}


class TestWhatIsNotKnown:
    def test_one_reading_changed_in_the_file_is_worked_out_for_its_wall(self, folder: Path) -> None:
        job = mt.open_job(folder)
        mt.evaluate(job)
        entry = job.wall("window wall")
        path = folder / entry.survey.source
        rows = path.read_text().splitlines()
        *others, last = rows[-1].split(";")
        rows[-1] = ";".join([*others, str(int(last) + 1)])
        path.write_text("\n".join(rows))
        changed = mt.open_job(folder)
        assert changed.wall("window wall").survey != entry.survey
        stages = worked_out(lambda: mt.evaluate(changed))
        once = ("bare_wall.surface_stage", "floated.plane_stage", "floated.wall_stage")
        assert [stages[f"mytakeoff.treatment.{name}"] for name in once] == [1, 1, 1]

    @pytest.mark.parametrize(
        "change",
        [
            {"proud_mm": [0.0, 1.0, 2.0, 3.5]}, {"x_m": [0.0, 1.9, 0.0, 2.0]}, {"plumb": False},
            {"swept": True},
            {"notes": ("plumb lines",)}, {"layout": "list"}, {"wall": mt.Wall("north", 2.1, 2.5)},
            {"high_mm": [1.0], "high_x_m": [1.0], "high_z_m": [1.0]}, {"depth_step_mm": 1.0},
        ],
        ids=lambda change: next(iter(change)),
    )  # fmt: skip
    def test_surveys_that_differ_are_two(self, change: dict[str, Any]) -> None:
        other = replace(square(), **{
            name: np.array(value) if isinstance(value, list) else value for name, value in change.items()
        })  # fmt: skip
        assert other != square()
        assert len({other, square()}) == 2


def square(**details: Any) -> mt.Survey:
    wall = mt.Wall("north", 2.0, 2.5)
    return mt.Survey.from_readings(wall, [0, 2, 0, 2], [0, 0, 2.5, 2.5], [0, 1, 2, 3], **details)


class TestASurvey:
    def test_it_is_the_same_whatever_file_it_came_from(self) -> None:
        assert square(source="north.csv") == square(source="north.ods")
        assert hash(square(source="north.csv")) == hash(square(source="north.ods"))
        assert square() != "north"

    def test_nobody_can_write_to_its_readings(self) -> None:
        mine = np.array([0.0, 1.0, 2.0, 3.0])
        survey = replace(square(), proud_mm=mine)
        mine[0] = 99.0
        assert survey == square()
        with pytest.raises(ValueError, match="read-only"):
            survey.proud_mm[0] = 1.0

    def test_its_readings_are_gone_through_once(self, monkeypatch: pytest.MonkeyPatch) -> None:
        made = []

        def counted(*args: Any, **more: Any) -> Any:
            made.append(args)
            return hashlib.blake2b(*args, **more)

        job = mt.open_job(demo_folder())
        mt.evaluate(job)
        monkeypatch.setattr(survey_module, "blake2b", counted)
        mt.evaluate(with_price(job, "angle bead", Decimal("9.87")))
        assert made == []
        hash(square())
        assert made
