"""Files of every kind, broken at random: each is read, or what is wrong with it is told, and nothing else."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import openpyxl
import pytest
from clouds import wall_cloud, write_e57, write_las, write_pcd, write_ply, write_xyz
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from told import read_or_told

from mytakeoff import Wall, open_job, read_survey
from mytakeoff.io.scan.open_scan import open_scan
from mytakeoff.resources import demo_folder

pytestmark = pytest.mark.long
SUPPRESSED = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]

WORDS = (
    b"", b"\n", b"\r\n", b",", b";", b"\t", b'"', b"'", b"=", b"#", b"[", b"]]",
    b"\n[[wall]]\n", b"\n[plane]\n",
    b"nan", b"-inf", b"1e999", b"9" * 400, b"-", b"1/2", b"true", b"2020-01-01", b"../", b"sep=;\n", b"x_ft",
    b"off_line_in", b"proud_mm", b"level 1.2", b"format = 1", b"\x00", b"\xff\xfe", b"\xef\xbb\xbf",
    "\u2212\u00bd\u202f".encode(), b"element vertex 3\n", b"POINTS 99999999\n", b"end_header\n",
)  # fmt: skip
CHANGES = st.lists(
    st.tuples(
        st.booleans(),
        st.integers(0, 10**6),
        st.integers(0, 9),
        st.sampled_from(WORDS) | st.binary(max_size=6),
    ),
    min_size=1,
    max_size=10,
)
HEAD = 400  # bytes in which damage does the most harm


def broken(content: bytes, changes: list[tuple[bool, int, int, bytes]], cut: int | None) -> bytes:
    """A file with other bytes here and there, half of them near its beginning, and perhaps cut off."""
    for early, place, length, new in changes:
        at = place % (min(len(content), HEAD if early else len(content)) + 1)
        content = content[:at] + new + content[at + length :]
    return content if cut is None else content[: cut % (len(content) + 1)]


CUTS = st.one_of(st.none(), st.none(), st.integers(0, 10**6))


@pytest.mark.parametrize(
    "name", ["job.toml", "prices.csv", "packs.csv", "surveys/north.csv", "surveys/south.csv"]
)
@examples(500, suppress_health_check=SUPPRESSED)
@given(changes=CHANGES, cut=CUTS)
def test_a_file_of_a_job(folder, name, changes, cut):
    whole = (demo_folder() if name == "packs.csv" else folder) / name
    content = whole.read_bytes()
    (folder / name).write_bytes(broken(content, changes, cut))
    try:
        with read_or_told():
            open_job(folder)
    finally:
        (folder / name).write_bytes(content)


@pytest.mark.parametrize("name", ["job.toml", "prices.csv", "surveys/party-wall.csv"])
@examples(100, suppress_health_check=SUPPRESSED)
@given(changes=CHANGES, cut=CUTS)
def test_a_file_of_the_demo_job(tmp_path, name, changes, cut):
    content = (demo_folder() / name).read_bytes()
    demo_copy = Path(shutil.copytree(demo_folder(), tmp_path / "flat", dirs_exist_ok=True))
    (demo_copy / name).write_bytes(broken(content, changes, cut))
    with read_or_told():
        open_job(demo_copy)


WALL = Wall("north", 4.0, 2.6)
CSV = b"off_line_mm,0.1,1.0,1.9\n2.4,12,14,13\n1.2,11,,12\n0.1,10,11,12\n"
LINES = b"off_line_mm,0.1,1.0,1.9\n2.4,12,14,13\n1.2,11,,12\nlevel 1.2,0,3,5\n0.1,10,11,12\n"
LIST = "x_ft;z_in;off_line_in\r\n1;10;1 3/8\r\n5;10;1\u00bd\r\n1;70;1/2\r\n5,5;70;1-1/16\r\n".encode()


def spreadsheet() -> bytes:
    book = openpyxl.Workbook()
    for row in (["off_line_mm", 0.5, 1.0, 1.5], [2.0, 12, 14, 13], [1.0, 11, None, 12], [0.5, 10, 11, 12]):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


SURVEYS = {"grid": CSV, "lines": LINES, "list": LIST, "spreadsheet": spreadsheet()}


@pytest.mark.parametrize("kind", SURVEYS)
@examples(1000, suppress_health_check=SUPPRESSED)
@given(changes=CHANGES, cut=CUTS)
def test_a_survey(tmp_path, kind, changes, cut):
    path = tmp_path / f"survey.{'xlsx' if kind == 'spreadsheet' else 'csv'}"
    path.write_bytes(broken(SURVEYS[kind], changes, cut))
    with read_or_told():
        survey = read_survey(path, WALL)
        assert np.isfinite(survey.proud_mm).all()


POINTS = np.round(wall_cloud(np.random.default_rng(1), 200), 4)
STILL = (1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
SCANS: dict[str, Callable[[Path], Path]] = {
    "cloud.xyz": lambda path: write_xyz(path, POINTS),
    "headed.csv": lambda path: write_xyz(path, POINTS, ";", "x;y;z\n"),
    "text.ply": lambda path: write_ply(path, POINTS, text=True, extra=True),
    "binary.ply": lambda path: write_ply(path, POINTS, extra=True),
    "plain.las": lambda path: write_las(path, POINTS),
    "packed.laz": lambda path: write_las(path, POINTS, point_format=3),
    "one.e57": lambda path: write_e57(path, (POINTS, *STILL)),
    "text.pcd": lambda path: write_pcd(path, POINTS, "ascii"),
    "packed.pcd": lambda path: write_pcd(path, POINTS, "binary_compressed"),
}


@cache
def good_scan(name: str) -> bytes:
    with TemporaryDirectory() as folder:
        return SCANS[name](Path(folder) / name).read_bytes()


@pytest.mark.parametrize("name", list(SCANS))
@examples(500, suppress_health_check=SUPPRESSED)
@given(changes=CHANGES, cut=CUTS)
def test_a_scan(tmp_path, name, changes, cut):
    path = tmp_path / name
    path.write_bytes(broken(good_scan(name), changes, cut))
    with read_or_told():
        for chunk in open_scan(path).chunks():
            assert np.isfinite(chunk.points).all()
