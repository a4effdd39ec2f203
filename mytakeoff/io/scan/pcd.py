"""PCD clouds of version 0.7: text, binary, and small packed ones."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np

from mytakeoff.io.scan.chunks import ScanFile, check_promise, damaged, truncated, wrong
from mytakeoff.io.scan.ply import read_records
from mytakeoff.io.scan.text_cloud import TextLayout, read_rows
from mytakeoff.survey.survey import Floats

MOST_HEADER = 1 << 14  # [bytes]
KINDS = {"F": "f", "I": "i", "U": "u"}
SIZES = {"F": (4, 8), "I": (1, 2, 4, 8), "U": (1, 2, 4, 8)}
MOST_PACKED = 1 << 26  # [bytes]; unpacked step by step, a larger cloud would take minutes
MOST_RATIO = 100  # the packing's own limit is 264 bytes out of 3


def open_pcd(path: Path, name: str) -> ScanFile:
    """A PCD cloud.

    Raises
    ------
    TakeoffError
        A damaged header, no x, y and z, or more points promised than there are.
    """
    with path.open("rb") as file:
        head = file.read(MOST_HEADER)
    entries, start = _header(head, name)
    try:
        dtype, first = _record(entries)
        count = int(entries["POINTS"][0]) if "POINTS" in entries else _product(entries)
        view = [float(value) for value in entries.get("VIEWPOINT", ["0"] * 3)[:3]]
        sensor = (view[0], view[1], view[2])
        way = entries["DATA"][0].lower()
    except (KeyError, IndexError, ValueError):
        raise damaged(name, "PCD", "a header with FIELDS, SIZE, TYPE, POINTS and DATA is expected") from None
    if not all(axis in (dtype.names or ()) for axis in "xyz") or count < 0:
        raise damaged(name, "PCD", f"{count} points with fields {', '.join(entries['FIELDS'])}")
    there = path.stat().st_size - start
    if way == "ascii":
        check_promise(name, count, there, 2.0 * len(first))
        layout = TextLayout("", ".", tuple(first[axis] for axis in "xyz"))
        read = partial(read_rows, path, name, layout, start, count)
    elif way == "binary":
        check_promise(name, count, there, dtype.itemsize)
        read = partial(read_records, path, name, dtype, start, count)
    elif way == "binary_compressed":
        read = partial(_packed, path, name, dtype, start, count)
    else:
        raise damaged(name, "PCD", f"DATA {way}")
    return ScanFile(name, "PCD", read, sensors=(sensor,), promised=count, path=path)


def _header(head: bytes, name: str) -> tuple[dict[str, list[str]], int]:
    """The entries of the header, and where the body starts."""
    entries: dict[str, list[str]] = {}
    position = 0
    while (end := head.find(b"\n", position)) >= 0:
        words = head[position:end].decode("latin-1").split()
        position = end + 1
        if words and not words[0].startswith("#"):
            entries[words[0].upper()] = words[1:]
        if "DATA" in entries:
            return entries, position
    raise wrong(name, f"no DATA line in its first {len(head)} bytes", "a PCD file has a header",
                "export it again: it was cut off, or is no PCD file")  # fmt: skip


def _record(entries: dict[str, list[str]]) -> tuple[np.dtype[np.void], dict[str, int]]:
    """How a point is laid out, and the column that each field starts in as text."""
    fields, sizes, kinds = entries["FIELDS"], [int(s) for s in entries["SIZE"]], entries["TYPE"]
    counts = [int(c) for c in entries.get("COUNT", ["1"] * len(fields))]
    layout: list[tuple[str, str, tuple[int, ...]]] = []
    first, column = {}, 0
    for nth, (field, size, kind, count) in enumerate(zip(fields, sizes, kinds, counts, strict=True)):
        if size not in SIZES[kind] or not 0 < count < 10_000 or (field in "xyz" and count != 1):
            raise ValueError
        name = field if field in ("x", "y", "z") else f"field {nth}"
        layout.append((name, f"<{KINDS[kind]}{size}", (count,) if count > 1 else ()))
        first[field] = column
        column += count
    return np.dtype(layout), first


def _product(entries: dict[str, list[str]]) -> int:
    return int(entries["WIDTH"][0]) * int(entries["HEIGHT"][0])


def _packed(
    path: Path, name: str, dtype: np.dtype[np.void], start: int, count: int
) -> Iterator[tuple[Floats, float]]:
    """The points of a packed cloud: LZF, each field by itself."""
    with path.open("rb") as file:
        file.seek(start)
        sizes = file.read(8)
        packed, size = struct.unpack("<II", sizes) if len(sizes) == 8 else (0, 0)
        if size > MOST_PACKED:
            raise wrong(name, f"{size / 2**20:.0f} MB packed",
                        f"packed PCD is read up to {MOST_PACKED >> 20} MB", "save it unpacked")  # fmt: skip
        if count * dtype.itemsize != size or size > packed * MOST_RATIO:
            raise truncated(name, f"{count} points by its header, {size} bytes of them packed into {packed}")
        body = file.read(packed)
    if len(body) < packed:
        raise truncated(name, f"{packed} packed bytes by its header, {len(body)} there")
    plain = unpack_lzf(body, size)
    if plain is None:
        raise damaged(name, "PCD", "the packed bytes do not unpack to their size")
    points = np.empty((count, 3))
    for column, axis in enumerate("xyz"):
        kind, offset = dtype.fields[axis][:2]  # type: ignore[index]
        points[:, column] = np.frombuffer(plain, kind, count, offset * count)
    yield points, 1.0


def unpack_lzf(packed: bytes, size: int) -> bytes | None:
    """The bytes that LZF packed, or None where they do not come out at `size`.

    A control byte below 32 starts so many plain bytes and one more; a higher one has a length in its upper
    three bits and a distance back in the rest and the bytes after it.

    Examples
    --------
    >>> unpack_lzf(b"\\x00a\\xe0\\x00\\x00", 10)
    b'aaaaaaaaaa'
    """
    out = bytearray()
    at, end = 0, len(packed)
    while at < end and len(out) <= size:
        control = packed[at]
        at += 1
        if control < 32:
            out += packed[at : at + control + 1]
            at += control + 1
            continue
        length = control >> 5
        if at + (length == 7) >= end:
            return None
        if length == 7:
            length += packed[at]
            at += 1
        back = len(out) - (((control & 31) << 8) | packed[at]) - 1
        at += 1
        if back < 0:
            return None
        length += 2
        piece = out[back : back + length]
        while len(piece) < length:
            piece += piece[: length - len(piece)]
        out += piece
    return bytes(out) if len(out) == size and at == end else None
