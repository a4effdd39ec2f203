"""The account as a file: its sums by an independent way are those of the account, to the cent."""

from __future__ import annotations

import csv
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest
from csv_back import read_back
from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.account.account import Account
from mytakeoff.account.settle import settle_up
from mytakeoff.account.worth import CAUSES
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
from mytakeoff.io.files.written import ACCOUNT, begins_as_written, is_written
from mytakeoff.io.tables.accounts import export_account

FINISHED = Finished(
    (
        Delivered("light gypsum backing", 18.5, brought_back=2, wasted=1.3, price=13.937),
        Delivered("mesh", 1, price=36.005),
        Delivered("rail", 13, credit=None),
    ),
    (HoursSpent("float backing", 26.33), HoursSpent("labourer", 41.7, price=23.45)),
    (AgreedVariation("a niche", 150.0),),
    (ReturnTrip("beads forgotten", 1.5, 4.0),),
    (FinishedWall("party wall", 24.0, 0.5),),
)


@pytest.fixture(scope="module")
def account() -> Account:
    return settle_up(coarse_demo(), FINISHED)


@pytest.mark.parametrize("decimal_comma", [False, True])
def test_its_sums_are_those_of_the_account(account: Account, tmp_path: Path, decimal_comma: bool) -> None:
    path = tmp_path / ACCOUNT
    export_account(account, path, decimal_comma=decimal_comma)
    back = read_back(path)
    assert back["priced"].sum() == account.agreed.cost.subtotal
    assert back["spent"].sum() == account.spent
    assert {cause: back[cause].sum() for cause in CAUSES} == account.parts
    assert (back["priced"] + back["difference"] == back["spent"]).all()
    assert (back[list(CAUSES)].sum(axis=1) == back["difference"]).all()
    floats = pd.read_csv(path, sep=";" if decimal_comma else ",", decimal="," if decimal_comma else ".")
    assert floats["spent"].sum() == pytest.approx(float(account.spent), abs=0.005)
    assert len(floats) == len(account.lines)


def test_it_says_where_each_line_is_from(account: Account, tmp_path: Path) -> None:
    export_account(account, tmp_path / ACCOUNT)
    with (tmp_path / ACCOUNT).open(encoding="utf-8-sig", newline="") as file:
        rows = {row["item"]: row for row in csv.DictReader(file)}
    assert rows["mesh"]["source"] == "written down"
    assert (rows["mesh"]["unit"], rows["mesh"]["quantity"], rows["mesh"]["spent"]) == (
        "roll of 25 m²", "1", "36.01",
    )  # fmt: skip
    assert rows["plasterer: mesh"]["source"] == "as priced"
    assert rows["plasterer: mesh"]["spent"] == rows["plasterer: mesh"]["priced"]
    assert rows["plasterer: to whole half days"]["source"] == "follows"
    assert Decimal(rows["trips that were not planned"]["priced"]) == 0


def test_the_job_says_how_decimals_are_written(tmp_path: Path) -> None:
    job = replace(coarse_demo(), decimal_comma=True)
    export_account(settle_up(job, FINISHED), tmp_path / ACCOUNT)
    head = (tmp_path / ACCOUNT).read_text("utf-8-sig").splitlines()[0]
    assert head.startswith("item;unit;priced_quantity;quantity;priced;spent;difference;thickness")


def test_the_text_beside_it_says_sums_causes_and_what_is_taken_for_given(
    account: Account, tmp_path: Path
) -> None:
    said = export_account(account, tmp_path / ACCOUNT).read_text("utf-8-sig")
    assert f"Total: {account.agreed.job.formats.amount(account.spent)} before tax" in said
    assert "What made the difference: " in said
    assert "The margin is " in said
    assert "Nothing was written down for " in said


def test_it_is_known_as_written_and_is_for_no_client(account: Account, tmp_path: Path) -> None:
    export_account(account, tmp_path / ACCOUNT)
    assert is_written(ACCOUNT)
    assert begins_as_written((tmp_path / ACCOUNT).rename(tmp_path / "kitchen.csv"))
    with pytest.raises(mt.TakeoffError, match="-client"):
        export_account(account, tmp_path / "account-client.csv")
    assert not (tmp_path / "account-client.csv").exists()
