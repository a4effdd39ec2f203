"""Scan files: every variant that the general libraries write is read, and nothing broken gets far."""

from __future__ import annotations

import struct
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from clouds import wall_cloud, write_e57, write_las, write_pcd, write_ply, write_xyz
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from places import MEASURED
from told import read_or_told

from mytakeoff import TakeoffError
from mytakeoff.io.scan import chunks as scanchunks
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.io.scan.open_scan import chunks_of, finish, open_scan
from mytakeoff.io.scan.pcd import unpack_lzf

SHARED = MEASURED
NO_TURN, HERE = (1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
POINTS = np.round(wall_cloud(np.random.default_rng(1), 300), 4)


def points_in(path: Path) -> np.ndarray:
    return np.concatenate([np.empty((0, 3)), *(chunk.points for chunk in open_scan(path).chunks())])


def told(path: Path) -> str:
    """The one mistake that reading a file ends with."""
    with pytest.raises(TakeoffError) as caught:
        points_in(path)
    (mistake,) = caught.value.mistakes
    assert mistake.found
    assert mistake.rule
    assert mistake.remedy
    assert path.name in mistake.place
    return str(mistake)


VARIANTS = {
    "spaces.xyz": lambda path: write_xyz(path, POINTS),
    "commas.xyz": lambda path: write_xyz(path, POINTS, ","),
    "tabs.txt": lambda path: write_xyz(path, POINTS, "\t"),
    "headed.csv": lambda path: write_xyz(path, POINTS, ";", "x;y;z\n"),
    "remarks.asc": lambda path: write_xyz(path, POINTS, " ", "# made by a test\n# x y z\n"),
    "count.pts": lambda path: write_xyz(path, POINTS, " ", f"{len(POINTS)}\n"),
    "text.ply": lambda path: write_ply(path, POINTS, text=True),
    "text_more.ply": lambda path: write_ply(path, POINTS, text=True, extra=True),
    "little.ply": lambda path: write_ply(path, POINTS, order="<"),
    "big.ply": lambda path: write_ply(path, POINTS, order=">", extra=True),
    "plain.las": lambda path: write_las(path, POINTS),
    "colours.las": lambda path: write_las(path, POINTS, point_format=7),
    "packed.laz": lambda path: write_las(path, POINTS, point_format=3),
    "one.e57": lambda path: write_e57(path, (POINTS, NO_TURN, HERE)),
    "text.pcd": lambda path: write_pcd(path, POINTS, "ascii"),
    "binary.pcd": lambda path: write_pcd(path, POINTS, "binary"),
    "packed.pcd": lambda path: write_pcd(path, POINTS, "binary_compressed"),
}


@cache
def content_of(name: str, folder: Path) -> bytes:
    return VARIANTS[name](folder / name).read_bytes()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("scans")


@pytest.mark.parametrize("name", VARIANTS)
def test_every_variant_gives_the_same_points(tmp_path, name):
    path = VARIANTS[name](tmp_path / name)
    assert is_scan(path) or name == "tabs.txt"  # 300 rows of plain numbers may have been measured by hand
    np.testing.assert_allclose(points_in(path), POINTS, atol=1e-9)


@pytest.mark.parametrize(
    "name", ["spaces.xyz", "text.ply", "big.ply", "plain.las", "packed.laz", "one.e57", "binary.pcd"]
)
def test_a_file_larger_than_the_chunk_comes_in_chunks(tmp_path, monkeypatch, name):
    for module in ("ply", "las", "e57"):
        monkeypatch.setattr(f"mytakeoff.io.scan.{module}.CHUNK", 70)
    monkeypatch.setattr("mytakeoff.io.scan.text_cloud.BLOCK_BYTES", 2000)
    chunks = list(open_scan(VARIANTS[name](tmp_path / name)).chunks())
    assert len(chunks) > 3
    assert max(len(chunk.points) for chunk in chunks) < 100
    shares = [chunk.done_share for chunk in chunks]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0, abs=0.01)
    np.testing.assert_allclose(np.concatenate([chunk.points for chunk in chunks]), POINTS, atol=1e-9)


def test_decimal_commas(tmp_path):
    path = tmp_path / "comma.csv"
    path.write_text("X;Y;Z;Intensity\n1,5;2,25;-0,5;7\n2,5;3,25;1,5;8\n")
    np.testing.assert_array_equal(points_in(path), [[1.5, 2.25, -0.5], [2.5, 3.25, 1.5]])


def test_columns_by_their_heading(tmp_path):
    path = tmp_path / "turned.csv"
    path.write_text("time,z,x,y\n0,3,1,2\n1,6,4,5\n")
    np.testing.assert_array_equal(points_in(path), [[1, 2, 3], [4, 5, 6]])


def test_stations_of_an_e57_are_turned_into_one_frame(tmp_path):
    # by hand: a quarter turn about z takes (1, 0, 0) to (0, 1, 0), then the station's place is added
    half = np.sqrt(0.5)
    first = (np.array([[1.0, 2.0, 3.0]] * 4), NO_TURN, HERE)
    second = (np.array([[1.0, 0.0, 0.0]] * 4), (half, 0.0, 0.0, half), (10.0, 0.0, 1.0))
    path = write_e57(tmp_path / "two.e57", first, second)
    np.testing.assert_allclose(points_in(path), [[1, 2, 3]] * 4 + [[10, 1, 1]] * 4, atol=1e-12)
    assert open_scan(path).sensors == ((0.0, 0.0, 0.0), (10.0, 0.0, 1.0))


@pytest.mark.parametrize("name", ["little.ply", "binary.pcd", "spaces.xyz"])
def test_points_without_a_place_are_left_out_and_counted(tmp_path, name):
    points = POINTS.copy()
    points[5, 1], points[9, 2], points[11], points[12, 0] = np.nan, np.inf, -np.inf, 1e200
    write = {"ply": write_ply, "pcd": lambda p, q: write_pcd(p, q, "binary"), "xyz": write_xyz}[name[-3:]]
    chunks = list(open_scan(write(tmp_path / name, points)).chunks())
    assert sum(chunk.dropped for chunk in chunks) == 4
    assert sum(len(chunk.points) for chunk in chunks) == len(points) - 4


def test_points_that_an_e57_marks_as_none_are_left_out(tmp_path):
    import pye57

    data = {f"cartesian{axis}": POINTS[:, k].copy() for k, axis in enumerate("XYZ")}
    data["cartesianInvalidState"] = (np.arange(len(POINTS)) % 3 == 0).astype(np.int8)
    with pye57.E57(str(tmp_path / "holes.e57"), mode="w") as file:
        file.write_scan_raw(data)
    np.testing.assert_allclose(points_in(tmp_path / "holes.e57"), POINTS[np.arange(len(POINTS)) % 3 != 0])


# --- bad files ---------------------------------------------------------------------------------------------


COUNTED = (
    "text.ply",
    "big.ply",
    "plain.las",
    "packed.laz",
    "one.e57",
    "text.pcd",
    "binary.pcd",
    "packed.pcd",
)


def test_a_first_row_that_lacks_a_value_is_told(tmp_path):
    path = write_pcd(tmp_path / "short.pcd", POINTS)
    path.write_bytes(path.read_bytes().replace(b"DATA ascii\n0 ", b"DATA ascii\n"))
    told(path)


@pytest.mark.parametrize("name", [*COUNTED, "count.pts"])
@pytest.mark.parametrize("share", [0.3, 0.9])
def test_a_file_cut_off_is_told(tmp_path, folder, name, share):
    content = content_of(name, folder)
    path = tmp_path / name
    path.write_bytes(content[: int(len(content) * share)])
    told(path)


def test_a_text_cloud_cut_off_in_a_row_names_the_row(tmp_path):
    path = tmp_path / "cut.xyz"
    path.write_text("1 2 3\n4 5 6\n7 8")
    assert "row 3" in told(path)


def test_a_word_among_the_numbers_names_its_row(tmp_path):
    path = tmp_path / "word.xyz"
    path.write_text("# a remark\n1 2 3\n4 five 6\n7 8 9\n")
    assert "row 3: '4 five 6'" in told(path)


@pytest.mark.parametrize("name", ["empty.xyz", "empty.ply", "empty.las", "empty.e57", "blank.csv"])
def test_an_empty_file(tmp_path, name):
    (tmp_path / name).write_bytes(b"\n\n" if name.startswith("blank") else b"")
    assert "nothing in it" in told(tmp_path / name)


WRONG = {
    "plain.las": ".ply",
    "big.ply": ".xyz",
    "spaces.xyz": ".las",
    "one.e57": ".pcd",
    "headed.csv": ".e57",
}


@pytest.mark.parametrize(("name", "ending"), WRONG.items())
def test_a_wrong_ending_is_told_with_the_right_one(tmp_path, folder, name, ending):
    path = tmp_path / f"cloud{ending}"
    path.write_bytes(content_of(name, folder))
    said = told(path)
    assert "rename it to cloud" in said or "export the cloud" in said


def test_a_picture_is_no_cloud(tmp_path):
    (tmp_path / "wall.xyz").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(100))
    told(tmp_path / "wall.xyz")


PROMISES = {  # a header that promises billions of points: what to change in a good file
    "big.ply": (b"element vertex 300", b"element vertex 30000000000"),
    "text.ply": (b"element vertex 300", b"element vertex 30000000000"),
    "binary.pcd": (b"POINTS 300", b"POINTS 30000000000"),
    "text.pcd": (b"POINTS 300", b"POINTS 30000000000"),
    "packed.pcd": (b"POINTS 300", b"POINTS 30000000000"),
    "count.pts": (b"300\n", b"30000000000\n"),
}


@pytest.mark.parametrize("name", PROMISES)
def test_a_header_that_promises_billions_is_refused(tmp_path, folder, name):
    path = tmp_path / name
    path.write_bytes(content_of(name, folder).replace(*PROMISES[name], 1))
    assert "30000000000 points by its header" in told(path)


@pytest.mark.parametrize("name", ["plain.las", "packed.laz"])
def test_a_las_header_that_promises_billions_is_refused(tmp_path, folder, name):
    content = bytearray(content_of(name, folder))
    struct.pack_into("<I", content, 107, 4_000_000_000)  # LAS 1.2, legacy number of point records
    path = tmp_path / name
    path.write_bytes(content)
    assert "4000000000 points by its header" in told(path)


def test_an_e57_that_promises_billions_or_unfolds_is_refused(tmp_path, folder):
    content = content_of("one.e57", folder)
    path = tmp_path / "one.e57"
    path.write_bytes(content.replace(b'recordCount="300"', b'recordCount="3e9"', 1))
    told(path)
    path.write_bytes(content.replace(b"<?xml version=", b"<!DOCTYPE xml ", 1))
    assert "entities" in told(path)


def test_a_packed_pcd_that_unfolds_far_beyond_its_size_is_refused(tmp_path):
    # three bytes of LZF stand for 264 at most: a thousandfold is no packing
    head = b"VERSION 0.7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nPOINTS 4000000\nDATA binary_compressed\n"
    (tmp_path / "bomb.pcd").write_bytes(head + struct.pack("<II", 48_000, 48_000_000) + bytes(48_000))
    told(tmp_path / "bomb.pcd")


def test_a_row_without_end_is_refused(tmp_path):
    (tmp_path / "long.xyz").write_bytes(b"1 2 3\n" + b"1" * 3_000_000)
    told(tmp_path / "long.xyz")


def test_a_missing_library_says_what_to_install(tmp_path, monkeypatch):
    write_las(tmp_path / "a.las", POINTS)
    monkeypatch.setitem(__import__("sys").modules, "laspy", None)
    said = told(tmp_path / "a.las")
    assert "laspy is not installed" in said
    assert scanchunks.INSTALL in said


def test_lzf_runs_and_copies():
    # worked by hand: plain "ab", then a copy of 4 from 2 back, then of 10 from 1 back
    assert unpack_lzf(b"\x01ab\x40\x01\xe0\x01\x00", 16) == b"abababbbbbbbbbbb"[:16]


def test_reading_can_be_stopped(tmp_path, monkeypatch):
    monkeypatch.setattr("mytakeoff.io.scan.ply.CHUNK", 10)
    files = [open_scan(write_ply(tmp_path / "a.ply", POINTS))]

    def steps():
        for chunk in chunks_of(files):
            yield chunk.done_share

    seen: list[float] = []
    with pytest.raises(TakeoffError, match="stopped"):
        finish(steps(), lambda share: seen.append(share) or len(seen) < 3)
    assert len(seen) == 3


@pytest.mark.parametrize("name", [*COUNTED, "spaces.xyz", "headed.csv", "text_more.ply"])
@examples(25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_damaged_file_is_read_or_told_and_never_more(tmp_path, folder, name, data):
    content = bytearray(content_of(name, folder))
    early = data.draw(st.integers(0, 3))  # headers are where damage does harm
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(content) - 1 if early == 0 else min(len(content) - 1, 400)))
        content[at] = data.draw(st.integers(0, 255))
    content = content[: data.draw(st.one_of(st.just(len(content)), st.integers(0, len(content))))]
    path = tmp_path / name
    path.write_bytes(content)
    with read_or_told():
        points = points_in(path)
        assert np.isfinite(points).all()
        assert len(points) <= scanchunks.MOST_A_BYTE * len(content)
