"""A small job folder to read, change and break, and a look at what stands on the disk."""

from __future__ import annotations

from pathlib import Path

import pytest

JOB = """\
# a remark at the top
format = 1
title = "Test flat"     # a remark beside a key
currency = "EUR"
waste_share = 0.10

[plane]
kind = "plumb"

[system]
backing = "our plaster"
finish = "gypsum skim"
finish_mm = 2.0

[[mix]]   # our own
name = "our plaster"
density_kg_per_l = 0.95
bag_kg = 25
least_coat_mm = 8
max_coat_mm = 15
max_total_mm = 35

[[room]]
name = "kitchen"

[[wall]]
name = "north"
room = "kitchen"
width_m = 2   # written without a point
height_m = 2.5
background = "brick"

survey = { file = "surveys/north.csv", plumb = true }

[[wall.high_spot]]
x_m = 0.4
z_m = 1.2
off_line_mm = 9

[[wall.opening]]
name = "hatch"
x_m = 1.0
z_m = 1.0
width_m = 0.5
height_m = 0.5

[[wall]]
name = "south"
room = "kitchen"
width_m = 2.0
height_m = 2.5
background = "brick"
[wall.survey]
file = 'surveys/south.csv'
plumb = true
"""
GRID = "off_line_mm,0.1,1.0,1.9\n2.4,12,14,13\n1.2,11,,12\n0.1,10,11,12\n"
LIST = "x_m;z_m;proud_mm\r\n0,1;0,1;-10\r\n1,9;0,1;-12,5\r\n0,1;2,4;-9\r\n"
PRICES = 'item,unit,price,note\nour plaster,bag,12.50,\nplasterer,h,34.00,"with tools, van"\nrail,m,0.90,\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A job folder of two walls."""
    return _job_in(tmp_path)


@pytest.fixture(scope="module")
def made_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same for many tests, which only read it."""
    return _job_in(tmp_path_factory.mktemp("made"))


def _job_in(place: Path) -> Path:
    job = place / "job"
    (job / "surveys").mkdir(parents=True)
    (job / "job.toml").write_bytes(JOB.encode())
    (job / "prices.csv").write_bytes(PRICES.encode())
    (job / "surveys/north.csv").write_bytes(GRID.encode())
    (job / "surveys/south.csv").write_bytes(LIST.encode())
    return job


@pytest.fixture
def files():
    """A function that gives every file below a folder with its bytes."""

    def read(folder: Path) -> dict[str, bytes]:
        found = (path for path in folder.rglob("*") if path.is_file())
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}

    return read


@pytest.fixture
def change(folder: Path):
    """A function that replaces a text in a file of the folder, once."""

    def replace(name: str, old: str, new: str) -> None:
        text = (folder / name).read_bytes().decode()
        assert text.count(old) >= 1
        (folder / name).write_bytes(text.replace(old, new, 1).encode())

    return replace
