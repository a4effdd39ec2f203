"""Saving: a job opens as it was saved, untouched text stays, and a failure changes no byte on the disk."""

from __future__ import annotations

import errno
import os
from dataclasses import replace
from decimal import Decimal

import pytest
from demo import copy_of_demo
from written_jobs import values_in

from mytakeoff import (
    Job,
    JobWall,
    LooseArea,
    Opening,
    Price,
    PriceList,
    Room,
    Survey,
    System,
    TakeoffError,
    Wall,
    open_job,
    save_job,
)
from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM


def test_an_unchanged_job_leaves_every_byte(folder, files):
    before = files(folder)
    save_job(open_job(folder), folder)
    assert files(folder) == before


def test_what_is_said_of_a_scan_beside_a_sheet_stays(folder, files, change):
    change("job.toml", "surveys/north.csv", 'surveys/north.csv", found = 2, unit = "cm')
    before = files(folder)
    save_job(open_job(folder), folder)
    assert files(folder) == before


@pytest.mark.parametrize("encode", ["utf-8-sig", "cp1252"])
def test_other_encodings_and_line_ends_stay(folder, files, encode):
    for name in ("job.toml", "prices.csv"):
        text = (folder / name).read_text().replace("\n", "\r\n").replace("tools", "tööls")
        (folder / name).write_bytes(text.encode(encode))
    before = files(folder)
    job = open_job(folder)
    save_job(job, folder)
    assert files(folder) == before
    save_job(replace(job, waste_share=0.12, prices=job.prices.with_price("rail", Decimal("1.10"))), folder)
    after = files(folder)
    assert after["job.toml"] == before["job.toml"].replace(b"0.10", b"0.12")
    assert after["prices.csv"] == before["prices.csv"].replace(b"0.90", b"1.10")


def test_only_the_changed_keys_change(folder, files):
    before = files(folder)
    job = open_job(folder)
    backing = replace(job.system.backing, density_kg_per_l=0.9)
    edited = replace(
        job,
        waste_share=0.15,
        system=replace(job.system, backing=backing),
        plane=replace(job.plane, kind="square", cut_mm=3.0),
        walls=(replace(job.walls[0], turn_mm_per_m=4.0), replace(job.walls[1], turn_mm_per_m=2.5)),
        prices=job.prices.with_price("our plaster", Decimal("13.20")),
    )
    save_job(edited, folder)
    after = files(folder)
    assert after["prices.csv"] == before["prices.csv"].replace(b"12.50", b"13.20")
    assert {name: after[name] for name in after if "surveys" in name} == {
        name: before[name] for name in before if "surveys" in name
    }
    old, new = (text["job.toml"].decode().splitlines() for text in (before, after))
    assert [line for line in old if line not in new] == [
        "waste_share = 0.10", 'kind = "plumb"', "density_kg_per_l = 0.95",
    ]  # fmt: skip
    assert [line for line in new if line not in old] == [
        "waste_share = 0.15", 'kind = "square"', "cut_mm = 3.0", "density_kg_per_l = 0.9",
        "turn_mm_per_m = 4.0", "turn_mm_per_m = 2.5",
    ]  # fmt: skip
    assert values_in(open_job(folder)) == values_in(edited)


def test_a_remark_beside_a_changed_key_stays(folder):
    save_job(replace(open_job(folder), title="Other flat"), folder)
    assert 'title = "Other flat"     # a remark beside a key\n' in (folder / "job.toml").read_text()


def test_a_known_mix_with_other_figures_is_described(folder):
    job = open_job(folder)
    edited = replace(job, system=System(replace(LIGHT_GYPSUM, density_kg_per_l=0.85), GYPSUM_SKIM, 2.0))
    save_job(edited, folder)
    text = (folder / "job.toml").read_text()
    assert '[[mix]]\nname = "light gypsum backing"\ndensity_kg_per_l = 0.85\n' in text
    assert values_in(open_job(folder)) == values_in(edited)


def test_a_high_spot_keeps_the_way_in_which_it_was_given(folder, files, change):
    change("job.toml", "off_line_mm = 9", "proud_mm = -9.0 # towards the room")
    before, job = files(folder), open_job(folder)
    moved = job.walls[0].survey.with_high_spots([(0.4, 1.2, -8.0)])
    save_job(replace(job, walls=(replace(job.walls[0], survey=moved), job.walls[1])), folder)
    assert files(folder)["job.toml"] == before["job.toml"].replace(b"-9.0", b"-8.0")
    save_job(job, folder)
    assert files(folder) == before


def _with_loose(job: Job, name: str, loose: tuple[LooseArea, ...]) -> Job:
    walls = (replace(wall, loose=loose) if wall.name == name else wall for wall in job.walls)
    return replace(job, walls=tuple(walls))


def test_a_remark_goes_with_its_own_table(tmp_path):
    """The remarks are those of the demo job, one on each of two loose areas of the party wall."""
    folder = copy_of_demo(tmp_path)
    job = open_job(folder)
    wall = next(wall for wall in job.walls if len(wall.loose) == 2)
    save_job(_with_loose(job, wall.name, wall.loose[1:]), folder)
    text = (folder / "job.toml").read_text()
    assert "sounds hollow all round the hole" not in text
    [line] = [line for line in text.splitlines() if "fallen already: the readings inside" in line]
    assert line.startswith("[[wall.loose]]")
    assert open_job(folder).wall(wall.name).loose == wall.loose[1:]
    added = LooseArea(0.2, 0.2, 0.3, 0.3, 10.0)
    save_job(_with_loose(open_job(folder), wall.name, (added, wall.loose[1])), folder)
    text = (folder / "job.toml").read_text()
    assert line in text
    assert open_job(folder).wall(wall.name).loose == (added, wall.loose[1])


def test_walls_and_items_come_and_go(folder):
    job = open_job(folder)
    room = Room("loft", 8.0, 3)
    wall = Wall("gable", 2.0, 2.2, (Opening("vent", 0.5, 1.5, 0.2, 0.2),))
    survey = Survey.from_readings(wall, [0, 2, 0], [0, 0, 2], [1, 2.5, 3], plumb=False)
    gable = JobWall(wall, "loft", survey, "brick", loose=(LooseArea(0, 0, 1, 1, 15.0),))
    prices = PriceList((*job.prices.rows[:2], Price("sand; sharp", "kg", Decimal("0.06"), 'by "lorry"')))
    edited = replace(job, rooms=(room, *job.rooms), walls=(gable, job.walls[0]), prices=prices)
    save_job(edited, folder)
    again = open_job(folder)
    assert values_in(again) == values_in(edited)
    assert again.wall("gable").survey.source == "surveys/gable.csv"
    save_job(edited, folder)
    names = sorted(path.name for path in (folder / "surveys").iterdir())
    assert names == ["gable.csv", "north.csv", "south.csv"]
    assert (folder / "prices.csv").read_text() == (
        'item,unit,price,note\nour plaster,bag,12.50,\nplasterer,h,34.00,"with tools, van"\n'
        'sand; sharp,kg,0.06,"by ""lorry"""\n'
    )


def test_an_old_format_is_brought_up_to_date_when_something_changes(folder, files, change):
    change("job.toml", "format = 1", "format = 0")
    change("job.toml", "waste_share = 0.10", "waste_percent = 10")
    before, job = files(folder), open_job(folder)
    save_job(job, folder)
    assert files(folder) == before
    save_job(replace(job, currency="NOK"), folder)
    assert "format = 1" in (folder / "job.toml").read_text()
    assert values_in(open_job(folder)) == values_in(replace(job, currency="NOK"))


def test_prices_with_semicolons_keep_their_decimal_comma(folder):
    (folder / "prices.csv").write_bytes(b"item;unit;price\r\nour plaster;bag;12,50\r\nrail;m;0,90\r\n")
    job = open_job(folder)
    save_job(replace(job, prices=job.prices.with_price("rail", Decimal("1.05"))), folder)
    assert (folder / "prices.csv").read_bytes() == (
        b"item;unit;price\r\nour plaster;bag;12,50\r\nrail;m;1,05\r\n"
    )


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("job.toml", "format = 1", "format = 1 1"),
        ("job.toml", "waste_share", "waste"),
        ("job.toml", "format = 1", "format = 7"),
        ("prices.csv", "12.50", "-"),
        ("prices.csv", "price", "cost"),
    ],
)
def test_files_that_no_longer_open_are_left_alone(folder, files, change, name, old, new):
    job = open_job(folder)
    change(name, old, new)
    before = files(folder)
    edited = replace(job, waste_share=0.2, prices=job.prices.with_price("rail", Decimal(3)))
    with pytest.raises(TakeoffError) as caught:
        save_job(edited, folder)
    assert name in caught.value.mistakes[0].place
    assert files(folder) == before


def test_what_was_changed_in_the_files_meanwhile_stays(folder, change):
    opened = open_job(folder)
    change("job.toml", 'title = "Test flat"', 'title = "Renamed by hand"')
    change("job.toml", "[[room]]", '[[room]]\nname = "attic"\n\n[[room]]')
    change("prices.csv", "34.00", "36.00")
    change("prices.csv", "rail,m,0.90,\n", "rail,m,0.90,\nsack,piece,0.7,\n")
    edited = replace(opened, waste_share=0.2, prices=opened.prices.with_price("rail", Decimal("1.00")))
    save_job(edited, folder, opened)
    again = open_job(folder)
    assert (again.title, again.waste_share) == ("Renamed by hand", 0.2)
    assert [room.name for room in again.rooms] == ["attic", "kitchen"]
    assert [(row.item, str(row.price)) for row in again.prices.rows] == [
        ("our plaster", "12.50"), ("plasterer", "36.00"), ("rail", "1.00"), ("sack", "0.7"),
    ]  # fmt: skip


def test_a_wall_taken_out_of_the_file_by_hand_does_not_come_back(folder, change):
    opened = open_job(folder)
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text[: text.index('[[wall]]\nname = "south"')])
    save_job(replace(opened, waste_share=0.2), folder, opened)
    assert [wall.name for wall in open_job(folder).walls] == ["north"]


@pytest.mark.parametrize("nth", [0, 1])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_disk_that_fails_midway_leaves_both_files(folder, files, monkeypatch, step, nth):
    job = open_job(folder)
    before = files(folder)
    calls = iter(range(100))
    real = getattr(os, step)

    def failing(*arguments):
        if next(calls) == nth:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(*arguments)

    monkeypatch.setattr(os, step, failing)
    edited = replace(job, waste_share=0.2, prices=job.prices.with_price("rail", Decimal(3)))
    with pytest.raises(TakeoffError, match="No space left"):
        save_job(edited, folder)
    monkeypatch.undo()
    assert files(folder) == before


def test_two_mixes_of_one_name_are_refused(folder, files):
    job = open_job(folder)
    before = files(folder)
    own = System(replace(job.system.backing, density_kg_per_l=1.2))
    with pytest.raises(TakeoffError, match="two mixes called 'our plaster'"):
        save_job(replace(job, walls=(replace(job.walls[0], system=own), job.walls[1])), folder)
    assert files(folder) == before


def test_a_survey_that_would_be_written_outside_is_refused(folder, files):
    job = open_job(folder)
    before = files(folder)
    stray = replace(job.walls[0].survey, source="../stray.csv")
    with pytest.raises(TakeoffError, match="own folder"):
        save_job(replace(job, walls=(replace(job.walls[0], survey=stray), job.walls[1])), folder)
    assert files(folder) == before


def test_the_rights_of_a_file_stay(folder):
    (folder / "job.toml").chmod(0o640)
    save_job(replace(open_job(folder), waste_share=0.2), folder)
    assert (folder / "job.toml").stat().st_mode & 0o777 == 0o640
