"""Many jobs on a Dask cluster that runs already: the same table, whatever happens to its processes."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from cluster import Running, doubled_there, running_cluster
from command import environment, run, start, write_jobs

import mytakeoff as mt
from mytakeoff.jobs import cluster as our_cluster
from mytakeoff.jobs.cluster import cluster_at

pytest.importorskip("distributed")
JOBS = 12


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Job folders, one with mistakes, one that is none; their table by processes of this machine."""
    place = tmp_path_factory.mktemp("clustered")
    write_jobs(place, JOBS)
    (place / "notes").mkdir()
    (place / "wrong").mkdir()
    (place / "wrong" / "job.toml").write_text('format = 1\ntitle = 3\nwaste_share = "much"\n')
    assert run("price", *folders(place), "--out", "own.csv", cwd=place).returncode == 1
    return place


@pytest.fixture(scope="module")
def running() -> Iterator[Running]:
    with running_cluster() as running:
        yield running


def folders(place: Path) -> list[str]:
    return sorted(path.name for path in place.iterdir() if path.is_dir())


def test_the_table_is_the_same_to_the_last_byte(place: Path, running: Running) -> None:
    """Its processes work in another folder, on two threads each."""
    done = run("price", *folders(place), "--out", "theirs.csv", "--scheduler", running.address, cwd=place)
    assert done.returncode == 1
    assert "wrong: job.toml, title: 3; " in done.stderr
    assert (place / "theirs.csv").read_bytes() == (place / "own.csv").read_bytes()
    assert (place / "theirs-kept.json").read_bytes() == (place / "own-kept.json").read_bytes()


def test_a_piece_that_ends_its_processes_is_the_only_one_without_a_result(running: Running) -> None:
    pieces = ["a", "b", "ends", "c", "d", "e"]
    with cluster_at(running.address) as share:
        done = dict(share(doubled_there, pieces))
    assert done == {piece: None if piece == "ends" else piece * 2 for piece in pieces}


def test_a_worker_that_is_killed_loses_nothing(place: Path) -> None:
    with running_cluster() as running:
        process = start("price", *folders(place), "--out", "killed.csv", "--scheduler", running.address,
                        cwd=place)  # fmt: skip
        read_until(process, "2 of")
        os.kill(running.workers[0], signal.SIGKILL)
        _, said = process.communicate(timeout=120)
    assert process.returncode == 1, said
    assert (place / "killed.csv").read_bytes() == (place / "own.csv").read_bytes()


def test_a_scheduler_that_is_lost_is_told_and_what_is_done_is_kept(place: Path) -> None:
    (place / "lost.csv").write_text("as it was")
    with running_cluster() as running:
        process = start("price", *folders(place), "--out", "lost.csv", "--scheduler", running.address,
                        cwd=place)  # fmt: skip
        read_until(process, "2 of")
        os.kill(running.scheduler, signal.SIGKILL)
        _, said = process.communicate(timeout=120)
    assert process.returncode == 2
    assert said.splitlines()[-1].startswith("The scheduler was lost: lost.csv is as it was. ")
    assert (place / "lost.csv").read_text() == "as it was"
    kept = json.loads((place / "lost-kept.json").read_text("utf-8"))["jobs"]
    assert 1 <= len(kept) <= JOBS
    done = run("price", *folders(place), "--out", "lost.csv", cwd=place)
    assert f"{len(kept)} of them unchanged" in done.stderr
    assert (place / "lost.csv").read_bytes() == (place / "own.csv").read_bytes()


def read_until(process: subprocess.Popen[str], begins: str) -> None:
    """Read what a process tells until some are done; a tenth of them at a time."""
    assert process.stderr is not None
    assert any(line.startswith(begins) for line in process.stderr)


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense", "tcp://"])
def test_a_scheduler_that_is_not_there_is_told_within_seconds(
    place: Path, tmp_path: Path, address: str
) -> None:
    begun = time.monotonic()
    done = run("price", place / "job-000", "--out", "jobs.csv", "--scheduler", address, cwd=tmp_path)
    assert time.monotonic() - begun < 60, "five seconds and its start, on a busy machine"
    assert done.returncode == 2
    [line] = done.stderr.splitlines()
    assert line.startswith(f"no scheduler answers at {address!r}; ")
    assert list(tmp_path.iterdir()) == []


def test_a_scheduler_without_workers_is_told() -> None:
    with (
        running_cluster(0) as running,
        pytest.raises(mt.TakeoffError, match="has no worker"),
        cluster_at(running.address),
    ):
        pytest.fail("nobody would do the work")


def test_workers_of_other_versions_are_told(running: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(our_cluster, "VERSIONS", "mytakeoff 99.0")
    with (
        pytest.raises(mt.TakeoffError, match=r"install mytakeoff 99\.0 there") as told,
        cluster_at(running.address),
    ):
        pytest.fail("they would work out other figures")
    assert len(told.value.mistakes) == 2


def test_without_the_library_it_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(our_cluster, "find_spec", lambda name: None)
    with (
        pytest.raises(mt.TakeoffError, match=r"pip install 'mytakeoff\[cluster\]'"),
        cluster_at("tcp://here:1"),
    ):
        pytest.fail("there is no library")


def test_who_asks_for_no_cluster_loads_no_library_for_one_and_no_numbers(place: Path) -> None:
    """Nor does the process that hands out the work load what works it out."""
    script = (
        "import sys; from mytakeoff.launch.command import main\n"
        "if __name__ == '__main__':\n"
        "    main(['price', 'job-000', 'job-001', '--out', 'plain.csv'])\n"
        "    print(*(n for n in ('distributed', 'dask', 'numpy', 'scipy', 'pandas') if n in sys.modules))"
    )
    command = [sys.executable, "-c", script]
    done = subprocess.run(command, cwd=place, env=environment(), capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
    assert "2 of 2 jobs priced" in done.stderr
