"""PLY clouds: text, or binary in either byte order, with whatever other properties and elements there are."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from mytakeoff.io.scan.chunks import CHUNK, ScanFile, check_promise, truncated, wrong
from mytakeoff.io.scan.text_cloud import TextLayout, read_rows
from mytakeoff.survey.survey import Floats

BLOCK = 1 << 14  # records
MOST_HEADER = 1 << 16  # [bytes]
TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4",
    "float": "f4", "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2",
    "int32": "i4", "uint32": "u4", "float32": "f4", "float64": "f8",
}  # fmt: skip
Read = Callable[[], Iterator[tuple[Floats, float]]]
ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True)
class _Element:
    """One element of the header: its name, how many, and each property with its type ("list" for lists)."""

    name: str
    count: int
    properties: tuple[tuple[str, str], ...]

    def dtype(self, order: str) -> np.dtype[np.void]:
        return np.dtype([(f"{name}", order + kind) for name, kind in self.properties])

    @property
    def has_lists(self) -> bool:
        return any(kind == "list" for _, kind in self.properties)


def open_ply(path: Path, name: str) -> ScanFile:
    """A PLY cloud.

    Raises
    ------
    TakeoffError
        A header that is no PLY header, has no vertices with x, y and z, or promises more than there is.
    """
    with path.open("rb") as file:
        head = file.read(MOST_HEADER)
    order, elements, start = _header(head, name)
    before: list[_Element] = []
    for element in elements:
        if element.name == "vertex":
            break
        before.append(element)
    else:
        raise wrong(name, "no element 'vertex'", "a PLY cloud has vertices", "export the cloud as points")
    names = [name for name, _ in element.properties]
    if not all(names.count(axis) == 1 for axis in "xyz"):
        raise wrong(name, f"vertices with {', '.join(names) or 'nothing'}", "vertices have x, y and z",
                    "export the cloud as points")  # fmt: skip
    if ORDERS[order]:
        read = _binary(path, name, ORDERS[order], element, before, start)
    else:
        read = _ascii(path, name, element, before, start)
    return ScanFile(name, "PLY", read, promised=element.count, path=path)


def _header(head: bytes, name: str) -> tuple[str, list[_Element], int]:
    """Byte order, elements, and where the body starts."""
    end = head.find(b"end_header")
    line_end = head.find(b"\n", end)
    if end < 0 or line_end < 0:
        raise wrong(name, f"no end_header in its first {len(head)} bytes", "a PLY file has a header",
                    "export it again: it was cut off, or is no PLY file")  # fmt: skip
    order, elements = "", list[_Element]()
    for row, line in enumerate(head[:end].decode("latin-1").splitlines(), start=1):
        words = line.split()
        try:
            if words[:1] == ["format"]:
                order = words[1]
            elif words[:1] == ["element"]:
                elements.append(_Element(words[1], int(words[2]), ()))
            elif words[:1] == ["property"]:
                kind = "list" if words[1] == "list" else TYPES[words[1]]
                last = elements.pop()
                elements.append(_Element(last.name, last.count, (*last.properties, (words[-1], kind))))
        except (IndexError, KeyError, ValueError):
            raise _bad_line(name, row, line) from None
        if elements and elements[-1].count < 0:
            raise _bad_line(name, row, line)
    if order not in ORDERS:
        raise wrong(name, f"format {order!r}", f"a PLY file is {', '.join(ORDERS)}", "export it again")
    return order, elements, line_end + 1


def _bad_line(name: str, row: int, line: str) -> Exception:
    return wrong(f"{name}, row {row}", repr(line[:40]), "a PLY header names elements and typed properties",
                 "export it again")  # fmt: skip


def _binary(path: Path, name: str, order: str, vertex: _Element, before: list[_Element], start: int) -> Read:
    """A reader of fixed-size records."""
    for element in (*before, vertex):
        if element.has_lists:
            raise wrong(name, f"lists in element {element.name!r}",
                        "points stand before any list in binary PLY", "export it without faces")  # fmt: skip
        names = [one for one, _ in element.properties]
        if len(set(names)) < len(names):
            raise wrong(name, f"two properties of one name in {element.name!r}", "each has its own name",
                        "export it again")  # fmt: skip
    start += sum(element.count * element.dtype(order).itemsize for element in before)
    dtype = vertex.dtype(order)
    check_promise(name, vertex.count, path.stat().st_size - start, dtype.itemsize)
    return partial(read_records, path, name, dtype, start, vertex.count)


def _ascii(path: Path, name: str, vertex: _Element, before: list[_Element], start: int) -> Read:
    """A reader of rows."""
    names = [one for one, _ in vertex.properties]
    columns = tuple(names.index(axis) for axis in "xyz")
    if any(kind == "list" for _, kind in vertex.properties[: max(columns)]):
        raise wrong(
            name, "a list before x, y and z", "vertices start with plain numbers", "export it as points"
        )
    check_promise(name, vertex.count, path.stat().st_size - start, 2.0 * len(names))
    layout = TextLayout("", ".", columns, skip=sum(element.count for element in before))
    return partial(read_rows, path, name, layout, start, vertex.count)


def read_records(
    path: Path, name: str, dtype: np.dtype[np.void], start: int, count: int
) -> Iterator[tuple[Floats, float]]:
    """Points of fixed-size binary records with fields x, y and z, a chunk at a time.

    Raises
    ------
    TakeoffError
        The file ends before the last of them.
    """
    done = 0
    with path.open("rb") as file:
        file.seek(start)
        while done < count:
            points = np.empty((min(CHUNK, count - done), 3))
            for start in range(0, len(points), BLOCK):  # so many records stay in the processor's cache
                block = points[start : start + BLOCK]
                records = np.fromfile(file, dtype, len(block))
                if records.size < len(block):
                    raise truncated(
                        name, f"{count} points by its header, {done + start + records.size} there"
                    )
                for column, axis in enumerate("xyz"):
                    block[:, column] = records[axis]
            done += len(points)
            yield points, done / count
