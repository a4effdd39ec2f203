"""What the table of jobs may be called, before anything is worked out for it."""

from __future__ import annotations

from pathlib import Path

import pytest

import mytakeoff as mt
from mytakeoff.jobs import table
from mytakeoff.jobs.table import check_table


@pytest.mark.parametrize("name", ["jobs.csv", "JOBS.CSV", "jobs.parquet"])
def test_both_kinds_may_be_written(tmp_path: Path, name: str) -> None:
    check_table(tmp_path / name)


def test_without_the_library_for_parquet_its_name_and_the_other_way_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(table, "find_spec", lambda name: None)
    check_table(tmp_path / "jobs.csv")
    with pytest.raises(mt.TakeoffError, match=r"pip install 'mytakeoff\[parquet\]'.*\.csv"):
        check_table(tmp_path / "jobs.parquet")


@pytest.mark.parametrize("name", ["jobs", "jobs.xlsx", "jobs-client.csv", "nowhere/jobs.csv"])
def test_any_other_name_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(mt.TakeoffError, match=name.rpartition("/")[2]):
        check_table(tmp_path / name)
    assert list(tmp_path.iterdir()) == []
