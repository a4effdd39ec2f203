"""Places that the plaster does not move, kept with a wall in ``job.toml``: for another survey."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from demo import coarse_demo, copy_of_demo

import mytakeoff as mt
from mytakeoff.job.edits import with_wall_name
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.treatment.left_open import fingerprint, is_open

NAME = "door wall"
FRAME = mt.FixedPlace("edge of the door frame", 3.1, 1.0, -212.0)
SCREW = mt.FixedPlace("screw head", 0.2, 2.4, -198.5)
WRITTEN = """[[wall.fixed_place]]  # by hand
name = "edge of the door frame"
x_m = 3.1
z_m = 1.0
proud_mm = -212.0

[[wall.fixed_place]]
name = "screw head"
x_m = 0.2
z_m = 2.4
proud_mm = -198.5
"""


def marked(job: mt.Job, *places: mt.FixedPlace) -> mt.Job:
    walls = (replace(each, fixed_places=places) if each.name == NAME else each for each in job.walls)
    return replace(job, walls=tuple(walls))


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """The demo with two of them under its wall, written by hand."""
    folder = copy_of_demo(tmp_path)
    text = (folder / "job.toml").read_text()
    end = text.index("\n[", text.index(f'name = "{NAME}"'))  # of the wall's own table
    (folder / "job.toml").write_text(f"{text[:end]}\n{WRITTEN}{text[end:]}")
    return folder


def test_they_are_read_kept_to_the_letter_and_changed_one_by_one(written: Path) -> None:
    text, job = (written / "job.toml").read_bytes(), mt.open_job(written)
    assert job.wall(NAME).fixed_places == (FRAME, SCREW)
    mt.save_job(job, written)
    assert (written / "job.toml").read_bytes() == text
    moved = replace(SCREW, proud_mm=-199.0)
    mt.save_job(marked(job, FRAME, moved), written, job)
    assert mt.open_job(written).wall(NAME).fixed_places == (FRAME, moved)
    assert "# by hand" in (written / "job.toml").read_text()


def test_they_follow_a_wall_that_is_called_otherwise(written: Path) -> None:
    job = mt.open_job(written)
    mt.save_job(with_wall_name(job, NAME, "wall by the stairs"), written, job)
    assert mt.open_job(written).wall("wall by the stairs").fixed_places == (FRAME, SCREW)


def test_what_two_sessions_marked_is_both_kept(written: Path) -> None:
    job = mt.open_job(written)
    lamp = mt.FixedPlace("lamp box", 2.0, 2.3, -190.0)
    mt.save_job(marked(job, FRAME, SCREW, lamp), written, job)
    mt.save_job(marked(job, replace(FRAME, proud_mm=-213.0), SCREW), written, job)
    kept = mt.open_job(written).wall(NAME).fixed_places
    assert set(kept) == {replace(FRAME, proud_mm=-213.0), SCREW, lamp}


def test_a_slip_says_where_it_stands(written: Path) -> None:
    text = (written / "job.toml").read_text().replace("proud_mm = -198.5", "proud_mm = 19850.0")
    (written / "job.toml").write_text(text)
    with pytest.raises(mt.TakeoffError) as told:
        mt.open_job(written)
    said = [str(each) for each in told.value.mistakes]
    assert any("proud 19850 mm; it is -10000 to 10000 mm" in each for each in said)


def test_they_are_in_no_figure_and_work_nothing_out_again() -> None:
    job = replace(coarse_demo(), missed_high_spot_mm=3.7)  # which no other test has in the caches
    plain, more = mt.evaluate(job), mt.evaluate(marked(job, FRAME, SCREW))
    assert more.cost == plain.cost
    assert mt.headline(more) == mt.headline(plain)
    for before, after in zip(plain.walls, more.walls, strict=True):
        assert after.build_up is before.build_up  # looked up, not worked out
        assert after.surface is before.surface
        assert fingerprint(job, after) == fingerprint(job, before)
    assert fingerprint_of(job) == fingerprint_of(marked(job, FRAME))


def test_the_demo_needs_nothing_worked_out_anew(written: Path) -> None:
    job = mt.open_job(written)
    known = job.worked_out
    floated = [wall for wall in mt.evaluate(job).walls if is_open(job, wall)]
    assert floated
    assert all(known.known(fingerprint(job, wall)) is not None for wall in floated)
