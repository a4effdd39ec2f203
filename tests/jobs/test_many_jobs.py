"""Many jobs into one table, as a user starts it: the same for one process and two, gone on with, whole."""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from command import environment, run, start, write_jobs

import mytakeoff as mt
from mytakeoff.figures.in_words import dated
from mytakeoff.jobs.kept import kept_bytes, kept_path, read_kept
from mytakeoff.jobs.rows import COLUMNS

JOBS = 7


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Job folders, one with mistakes, one that is none."""
    place = tmp_path_factory.mktemp("many")
    write_jobs(place, JOBS)
    (place / "notes").mkdir()
    (place / "wrong").mkdir()
    (place / "wrong" / "job.toml").write_text('format = 1\ntitle = 3\nwaste_share = "much"\n')
    return place


@pytest.fixture
def place(made: Path, tmp_path: Path) -> Path:
    """A copy of them, to be written to."""
    return Path(shutil.copytree(made, tmp_path / "many"))


@pytest.fixture(scope="module")
def table(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Their table, by one process."""
    out = tmp_path_factory.mktemp("tables") / "jobs.csv"
    done = run("price", *reversed(folders(made)), "--out", out, "--processes", "1", cwd=made)
    assert (done.returncode, done.stdout) == (1, "")
    return out


def folders(place: Path) -> list[str]:
    return sorted(path.name for path in place.iterdir() if path.is_dir())


def counts(said: str) -> tuple[int, ...]:
    """Jobs that were priced, of how many, and how many of them were unchanged, as the last line says it."""
    words = said.splitlines()[-1].split()
    return int(words[0]), int(words[2]), int(words[words.index("unchanged") - 3])


def test_each_row_has_the_headline_of_its_job(made: Path, table: Path) -> None:
    rows = pd.read_csv(table, dtype=str, keep_default_na=False).to_dict("records")
    assert [row["folder"] for row in rows] == folders(made)
    assert list(rows[0]) == list(COLUMNS)
    for row in rows[:JOBS]:
        result = mt.evaluate(mt.open_job(made / row["folder"]))
        head = dated(result)
        assert Decimal(row["total"]) == head.total
        assert (row["state"], row["currency"], row["mistakes"]) == ("draft", result.cost.currency, "")
        assert (row["bags"], row["site_days"]) == (str(head.bags), str(head.site_days))
        for name in ("litres", "measured_l", "allowance_l", "dry_kg", "work_days", "mean_mm", "max_mm"):
            assert float(row[name]) == getattr(head, name), name
        assert float(row["total_per_m2"]) == pytest.approx(float(head.total) / result.area_m2, abs=0.006)


def test_nothing_runs_that_lies_in_the_folder_one_is_in(place: Path, tmp_path: Path) -> None:
    """As where a stranger's jobs were unpacked: a new process would take it for Python's own."""
    for name in ("multiprocessing", "heapq", "numpy", "mytakeoff"):
        (place / f"{name}.py").write_text(f"open({str(place / 'ran')!r}, 'w').close()\n")
    (tmp_path / "bin").mkdir()
    asked = ("price", "job-000", "--out", "jobs.csv", "--processes", "1")
    done = run(*asked, cwd=place, script=tmp_path / "bin" / "mytakeoff")
    assert not (place / "ran").exists()
    assert counts(done.stderr) == (1, 1, 0)


def test_what_is_no_job_and_what_has_mistakes_stand_in_it_and_are_told(made: Path, tmp_path: Path) -> None:
    done = run("price", *folders(made), "--out", tmp_path / "jobs.csv", cwd=made)
    assert counts(done.stderr) == (JOBS, JOBS + 2, 0)
    told = done.stderr.splitlines()
    assert any(line.startswith("wrong: job.toml, title: 3; ") for line in told)
    assert any(line.startswith("wrong: job.toml, waste_share: 'much'; ") for line in told)
    assert any(line.startswith("notes: no job.toml; ") for line in told)
    rows = pd.read_csv(tmp_path / "jobs.csv").set_index("folder")
    assert "waste_share: 'much'" in rows.loc["wrong", "mistakes"]
    assert pd.isna(rows.loc[["wrong", "notes"], "total"]).all()


def test_one_process_and_two_give_the_same_table_to_the_last_byte(
    made: Path, table: Path, tmp_path: Path
) -> None:
    done = run("price", *folders(made), "--out", tmp_path / "jobs.csv", "--processes", "2", cwd=made)
    assert counts(done.stderr) == (JOBS, JOBS + 2, 0)
    assert (tmp_path / "jobs.csv").read_bytes() == table.read_bytes()


def test_only_what_changed_is_worked_out_again(place: Path, table: Path) -> None:
    """The second run is of another kind of table and finds what the first kept beside it."""
    run("price", *folders(place), "--out", "jobs.csv", cwd=place)
    changed = mt.open_job(place / "job-002")
    mt.save_job(replace(changed, state="quoted", waste_share=changed.waste_share + 0.01), place / "job-002")
    sheet = next((place / "job-004" / "surveys").iterdir())
    sheet.write_bytes(sheet.read_bytes() + b"\n")
    done = run("price", *folders(place)[:-1], "--out", "jobs.parquet", cwd=place)
    assert counts(done.stderr) == (JOBS, JOBS + 1, JOBS - 2)
    rows = pd.read_parquet(place / "jobs.parquet").set_index("folder")
    before = pd.read_csv(table, dtype=str).set_index("folder")
    assert rows.loc["job-002", "state"] == "quoted"
    assert rows.loc["job-002", "total"] == mt.evaluate(mt.open_job(place / "job-002")).cost.total
    for name in (f"job-{nth:03}" for nth in range(JOBS) if nth != 2):
        assert rows.loc[name, "total"] == Decimal(before.loc[name, "total"])


@pytest.mark.parametrize(
    "damage",
    ["", "{", "[1]", '{"format": 1}', '{"format": 1, "by": "another", "jobs": {}}',
     *(kept_bytes({}).decode().replace("{\n", job) for job in ('{"a": 3', '{"a": {"files": {}, "row": []}'))],
)  # fmt: skip
def test_what_is_kept_may_be_lost_or_damaged(table: Path, tmp_path: Path, damage: str) -> None:
    assert len(read_kept(kept_path(table))) == JOBS
    (tmp_path / "jobs-kept.json").write_text(damage)
    assert read_kept(tmp_path / "jobs-kept.json") == read_kept(tmp_path / "none.json") == {}


def test_what_is_kept_is_read_back_as_it_was(table: Path) -> None:
    path = kept_path(table)
    assert kept_bytes(read_kept(path)) == path.read_bytes()


@pytest.mark.parametrize("name", ["job.toml", "prices.csv", "packs.csv"])
def test_a_row_is_kept_as_long_as_each_file_holds_the_same(place: Path, table: Path, name: str) -> None:
    kept, folder = read_kept(kept_path(table))["job-001"], place / "job-001"
    assert kept.fits(str(folder))
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*.*")}
    assert set(kept.files) == there | {"packs.csv"}
    was = (folder / name).read_bytes() if name in there else None
    (folder / name).write_bytes((was or b"") + b"\n")
    assert not kept.fits(str(folder))
    (folder / name).write_bytes(was) if was is not None else (folder / name).unlink()
    assert kept.fits(str(folder))
    (folder / "notes.txt").write_text("a remark of the user's own moves nothing")
    assert kept.fits(str(folder))


def test_parquet_is_read_back_by_arrow_and_pandas(made: Path, table: Path, tmp_path: Path) -> None:
    shutil.copy(table.with_name("jobs-kept.json"), tmp_path / "jobs-kept.json")
    done = run("price", *folders(made), "--out", tmp_path / "jobs.parquet", cwd=made)
    assert counts(done.stderr) == (JOBS, JOBS + 2, JOBS)
    arrow = pq.read_table(tmp_path / "jobs.parquet")
    assert arrow.column_names == list(COLUMNS)
    assert arrow.schema.field("total").type == pa.decimal128(28, 6)
    units = {
        name: arrow.schema.field(name).metadata[b"unit"].decode() for name in ("area_m2", "dry_kg", "mean_mm")
    }
    assert units == {"area_m2": "m²", "dry_kg": "kg", "mean_mm": "mm"}
    frame, text = pd.read_parquet(tmp_path / "jobs.parquet"), pd.read_csv(table, dtype=str)
    for name, column in COLUMNS.items():
        ours, theirs = frame[name], text[name]
        if column.kind == "money":
            ours = ours.astype(float)
        if column.kind in ("money", "number", "count"):
            theirs = theirs.astype(float)
            pd.testing.assert_series_equal(ours, theirs, check_dtype=False, check_exact=True)
        else:
            assert [as_text(value) for value in ours] == [as_text(value) for value in theirs], name


def as_text(value: Any) -> str:
    return "" if pd.isna(value) else str(value)


def test_an_interrupted_run_leaves_the_table_and_is_gone_on_with(place: Path, table: Path) -> None:
    (place / "jobs.csv").write_text("as it was")
    process = start("price", *folders(place), "--out", "jobs.csv", "--processes", "1", cwd=place)
    assert process.stderr is not None
    for line in process.stderr:
        if line.startswith("3 of"):
            break
    process.send_signal(signal.SIGTERM)
    said = process.stderr.read()
    assert process.wait(timeout=60) == 130
    process.stderr.close()
    assert process.stdout is not None
    process.stdout.close()
    assert "Interrupted: jobs.csv is as it was" in said
    assert (place / "jobs.csv").read_text() == "as it was"
    kept = json.loads((place / "jobs-kept.json").read_text("utf-8"))["jobs"]
    assert 3 <= len(kept) <= JOBS
    done = run("price", *folders(place), "--out", "jobs.csv", cwd=place)
    assert counts(done.stderr) == (JOBS, JOBS + 2, len(kept))
    assert (place / "jobs.csv").read_bytes() == table.read_bytes()


def no_more_than(size: int) -> None:
    """Have the system refuse files over so many bytes, as a full disk does."""
    import resource

    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


@pytest.mark.parametrize("table", ["jobs.csv", "jobs.parquet"])
def test_a_full_disk_is_told_and_nothing_is_half_written(place: Path, table: str) -> None:
    """What is kept fits at first, and it (beside CSV) or the table (Parquet) no more with some jobs in it."""
    pytest.importorskip("resource", reason="Windows has no such limits")
    run("price", "job-000", "--out", table, cwd=place)
    before = {path: path.read_bytes() for path in place.glob("jobs*")}
    size = max(map(len, before.values())) + 200
    done = run("price", *folders(place), "--out", table, cwd=place, preexec_fn=lambda: no_more_than(size))
    assert done.returncode == 2
    assert "could not be written (File too large)" in done.stderr
    assert {path: path.read_bytes() for path in place.glob("jobs*")} == before
    assert not list(place.glob("unfinished*"))


@pytest.mark.slow
def test_what_is_no_job_among_hundreds_is_told_and_the_others_are_priced(place: Path) -> None:
    """A folder without a job, a file, a job of zeros, one that cannot be read: before, among, after them."""
    for nth in range(300):
        shutil.copytree(place / "job-000", place / f"many-{nth:03}")
    (place / "many-150a").write_text("a file")
    shutil.copytree(place / "job-000", place / "many-150b")
    (place / "many-150b" / "job.toml").write_bytes(bytes(1000))
    shutil.copytree(place / "job-000", place / "zz")
    (place / "zz" / "job.toml").unlink()
    (place / "zz" / "job.toml").mkdir()
    wrong = ["notes", "many-150a", "many-150b", "zz", "nowhere"]
    many = [path.name for path in place.glob("many-*")]
    for table in ("hundreds.csv", "hundreds.parquet"):
        done = run("price", *many, *wrong, "--out", table, cwd=place)
        assert done.returncode == 1
        assert counts(done.stderr)[:2] == (300, 305)
        assert {line.split(":")[0] for line in done.stderr.splitlines()[:-1]} >= set(wrong)
    rows = pd.read_csv(place / "hundreds.csv", dtype=str, keep_default_na=False).set_index("folder")
    assert set(rows.index[rows["mistakes"] != ""]) == set(rows.index[rows["total"] == ""]) == set(wrong)
    assert rows.drop(wrong)["total"].nunique() == 1
    arrow = pq.read_table(place / "hundreds.parquet")
    assert arrow.num_rows == 305
    assert arrow["total"].null_count == len(wrong)
    assert list(pd.read_parquet(place / "hundreds.parquet")["folder"]) == list(rows.index)


GROWN = """
import sys
from pathlib import Path
import psutil
from mytakeoff.jobs.many import price_apart
me = psutil.Process()
for nth, folder in enumerate(sorted(Path().glob("job-*")), start=1):
    row, mistakes = price_apart(str(folder), "")
    assert row, mistakes
    if nth in (1, 500, 1000):
        print(me.memory_info().rss)
"""


@pytest.mark.long
def test_memory_stays_flat_once_caches_are_full(tmp_path: Path) -> None:
    """Of a process that prices one job after another, all of them different; it ends after some hundreds."""
    write_jobs(tmp_path, 1000)
    command = [sys.executable, "-c", GROWN]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment(), capture_output=True, text=True, check=True
    )
    first, half, whole = map(int, done.stdout.split())
    assert half - first < 120e6
    assert whole - half < 0.2 * (half - first)
