"""A folder of finished jobs: what is learnt from it, and what is told and left out."""

from __future__ import annotations

import shutil
import socket
from dataclasses import replace
from pathlib import Path

import pytest
from done_jobs import BACKING, done_job, lay_out
from read_again import AFTER, LAID_MM, usual_folder

import mytakeoff as mt
from mytakeoff.finished.record import Delivered
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.io.finished.finished_jobs import finished_jobs, learn_from
from mytakeoff.learning.learn import learn


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """Two finished jobs, and a folder that is none."""
    (tmp_path / "photographs").mkdir()
    return lay_out(tmp_path, 1, 2, denser=1.06)


def places(folder: Path) -> list[str]:
    return [mistake.place.split(",")[0] for mistake in learn_from(folder).left_out]


def test_they_say_what_they_said_before_they_were_saved(jobs):
    lessons = learn_from(jobs)
    assert lessons.jobs == ("job 1", "job 2")
    assert lessons.left_out == ()
    before = learn(done_job(nth, denser=1.06) for nth in (1, 2)).named(f"mix density: {BACKING}")
    assert lessons.named(f"mix density: {BACKING}").value == pytest.approx(before.value)


@pytest.mark.parametrize(
    ("file", "spoilt"),
    [
        ("job.toml", b"format = "),
        ("job.toml", None),
        ("prices.csv", b"item,unit\n"),
        (FINISHED_FILE, b"format = 1\n[[delivery]]\n"),
        (FINISHED_FILE, b"\x00\xff\x00"),
        (FINISHED_FILE, b'format = 1\n[[hours]]\ntask = "singing"\nhours = 3\n'),
    ],
)
def test_a_damaged_job_is_told_and_left_out(jobs, file, spoilt):
    path = jobs / "job 2" / file
    path.unlink() if spoilt is None else path.write_bytes(spoilt)
    lessons = learn_from(jobs)
    assert lessons.jobs == ("job 1",)
    assert set(places(jobs)) == {"job 2"}


def test_a_copied_folder_counts_once(jobs):
    shutil.copytree(jobs / "job 1", jobs / "job 1 (copy)")
    assert learn_from(jobs).jobs == ("job 1", "job 2")
    assert places(jobs) == ["job 1 (copy)"]


def test_a_job_that_goes_on_is_told(jobs):
    folder = jobs / "job 2"
    mt.save_job(replace(mt.open_job(folder), state="signed"), folder)
    assert learn_from(jobs).jobs == ("job 1",)
    assert "'signed'" in str(learn_from(jobs).left_out[0])


def test_a_job_of_which_nothing_was_written_down_is_none(jobs):
    (jobs / "job 2" / FINISHED_FILE).unlink()
    found = finished_jobs(jobs)
    assert [done.name for done in found.jobs] == ["job 1"]
    assert found.left_out == ()


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(mt.TakeoffError, match="cannot be read"):
        learn_from(tmp_path / "nowhere")


def test_nothing_is_changed_and_no_network_is_asked(jobs, monkeypatch):
    def refused(*_args, **_more):
        raise AssertionError("a socket was opened")

    before = {path: path.read_bytes() for path in sorted(jobs.rglob("*")) if path.is_file()}
    monkeypatch.setattr(socket, "socket", refused)
    monkeypatch.setattr(socket, "create_connection", refused)
    assert learn_from(jobs).jobs
    after = {path: path.read_bytes() for path in sorted(jobs.rglob("*")) if path.is_file()}
    assert after == before


# -- walls that were measured again by surveys --------------------------------------------------------


@pytest.fixture
def surveyed(jobs: Path) -> Path:
    """Those, and a third whose wall was surveyed again; bags that came were written down."""
    folder = usual_folder(jobs / "job 3")
    finished = open_finished(folder)
    came = Delivered(BACKING, 6.0, wasted=0.4)
    save_finished(replace(finished, deliveries=(came,)), folder)
    return jobs


def test_what_surveys_say_is_learnt_as_if_it_were_written_by_hand(surveyed):
    found = finished_jobs(surveyed)
    assert found.left_out == ()
    (wall,) = found.jobs[-1].finished.walls
    assert wall.mean_mm == pytest.approx(LAID_MM, abs=1.0)
    assert 0 < wall.uncertainty_mm < 1.0
    folder = surveyed / "job 3"
    said = open_finished(folder)
    by_hand = replace(wall, after="", fixed_again=())
    (surveyed / "job 3" / AFTER).unlink()
    (folder / FINISHED_FILE).unlink()
    save_finished(replace(said, walls=(by_hand,)), folder)
    name = f"mix density: {BACKING}"
    with_surveys, without = learn(found.jobs).named(name), learn_from(surveyed).named(name)
    assert with_surveys == without
    assert [each.job for each in with_surveys.evidence][-1] == "job 3"


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda folder: (folder / AFTER).write_bytes(b"x_m,z_m,proud_mm\n1,1,two\n"), "'two'"),
        (lambda folder: (folder / AFTER).write_bytes(b"\x00\xff"), "not text"),
        (lambda folder: (folder / AFTER).write_bytes(b"x_m,z_m,proud_mm\n1,1,2\n"), "1 reading"),
        (lambda folder: (folder / AFTER).unlink(), "no file"),
        (
            lambda folder: _rewrite(folder, 'name = "lamp"', 'name = "candle"'),
            "'candle', read again",
        ),
        (lambda folder: _rewrite(folder, "after_mm = -", "after_mm = "), f"wall (read again), {AFTER}"),
    ],
)
def test_a_damaged_survey_leaves_out_its_job_alone(surveyed, spoil, told):
    spoil(surveyed / "job 3")
    lessons = learn_from(surveyed)
    assert lessons.jobs == ("job 1", "job 2")
    assert set(places(surveyed)) == {"job 3"}
    assert told in "\n".join(map(str, lessons.left_out))


def _rewrite(folder: Path, old: str, new: str) -> None:
    text = (folder / FINISHED_FILE).read_text(encoding="utf-8")
    assert old in text
    (folder / FINISHED_FILE).write_text(text.replace(old, new), encoding="utf-8")


def test_surveys_of_a_job_that_goes_on_are_not_read(surveyed):
    (surveyed / "job 3" / AFTER).write_bytes(b"\x00\xff")
    folder = surveyed / "job 3"
    mt.save_job(replace(mt.open_job(folder), state="signed"), folder)
    assert "'signed'" in str(finished_jobs(surveyed).left_out[0])
