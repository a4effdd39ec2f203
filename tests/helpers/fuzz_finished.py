"""What was written down of a finished job, for the fuzzer: sound, with its surveys, or spoilt somewhere."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from random import Random

import fuzz_sheets
import fuzz_tables
from fuzz_sheets import csv_bytes
from fuzz_surveys import SHEETS, grid
from fuzz_tables import Known, Table, file_bytes

from mytakeoff.io.finished.finished_file import FINISHED_FILE, FINISHED_KEYS

SHARE = 0.4  # of the folders that hold it
NEARER_MM = 25.0  # the second instrument stands so much nearer: faces read alike lie so far apart
# most jobs have the first ones, some the last
PRODUCTS = ("floor protection", "rubble sack", "mesh", "flue lime", "light gypsum backing")
TASKS = ("set up", "clean up", "labourer", "float backing", "finish coat")
BEGINS = date(2027, 3, 15)


def with_marks(document: Table) -> None:
    """Give each wall fixed places, out of its openings or not."""
    for wall in document["wall"]:
        across, up = wall["width_m"], wall["height_m"]
        places = ((0.05, 0.1, 5.0), (across - 0.05, 0.2, -3.0), (0.1, up - 0.1, 8.0), (across, up, 0.0))
        wall["fixed_place"] = [
            {"name": f"mark {nth}", "x_m": round(x, 3), "z_m": round(z, 3), "proud_mm": mm}
            for nth, (x, z, mm) in enumerate(places, start=1)
        ]


def written_down(random: Random, folder: Path, document: Table) -> list[str]:
    """Write ``finished.toml`` and the surveys that it names into a job folder; what was spoilt, in words."""
    done: list[str] = []
    record = _record(random)
    record["wall"] = [
        _wall(random, nth, wall, folder, done) for nth, wall in enumerate(document["wall"], start=1)
    ]
    spoil = random.random() < 0.6
    if spoil:
        count = random.choice((1, 1, 1, 2, 4))
        done += fuzz_tables.changed(random, record, count, record_tables(record))
    (folder / FINISHED_FILE).write_bytes(file_bytes(random, record, spoil, FINISHED_FILE, done))
    return [f"{FINISHED_FILE}: {each}" for each in done]


def record_tables(record: Table) -> list[Known]:
    """Every table of such a file with the keys that it may have."""
    found: list[Known] = []
    fuzz_tables.below("finished", record, FINISHED_KEYS, found)
    return found


def _day(random: Random) -> date:
    return BEGINS + timedelta(days=random.randrange(60))


def _record(random: Random) -> Table:
    """What came, hours, variations and trips."""
    came = [
        {"item": item, "delivered": random.randrange(1, 30), "day": _day(random), "price": 14.5}
        for item in random.sample(PRODUCTS, random.choice((0, 1, 1, 2)))
    ]
    hours = [
        {"task": task, "hours": random.randrange(1, 40) / 2, "day": _day(random)}
        for task in random.sample(TASKS, random.choice((0, 1, 2)))
    ]
    record: Table = {"format": 1, "delivery": came, "hours": hours}
    if random.random() < 0.3:
        record["variation"] = [{"words": "a niche", "amount": 150}]
        record["trip"] = [{"why": "beads forgotten", "hours": 1.5}]
    return record


def _wall(random: Random, nth: int, wall: Table, folder: Path, done: list[str]) -> Table:
    """One wall with one survey or two, rounds of checking, and fixed places read again."""
    size = wall["width_m"], wall["height_m"]
    after, later = f"surveys/after-{nth}.csv", f"surveys/later-{nth}.csv"
    row: Table = {"name": wall["name"], "after": after, "plumb": random.random() < 0.5}
    _survey(random, folder / after, size, done)
    row["fixed_again"] = [
        {"name": place["name"], "after_mm": place["proud_mm"] - NEARER_MM + random.choice((0.0, 0.5, -1.0))}
        for place in wall["fixed_place"][: random.choice((4, 4, 4, 3, 2, 0))]
    ]
    if random.random() < 0.4:
        row["later"] = later
        _survey(random, folder / later, size, done)
        for place in row["fixed_again"]:
            place["later_mm"] = place["after_mm"] + random.choice((0.0, 0.3))
    if random.random() < 0.4:
        marks = [{"x_m": 0.2, "z_m": 1.0, "kind": random.choice(("rocks", "light")), "mm": 4.0}]
        row["round"] = [{"on": _day(random), "survey": after, "mark": marks}, {"on": date(2027, 8, 1)}]
    if random.random() < 0.3:
        row |= {
            "mean_mm": 18.5,
            "uncertainty_mm": 0.4,
            "settled": [{"change_mm": -0.3, "uncertainty_mm": 0.1}],
        }
    return row


def _survey(random: Random, path: Path, size: tuple[float, float], done: list[str]) -> None:
    """A later survey: readings of some face in some layout, now and then with a slip in its cells."""
    layout = random.choice(SHEETS) if random.random() < 0.5 else grid
    rows = layout(random, *size)
    if random.random() < 0.2:
        done += [f"{path.name}: {each}" for each in fuzz_sheets.changed(random, rows)]
    path.write_bytes(csv_bytes(random, rows))
