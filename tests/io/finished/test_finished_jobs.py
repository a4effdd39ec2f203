"""A folder of finished jobs: what is learnt from it, and what is told and left out."""

from __future__ import annotations

import shutil
import socket
from dataclasses import replace
from pathlib import Path

import pytest
from done_jobs import BACKING, done_job, lay_out

import mytakeoff as mt
from mytakeoff.io.finished.finished_file import FINISHED_FILE
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
