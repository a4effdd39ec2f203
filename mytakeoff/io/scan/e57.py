"""E57 clouds, read with pye57: every station in the frame of the file, in metres as the standard says."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from mytakeoff.io.scan.chunks import (
    CHUNK,
    MOST_A_BYTE,
    ScanFile,
    check_promise,
    damage_as_mistake,
    damaged,
    missing_library,
    truncated,
)
from mytakeoff.survey.survey import Floats

MOST_XML = 1 << 26  # [bytes]
CARTESIAN = ("cartesianX", "cartesianY", "cartesianZ")
SPHERICAL = ("sphericalRange", "sphericalAzimuth", "sphericalElevation")
INVALID: dict[tuple[str, ...], str] = {CARTESIAN: "cartesianInvalidState", SPHERICAL: "sphericalInvalidState"}


def open_e57(path: Path, name: str) -> ScanFile:
    """An E57 cloud with all its stations.

    Raises
    ------
    TakeoffError
        pye57 is missing, the file is cut off or damaged, or promises more points than it can hold.
    """
    try:
        import pye57
    except ImportError:
        raise missing_library(name, "E57", "pye57") from None
    _check_header(path, name)
    with damage_as_mistake(name, "E57"):
        file = pye57.E57(str(path))
        headers = [file.get_header(index) for index in range(file.scan_count)]
        counts = [int(header.point_count) for header in headers]
        sensors = tuple(
            (float(x), float(y), float(z)) for x, y, z in (header.translation for header in headers)
        )
        kinds = [_kind(header.point_fields) for header in headers]
        file.close()
    if None in kinds:
        raise damaged(name, "E57", "a station without cartesian or spherical coordinates")
    check_promise(name, sum(counts), path.stat().st_size, 1.0 / MOST_A_BYTE)
    read = partial(_read, path, name, sum(counts))
    return ScanFile(name, "E57", read, unit="m", sensors=sensors, promised=sum(counts), path=path)


def _kind(fields: list[str]) -> tuple[str, ...] | None:
    return next((kind for kind in (CARTESIAN, SPHERICAL) if set(kind) <= set(fields)), None)


def _check_header(path: Path, name: str) -> None:
    """Refuse a file that is shorter than its header says, or whose XML could unfold into more than it is.

    The header's layout is that of ASTM E2807, section on the file header.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(48)
        if len(head) < 48:
            raise truncated(name, f"{size} bytes")
        length, xml_at, xml_length, page = struct.unpack_from("<QQQQ", head, 16)
        if length > size or not 48 <= xml_at < size or xml_length > min(size, MOST_XML) or page == 0:
            raise truncated(name, f"{length} bytes by its header, {size} there")
        file.seek(xml_at)
        xml = file.read(xml_length + (xml_length // 1020 + 2) * 4)
    if b"<!DOCTYPE" in xml or b"<!ENTITY" in xml:
        raise damaged(name, "E57", "its XML declares entities")


def _read(path: Path, name: str, total: int) -> Iterator[tuple[Floats, float]]:
    import pye57

    with damage_as_mistake(name, "E57"):
        file = pye57.E57(str(path))
    done = 0
    try:
        for index in range(file.scan_count):
            with damage_as_mistake(name, "E57"):
                header = file.get_header(index)
                count = int(header.point_count)
                kind = _kind(header.point_fields)
                assert kind is not None  # seen when it was opened
                pose = (header.rotation_matrix, header.translation) if header.has_pose() else None
                flags = [flag for flag in (INVALID[kind],) if flag in header.point_fields]
            for data in _station(file, header, [*kind, *flags], min(CHUNK, max(count, 1)), name):
                done += len(data[kind[0]])
                with np.errstate(over="ignore", invalid="ignore"):
                    points = _points(data, kind, flags, pose)
                yield points, done / max(total, 1)
    finally:
        file.close()
    if done < total:
        raise truncated(name, f"{total} points by its header, {done} there")


def _station(file: Any, header: Any, fields: list[str], size: int, name: str) -> Iterator[dict[str, Any]]:
    """The columns of one station, so many points at a time."""
    with damage_as_mistake(name, "E57"):
        data, buffers = file.make_buffers(fields, size)
        reader = header.points.reader(buffers)
    try:
        while True:
            with damage_as_mistake(name, "E57"):
                count = reader.read()
            if count == 0:
                return
            yield {field: data[field][:count] for field in fields}
    finally:
        reader.close()


def _points(data: dict[str, Any], kind: tuple[str, ...], flags: list[str], pose: Any) -> Floats:
    """The places of some points in the frame of the file; NaN for those marked as no points."""
    columns = [np.asarray(data[field], dtype=np.float64) for field in kind]
    if kind is SPHERICAL:
        distance, azimuth, elevation = columns
        flat = distance * np.cos(elevation)
        columns = [flat * np.cos(azimuth), flat * np.sin(azimuth), distance * np.sin(elevation)]
    points = np.empty((len(columns[0]), 3))
    turn, place = pose if pose is not None else (np.eye(3), np.zeros(3))
    for axis in range(3):  # column by column: quicker than a product of a long matrix with a tiny one
        points[:, axis] = columns[axis]
        if not np.array_equal(turn, np.eye(3)):
            points[:, axis] = sum(factor * column for factor, column in zip(turn[axis], columns, strict=True))
        points[:, axis] += place[axis]
    for flag in flags:
        points[np.asarray(data[flag]) != 0] = np.nan
    return points
