"""What the job sheet's boxes show in a country is read back by Babel as the job's own numbers, and by us."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from babel.numbers import parse_decimal
from sheets import enter

import mytakeoff as mt
from mytakeoff.panels import job_sheet

# A comma, a point, an apostrophe or a thin space between thousands; other marks before decimals and minus.
COUNTRIES = ["de_AT", "de_CH", "fr_FR", "sv_SE", "en_GB", "hi_IN", "ar_EG"]


@pytest.mark.parametrize("country", COUNTRIES)
def test_boxes_are_read_as_babel_reads_them(folder: Path, country: str) -> None:
    sheet = job_sheet(mt.open_job(folder))
    for fold in ("Prices and packs", "Prices"):
        sheet.folds[fold].enter()
    enter(sheet.entries["job"], "locale", country)
    job = sheet.store.job
    assert job.locale == country
    for row, entry in zip(sheet.entries["wall"].rows, job.walls, strict=True):
        shown = row["cells"]["width_m"]
        assert parse_decimal(shown, locale=country) == Decimal(repr(entry.wall.width_m))
    for row, price in zip(sheet.entries["prices"].rows, job.prices.rows, strict=True):
        assert parse_decimal(row["cells"]["price"], locale=country) == price.price
    enter(sheet.entries["wall"], "width_m", sheet.entries["wall"].rows[0]["cells"]["width_m"])
    assert sheet.store.job.walls == job.walls
