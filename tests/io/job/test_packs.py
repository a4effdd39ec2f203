"""packs.csv read and written, and the keys of a job file that say when is worked and how is bought."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from demo import copy_of_demo

import mytakeoff as mt
from mytakeoff.io.files.sheet import split
from mytakeoff.io.files.text import FileText
from mytakeoff.io.job.packs import packs_in, packs_text, read_packs
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.edits import with_packs, with_price
from mytakeoff.job.packs import Buying, Supplier
from mytakeoff.resources import demo_folder, starting_job_folder


def read(text: str):
    return packs_in(split(FileText(text, "utf-8"), "packs.csv"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_of_demo(tmp_path)


def test_a_sheet_with_semicolons_and_decimal_commas():
    found = read("item;holds;unit;price;weight_kg\nprimer;2,5;l;9,80;2,7\n").rows[0]
    assert (found.holds, found.price, found.weight_kg) == (Decimal("2.5"), Decimal("9.80"), Decimal("2.7"))
    assert (found.pack, found.supplier, found.from_packs, found.least_packs) == ("pack", "", 1, 1)


@pytest.mark.parametrize("folder_of", [demo_folder, starting_job_folder], ids=["demo", "start"])
def test_what_is_written_reads_back_the_same(folder_of):
    packs = read_packs(folder_of() / "packs.csv")
    assert read(packs_text(packs)) == packs
    assert all("invented" in row.note for row in packs.rows)


def test_every_mistake_is_told_with_its_row():
    text = (
        "item,pack,holds,unit,price,from_packs\n"
        "plaster,bag,25,kg,ten,1\n"
        "plaster,bag,-25,kg,9,1\n"
        ",bag,25,kg,9,1\n"
        "primer,tub,5,l,20,1.5\n"
    )
    with pytest.raises(mt.TakeoffError) as told:
        read(text)
    said = [str(mistake) for mistake in told.value.mistakes]
    assert len(said) == 4
    assert "row 2, column E" in said[0]
    assert "row 3" in said[1]
    assert "row 4, column A" in said[2]
    assert "whole" in said[3]


def test_price_breaks_out_of_order_name_the_pack():
    text = "item,pack,holds,unit,price,from_packs\nplaster,bag,25,kg,9,20\nplaster,bag,25,kg,10,1\n"
    with pytest.raises(mt.TakeoffError) as told:
        read(text)
    assert len(told.value.mistakes) == 2
    assert "packs.csv: plaster, bag of 25 kg" in str(told.value)


def test_columns_missing_or_misspelled_are_told_together():
    with pytest.raises(mt.TakeoffError) as told:
        read("item,hold,unit\n")
    assert "write 'holds'" in str(told.value)
    assert "no column 'price'" in str(told.value)


def test_a_job_without_packs_opens_and_a_broken_file_is_told(folder):
    (folder / "packs.csv").unlink()
    assert mt.open_job(folder).packs.rows == ()
    (folder / "packs.csv").write_text("item,holds,unit,price\nplaster,0,kg,9\n")
    with pytest.raises(mt.TakeoffError, match=r"holds 0; it is 0\.001 to"):
        mt.open_job(folder)


def test_packs_that_leave_the_folder_are_not_read(folder, tmp_path):
    (folder / "packs.csv").rename(tmp_path / "packs.csv")
    (folder / "packs.csv").symlink_to(tmp_path / "packs.csv")
    with pytest.raises(mt.TakeoffError, match="only files in its own folder"):
        mt.open_job(folder)


def test_calendar_and_buying_are_kept(folder, tmp_path):
    job = replace(
        mt.open_job(folder),
        calendar=Calendar(date(2027, 5, 3), ("monday", "saturday"), (date(2027, 5, 8),), 7.5, 1.5),
        buying=Buying((Supplier("the yard", 12.5, free_delivery_from=300.0),), 0.2, carry_kg=20.0),
    )
    mt.save_job(job, folder)
    again = mt.open_job(folder)
    assert again.calendar == job.calendar
    assert again.buying == job.buying
    assert "# 1.5 in a cold room" in (folder / "job.toml").read_text(encoding="utf-8")
    mt.save_job(job, tmp_path / "new")
    assert mt.open_job(tmp_path / "new").packs == job.packs


@pytest.mark.parametrize("wrong", ['"2027-03-01"', "2027-03-01T08:00:00", "20270301"])
def test_a_start_that_is_no_day_is_told(folder, wrong):
    path = folder / "job.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("start = 2027-03-01", f"start = {wrong}"))
    with pytest.raises(mt.TakeoffError, match="a day stands here"):
        mt.open_job(folder)


def test_a_pack_s_price_is_changed_in_its_cell_and_a_choice_is_kept(folder):
    path = folder / "packs.csv"
    before = path.read_text(encoding="utf-8")
    job = with_price(mt.open_job(folder), "primer", Decimal("17.20"))
    job = with_packs(job, [tiers[0] for tiers in job.packs.of("mesh")[1:]])
    mt.save_job(job, folder)
    after = path.read_text(encoding="utf-8")
    assert after == before.replace("tub,5,l,16.50", "tub,5,l,17.20")
    again = mt.open_job(folder)
    assert again.packs == job.packs
    [mesh] = again.buying.chosen
    assert (mesh.item, mesh.pack, mesh.holds) == ("mesh", "roll", 10.0)


def test_a_break_keeps_to_a_price_that_is_typed_for_fewer(folder):
    # 13.40 each, 12.60 from twenty on: 12 each for few is 12 for many; 14 for many is 14 for few as well
    job = mt.open_job(folder)
    few = with_price(job, "light gypsum backing", Decimal(12), Decimal("13.40"))
    many = with_price(job, "light gypsum backing", Decimal(14), Decimal("12.60"))
    for changed, prices in ((few, [12, 12]), (many, [14, 14])):
        assert [tier.price for tier in changed.tiers_of("light gypsum backing")] == prices


def test_what_somebody_else_changed_in_the_packs_meanwhile_stays(folder):
    job, path = mt.open_job(folder), folder / "packs.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("can,1,l,4.40", "can,1,l,4.90"))
    mt.save_job(with_price(job, "primer", Decimal("17.20")), folder, opened=job)
    assert [tiers[0].price for tiers in mt.open_job(folder).packs.of("primer")] == [
        Decimal("17.20"),
        Decimal("4.90"),
    ]


def test_a_slack_of_a_whole_bag_is_told_with_the_place_in_the_file(folder):
    path = folder / "job.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("waste_share", "bag_slack_share = 1\nwaste_share", 1))
    with pytest.raises(mt.TakeoffError, match=r"0 to under 1 \(100 %\); 0\.02 is usual"):
        mt.open_job(folder)
