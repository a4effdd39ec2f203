"""A table of jobs cut off at each file operation: the old one or the new one, and the next run is whole."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pyarrow.parquet as pq
import pytest
from command import run, write_jobs
from cut_off_saves import DONE, REFUSED, cut_off

import mytakeoff as mt
from mytakeoff.jobs.kept import read_kept

KINDS = ["csv", "parquet"]


@pytest.fixture(params=["csv", pytest.param("parquet", marks=pytest.mark.slow)])
def template(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A job that has changed since it stood in the table beside it."""
    place = tmp_path / "template"
    write_jobs(place, 1)
    (place / "job-000").rename(place / "job")
    assert run("price", "job", "--out", table_in(place, request.param).name, cwd=place).returncode == 0
    job = mt.open_job(place / "job")
    mt.save_job(replace(job, title="another", waste_share=job.waste_share + 0.05), place / "job")
    return place


def table_in(place: Path, kind: str) -> Path:
    return place / f"jobs.{kind}"


def kind_of(place: Path) -> str:
    return next(kind for kind in KINDS if table_in(place, kind).exists())


def titles(table: Path) -> list[str]:
    """What stands in a table, read by pandas and by Arrow."""
    if table.suffix == ".csv":
        return list(pd.read_csv(table)["title"])
    by_arrow = pq.read_table(table)["title"].to_pylist()
    assert by_arrow == list(pd.read_parquet(table)["title"])
    return by_arrow


@pytest.mark.parametrize("how", ["killed", pytest.param("on", marks=pytest.mark.slow)])
def test_it_is_the_old_table_or_the_new_one_and_the_next_run_is_whole(
    template: Path, tmp_path: Path, how: str
) -> None:
    kind = kind_of(template)
    found = cut_off(template, tmp_path / "places", f"{kind}_table", how)
    assert len(found) > 20
    assert {code for _, code in found} == ({-9, DONE} if how == "killed" else {REFUSED, DONE})
    new = table_in(found[-1][0], kind).read_bytes()
    old = table_in(template, kind).read_bytes()
    seen = {table_in(place, kind).read_bytes() for place, _ in found}
    assert seen == {old, new} if how == "killed" else seen <= {old, new}
    assert titles(table_in(found[-1][0], kind)) == ["another"] != titles(table_in(template, kind))
    for place, _ in found[:: max(1, len(found) // 4)]:
        read_kept(place / "jobs-kept.json")
        assert run("price", "job", "--out", f"jobs.{kind}", cwd=place).returncode == 0
        assert table_in(place, kind).read_bytes() == new
        assert {path.name for path in place.iterdir()} == {"job", f"jobs.{kind}", "jobs-kept.json"}
        shutil.rmtree(place)
