"""What is said of readings and of what stands off a scan, in ``job.toml``: kept, read again, or told."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from clouds import rectangle, write_ply

import mytakeoff as mt
from mytakeoff.survey.said import SaidOf

NAME = "north"


def said_in(folder: Path, *said: tuple[float, float, str]) -> mt.Job:
    """The job with tables under its first wall, written by hand."""
    job = mt.open_job(folder)
    text = (folder / "job.toml").read_text()
    tables = "".join(
        f"[[wall.said]]  # by hand\nx_m = {x}\nz_m = {z}\nsaid = {word!r}\n" for x, z, word in said
    )
    at = text.index("[[wall]]", text.index("[[wall]]") + 1)
    (folder / "job.toml").write_text(f"{text[:at]}{tables}\n{text[at:]}")
    return job


def test_it_is_read_saved_and_kept_as_it_was_written(folder):
    before = mt.open_job(folder).wall(NAME).survey
    place = float(before.x_m[3]), float(before.z_m[3])
    said_in(folder, (*place, "left out"), (float(before.x_m[5]), float(before.z_m[5]), "plaster"))
    text = (folder / "job.toml").read_bytes()
    job = mt.open_job(folder)
    survey = job.wall(NAME).survey
    assert [one.said for one in survey.said] == ["left out", "plaster"]
    assert survey.x_m.size == before.x_m.size
    mt.save_job(job, folder)
    assert (folder / "job.toml").read_bytes() == text
    other = replace(survey, said=(*survey.said[1:], SaidOf(*place, "plaster")))
    walls = tuple(replace(wall, survey=other) if wall.name == NAME else wall for wall in job.walls)
    mt.save_job(replace(job, walls=walls), folder, job)
    again = mt.open_job(folder).wall(NAME).survey
    assert set(again.said) == set(other.said)
    assert (folder / "job.toml").read_text().count("# by hand") >= 1


def test_what_is_left_out_in_the_file_binds_nothing(folder):
    before = mt.grid_surface(mt.open_job(folder).wall(NAME).survey).points
    assert (0.1, 0.1, -10.0) in set(zip(before.x_m, before.z_m, before.proud_mm, strict=True))
    said_in(folder, (0.1, 0.1, "left out"))
    after = mt.grid_surface(mt.open_job(folder).wall(NAME).survey).points
    assert after.x_m.size == before.x_m.size - 1
    assert (0.1, 0.1) not in set(zip(after.x_m, after.z_m, strict=True))


def test_mistakes_are_told_all_at_once(folder):
    survey = mt.open_job(folder).wall(NAME).survey
    place = float(survey.x_m[0]), float(survey.z_m[0])
    said_in(folder, (*place, "left out"), (*place, "plaster"), (1.234, 0.777, "plaster"))
    with pytest.raises(mt.TakeoffError) as caught:
        mt.open_job(folder)
    assert "two words for" in str(caught.value)
    assert "x 1.234 m, z 0.777 m" in str(caught.value)


def test_a_word_that_nobody_knows_is_told(folder):
    said_in(folder, (0.5, 0.5, "furniture"))
    with pytest.raises(mt.TakeoffError, match='it is "left out" or "plaster" or "hollow" or "sound"'):
        mt.open_job(folder)


def box_scan(path: Path) -> Path:
    """A wall of 4 by 2.6 m with a box of 0.8 by 0.6 m before it, 40 mm deep."""
    random = np.random.default_rng(4)
    wall = rectangle(random, (0, 3, 0), (4, 0, 0), (0, 0, 2.6), 3000)
    hidden = (wall[:, 0] > 1.0) & (wall[:, 0] < 1.8) & (wall[:, 2] > 1.0) & (wall[:, 2] < 1.6)
    wall[hidden, 1] -= 0.04
    wall[:, 1] += random.normal(0, 0.001, len(wall))
    return write_ply(path, np.vstack([wall, [[0.5, 0.5, 0.5]]]))


def test_a_scans_answers_open_as_the_same_survey(folder):
    job = mt.open_job(folder)
    scan = box_scan(folder / "surveys" / "box.ply")
    wall = mt.Wall("flat", 4.0, 2.6)
    left = mt.read_survey(scan, wall, unit="m", name="surveys/box.ply")
    (place,) = left.stood_off
    assert place.mm == pytest.approx(40, abs=2)
    assert place.left_out
    kept = mt.read_survey(
        scan, wall, unit="m", name="surveys/box.ply", said=[SaidOf(place.x_m, place.z_m, "plaster")]
    )
    assert kept.x_m.size > left.x_m.size
    for survey in (left, kept):
        entry = replace(job.walls[0], wall=wall, survey=survey, fittings=(), loose=(), corner=None)
        saved = replace(job, walls=(*job.walls, entry), only=())
        target = folder.parent / f"saved-{survey.x_m.size}"
        shutil.copytree(folder, target)
        mt.save_job(saved, target, job)
        again = mt.open_job(target).wall("flat").survey
        assert again == survey
        assert again.stood_off == survey.stood_off
