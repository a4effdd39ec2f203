"""LAS and LAZ clouds, read with laspy; LAZ needs its lazrs."""

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

LEAST_HEADER = 227  # [bytes] of LAS 1.0 to 1.2
FIRST_LAYERED, LAYERS = 6, 9  # point format from which chunks come in layers, and how many at least
VLR_HEADER = 54  # [bytes]


def open_las(path: Path, name: str) -> ScanFile:
    """A LAS or LAZ cloud.

    Raises
    ------
    TakeoffError
        laspy or lazrs is missing, the header is damaged or promises more than the file holds.
    """
    try:
        import laspy
    except ImportError:
        raise missing_library(name, "LAS", "laspy") from None
    packed = _check_header(path, name)
    if packed and not laspy.LazBackend.detect_available():
        raise missing_library(name, "LAZ", "lazrs")
    with damage_as_mistake(name, "LAS"), laspy.open(path, read_evlrs=False) as reader:
        header = reader.header
        count, scales, offsets = header.point_count, np.array(header.scales), np.array(header.offsets)
        if packed:
            _check_chunks(path, header, name)
    if not (np.isfinite(scales).all() and np.isfinite(offsets).all() and (scales != 0).all()):
        raise damaged(name, "LAS", f"scale {scales.tolist()}, offset {offsets.tolist()}")
    size = path.stat().st_size
    if packed:
        check_promise(name, count, size, 1.0 / MOST_A_BYTE)
    else:
        check_promise(name, count, size - header.offset_to_point_data, header.point_format.size)
    return ScanFile(name, "LAS", partial(_read, path, name, count), promised=count, path=path)


def _check_header(path: Path, name: str) -> bool:
    """Whether the points are packed; a mistake for a header that a library could choke on.

    The offsets are those of the ASPRS LAS 1.4 specification, R15, table 3.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(LEAST_HEADER)
        if len(head) < LEAST_HEADER:
            raise truncated(name, f"{len(head)} bytes")
        header_size, body, records = struct.unpack_from("<HII", head, 94)
        packed = bool(head[104] & 0x80)
        if not LEAST_HEADER <= header_size <= body <= size or records * VLR_HEADER > body - header_size:
            raise truncated(name, f"its points start at byte {body} of {size}, after {records} records")
        if packed:
            file.seek(body)
            _check_chunk_table(file.read(8), file, size, name)
    return packed


def _check_chunk_table(start: bytes, file: Any, size: int, name: str) -> None:
    """Refuse a LAZ chunk table that lies outside the file or claims more chunks than there are bytes."""
    table = struct.unpack("<q", start)[0] if len(start) == 8 else -2
    if table == -1 and size >= 8:  # written at the very end, by a writer that could not go back
        file.seek(size - 8)
        table = struct.unpack("<q", file.read(8))[0]
    if not 0 < table <= size - 8:
        raise truncated(name, f"its table of chunks lies at byte {table} of {size}")
    file.seek(table)
    _, chunks = struct.unpack("<II", file.read(8))
    if chunks > size:
        raise truncated(name, f"{chunks} chunks in {size} bytes")


def _check_chunks(path: Path, header: Any, name: str) -> None:
    """Refuse chunks, or layers in them, that claim more bytes than there are: room would be made for those.

    A chunk of the newer point formats starts with its first point, a count, and the length of each layer.
    """
    import lazrs

    layered = header.point_format.id >= FIRST_LAYERED
    with path.open("rb") as file:
        file.seek(header.offset_to_point_data)
        chunks = lazrs.read_chunk_table(file, lazrs.LazVlr(header.vlrs.get("LasZipVlr")[0].record_data))
        at, left = header.offset_to_point_data + 8, path.stat().st_size - header.offset_to_point_data - 8
        for _, length in chunks:
            if not 0 <= length <= left:
                raise truncated(name, f"a chunk of {length} bytes where {left} are left")
            if layered and length:
                file.seek(at + header.point_format.size)
                sizes = np.frombuffer(file.read(4 * (1 + LAYERS)), "<u4")[1:]
                if sizes.sum(dtype=np.int64) > length:
                    raise truncated(
                        name, f"layers of {sizes.sum(dtype=np.int64)} bytes in a chunk of {length}"
                    )
            at, left = at + length, left - length


def _read(path: Path, name: str, count: int) -> Iterator[tuple[Floats, float]]:
    import laspy

    done = 0
    with damage_as_mistake(name, "LAS"):
        reader = laspy.open(path, read_evlrs=False)
    with reader:
        scales, offsets = reader.header.scales, reader.header.offsets
        while done < count:
            with damage_as_mistake(name, "LAS"), np.errstate(over="ignore", invalid="ignore"):
                record = reader.read_points(min(CHUNK, count - done))
                points = np.empty((len(record), 3))
                for column, axis in enumerate("XYZ"):
                    np.multiply(record[axis], scales[column], out=points[:, column])
                    points[:, column] += offsets[column]
            if len(points) == 0:
                raise truncated(name, f"{count} points by its header, {done} there")
            done += len(points)
            yield points, done / count
