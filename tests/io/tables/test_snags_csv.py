"""The snag list as a file: read back as it is, for one or the other reader, as measured on the wall."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest
from csv_back import read_back
from finished_walls import HELD, dish, read

import mytakeoff as mt
from mytakeoff.acceptance.snag_table import snag_frame


@pytest.fixture(scope="module")
def snags() -> mt.SnagList:
    survey = read(lambda x, z: dish(x, z, (2.0, 1.25), 0.4, 7.0), 0.1)
    first = mt.CheckRound(date(2027, 3, 1), "a", (mt.HandMark(3.4, 2.1, "rocks", 9.0),))
    return mt.snag_book(HELD, [first], {"a": survey}, mt.TouchUp(cut_limit_mm=0.0))


def test_a_row_a_place_from_the_left_end_and_up_from_the_floor(snags):
    frame = snag_frame([snags])
    assert frame["number"].tolist() == [1, 2]
    assert frame[["from_left_m", "up_from_floor_m"]].to_numpy().tolist() == [[2.0, 1.25], [3.4, 2.1]]
    assert frame["kind"].tolist() == ["hollow", "high"]
    assert frame["seen_by"].tolist() == ["readings", "edge"]
    assert frame["state"].tolist() == ["open", "open"]
    assert frame.loc[frame["kind"] == "hollow", "litres"].sum() == pytest.approx(snags.litres, abs=0.0005)
    assert frame["minutes"].sum() == pytest.approx(snags.minutes, abs=0.1)
    assert set(frame["shown_to"]) == {"estimator"}


def test_the_file_is_the_table(snags, tmp_path):
    mt.write_snags([snags], tmp_path / "snags.csv")
    back, made = read_back(tmp_path / "snags.csv"), snag_frame([snags])
    numbers = made.select_dtypes("number").columns
    pd.testing.assert_frame_equal(back.astype(dict.fromkeys(numbers, float)), made, check_dtype=False)


def test_a_client_reads_no_litres_and_no_minutes(snags, tmp_path):
    mt.write_snags([snags], tmp_path / "snags-client.csv", audience="client")
    back = read_back(tmp_path / "snags-client.csv")
    assert not {"litres", "minutes"} & set(back.columns)
    assert set(back["shown_to"]) == {"client"}
    with pytest.raises(mt.TakeoffError, match="-client"):
        mt.write_snags([snags], tmp_path / "snags.csv", audience="client")
    assert not (tmp_path / "snags.csv").exists()


def test_a_wall_without_snags_has_no_rows_and_all_columns(tmp_path):
    mt.write_snags([mt.SnagList(HELD, ())], tmp_path / "snags.csv", decimal_comma=True)
    head = (tmp_path / "snags.csv").read_text(encoding="utf-8-sig").splitlines()
    assert len(head) == 1
    assert head[0].split(";")[-1] == "shown_to"
