"""Job folders for the fuzzer: a small one that opens, and one that a seed has spoilt somewhere."""

from __future__ import annotations

import copy
import csv
import json
import tomllib
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import fuzz_sheets
import fuzz_tables
from fuzz_finished import SHARE, with_marks, written_down
from fuzz_sheets import KINDS, Rows, csv_bytes
from fuzz_surveys import SCANS, SHEETS, cloud, slip
from fuzz_tables import Table, file_bytes
from fuzz_values import OTHERS, TEXTS, any_number

from mytakeoff.resources import demo_folder

CELL_M = 0.1  # coarse, so that a case takes no time
MORE: Table = {  # what a job may say and the demo does not
    "sureness": {"confidence_share": 0.7, "likely": {"relief_mm": 5.0}},
    "site": {"travel": True, "parking": True, "platform": True, "reach_m": 1.9},
    "rates": {"crew": 2, "day_h": 8.0},
    "option": [{"name": "own way", "kind": "straighten the hollows", "skim": False}],
    "range": [{"name": "mix density", "low": 0.9, "high": 1.2}],
    "locale": "de_AT",
    "money_places": 2,
    "opening_rule": "is1200",
    "missed_high_spot_mm": 3.0,
    "treatment": {"name": "straight", "kind": "straighten the hollows"},
}
MORE_OF_A_WALL: Table = {
    "corner": {"x_m": [0.05, 0.35], "off_square_mm": [20.0, 22.0], "z_m": 1.2},
    "sweep": [{"x_m": 0.02, "z_m": 0.9, "length_m": 0.3, "gap_mm": 4.0}],
    "strip": "paper",
    "edge_bead": "stop bead",
    "skirting_off_m": 3.0,
}


@cache
def _demo() -> tuple[Table, Rows, Rows, dict[str, Any]]:
    folder = demo_folder()
    document = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    prices, packs = (
        list(csv.reader((folder / name).read_text(encoding="utf-8").splitlines()))
        for name in ("prices.csv", "packs.csv")
    )
    known = json.loads((folder / "worked-out.json").read_text(encoding="utf-8"))
    return document, prices, packs, known


def small_job(random: Random) -> Table:
    """A job file of one or two walls of the demo on coarse cells, with some of what else may be said."""
    document = copy.deepcopy(_demo()[0])
    document["cell_m"] = CELL_M
    document["wall"] = random.sample(document["wall"], random.choice((1, 1, 2)))
    names = {wall["name"] for wall in document["wall"]}
    for room in document["room"]:
        for key, ends in (("corner", ("wall", "next_wall")), ("clear_width", ("wall", "opposite"))):
            if key in room:
                room[key] = [one for one in room[key] if {one[end] for end in ends} <= names]
    compare = document["compare"]
    compare["beside"] = [thing for thing in compare["beside"] if thing["wall"] in names]
    for name, value in MORE.items():
        if random.random() < 0.25:
            document[name] = copy.deepcopy(value)
    for wall in document["wall"]:
        for name, value in MORE_OF_A_WALL.items():
            if random.random() < 0.2:
                wall[name] = copy.deepcopy(value)
        if "corner" in wall:  # it says the turn
            wall.pop("turn_mm_per_m", None)
    return document


def spoilt_folder(random: Random, folder: Path) -> list[str]:
    """Write a job folder with something wrong somewhere in it; what was done, in words."""
    _, prices, packs, known = copy.deepcopy(_demo())
    document, done = small_job(random), []
    names = ["job"] * 9 + ["prices"] * 2 + ["packs"] * 2 + ["survey"] * 5 + ["scan"] * 2 + ["worked out"]
    parts = set(random.sample(names, random.choice((1, 1, 1, 1, 2, 3))))
    apart = Random(f"{random.getstate()[1][:2]}")  # what is drawn here changes nothing of what is drawn below
    finished = apart.random() < SHARE
    if finished:
        with_marks(document)
    _write_surveys(random, folder, document["wall"], parts, done)
    if finished:
        done += written_down(apart, folder, document)
    if "job" in parts:
        count = random.choice((1, 1, 1, 2, 2, 4))
        done += fuzz_tables.changed(random, document, count, fuzz_tables.tables_in(document))
    (folder / "job.toml").write_bytes(file_bytes(random, document, "job" in parts, "job.toml", done))
    for name, rows in (("prices", prices), ("packs", packs)):
        if name in parts:
            done += [f"{name}.csv: {each}" for each in fuzz_sheets.changed(random, rows)]
        plain = "\n".join(",".join(f'"{cell}"' for cell in row) for row in rows).encode()
        (folder / f"{name}.csv").write_bytes(csv_bytes(random, rows) if name in parts else plain)
    text = json.dumps(known)
    if "worked out" in parts:
        text = _spoilt_json(random, known, done)
    (folder / "worked-out.json").write_text(text, encoding="utf-8")
    return done


def _write_surveys(
    random: Random, folder: Path, walls: list[Table], parts: set[str], done: list[str]
) -> None:
    """Each wall's survey: the demo's own, or a made-up one of any kind where that is spoilt."""
    (folder / "surveys").mkdir(parents=True)
    for wall in walls:
        file = wall["survey"]["file"]
        size = wall["width_m"], wall["height_m"]
        if "scan" in parts and random.random() < 0.7:
            kind = random.choice(list(SCANS))
            points, way = slip(random, cloud(random, *size))
            wall["survey"]["file"] = f"surveys/scan.{kind}"
            SCANS[kind](folder / wall["survey"]["file"], points)
            wall.pop("high_spot", None)
            done.append(f"a scan {kind}: {way}")
        elif "survey" in parts:
            layout = random.choice(SHEETS)
            rows = layout(random, *size)
            if random.random() < 0.6:
                done += [f"{layout.__name__}: {each}" for each in fuzz_sheets.changed(random, rows)]
            kind = random.choice(("csv", "csv", "csv", "xlsx", "ods"))
            wall["survey"]["file"] = f"surveys/{Path(file).stem}.{kind}"
            (folder / wall["survey"]["file"]).write_bytes(KINDS[kind](random, rows))
            done.append(f"a survey {kind}")
        else:
            (folder / file).write_bytes((demo_folder() / file).read_bytes())


def _spoilt_json(random: Random, known: dict[str, Any], done: list[str]) -> str:
    """What was worked out, with other values in it."""
    for _ in range(random.choice((1, 2, 5))):
        entry = random.choice(known["walls"])
        name = random.choice(list(entry))
        litres = entry["more_l"]  # may be spoilt already
        if name == "more_l" and isinstance(litres, list) and litres and random.random() < 0.8:
            at = random.randrange(len(litres))
            litres[at] = any_number(random, litres[at])
        else:
            entry[name] = random.choice((*TEXTS, None, 3, [1.0, "a"], [], {"a": 1}))
        done.append(f"worked-out.json: {name}")
    text = json.dumps(known)
    way = random.random()
    if way < 0.1:
        return text[: random.randrange(len(text))]
    if way < 0.15:
        return "[" * 100_000
    return (
        json.dumps(random.choice([each for each in OTHERS if isinstance(each, (list, dict, str, int))]))
        if way < 0.2
        else text
    )
