"""Clouds whose truth is known, and files of them made by the general libraries."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from plyfile import PlyData, PlyElement

DOOR = (1.0, 0.0, 0.9, 2.0)  # left, foot, width, height [m]


def wall_cloud(random: np.random.Generator, count: int = 6000, noise_m: float = 0.0) -> np.ndarray:
    """A wall of 4.0 × 2.6 m at y = 2.0, seen from the origin: leans 8 mm into the room over its height."""
    x, z = random.uniform(0.0, 4.0, count), random.uniform(0.0, 2.6, count)
    return np.column_stack([x - 2.0, 2.0 - 0.008 * z / 2.6 + random.normal(0.0, noise_m, count), z])


def rectangle(random: np.random.Generator, corner, across, up, density: float) -> np.ndarray:
    """Points evenly on a rectangle, `density` on a square metre."""
    across, up = np.asarray(across, float), np.asarray(up, float)
    count = int(density * np.linalg.norm(across) * np.linalg.norm(up))
    return (
        np.asarray(corner, float)
        + random.uniform(size=(count, 1)) * across
        + random.uniform(size=(count, 1)) * up
    )


def write_xyz(path: Path, points: np.ndarray, separator: str = " ", head: str = "") -> Path:
    rows = (separator.join(f"{value:.6f}" for value in point) for point in points)
    path.write_text(head + "\n".join(rows) + "\n")
    return path


def write_ply(
    path: Path, points: np.ndarray, text: bool = False, order: str = "<", extra: bool = False
) -> Path:
    kind = (
        [("nx", "f4"), ("x", "f8"), ("red", "u1"), ("y", "f8"), ("z", "f8")]
        if extra
        else [(a, "f8") for a in "xyz"]
    )
    table = np.zeros(len(points), dtype=kind)
    for column, axis in enumerate("xyz"):
        table[axis] = points[:, column]
    elements = [PlyElement.describe(table, "vertex")]
    if extra:
        camera = np.zeros(1, dtype=[("view_px", "f4"), ("k", "i4")])
        elements.insert(0, PlyElement.describe(camera, "camera"))
    PlyData(elements, text=text, byte_order=order).write(str(path))
    return path


def write_las(path: Path, points: np.ndarray, point_format: int = 0, scale: float = 0.0001) -> Path:
    import laspy

    header = laspy.LasHeader(point_format=point_format, version="1.4" if point_format >= 6 else "1.2")
    header.scales, header.offsets = [scale] * 3, np.floor(points.min(axis=0)) if len(points) else [0.0] * 3
    las = laspy.LasData(header)
    las.x, las.y, las.z = points.T
    las.intensity = np.arange(len(points)) % 65536
    las.write(str(path))
    return path


def write_e57(path: Path, *stations: tuple[np.ndarray, np.ndarray, np.ndarray]) -> Path:
    """Each station: points in its own frame, rotation as a quaternion, place."""
    import pye57

    with pye57.E57(str(path), mode="w") as file:
        for points, rotation, place in stations:
            data = {f"cartesian{axis}": points[:, k].copy() for k, axis in enumerate("XYZ")}
            file.write_scan_raw(
                data, rotation=np.asarray(rotation, float), translation=np.asarray(place, float)
            )
    return path


def write_pcd(path: Path, points: np.ndarray, way: str = "ascii") -> Path:
    head = (
        "# .PCD v0.7 - Point Cloud Data file format\nVERSION 0.7\nFIELDS intensity x y z\nSIZE 4 8 8 8\n"
        f"TYPE F F F F\nCOUNT 1 1 1 1\nWIDTH {len(points)}\nHEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\n"
        f"POINTS {len(points)}\nDATA {way}\n"
    ).encode()
    table = np.zeros(len(points), dtype=[("i", "<f4"), ("x", "<f8"), ("y", "<f8"), ("z", "<f8")])
    for column, axis in enumerate("xyz"):
        table[axis] = points[:, column]
    if way == "ascii":
        body = "\n".join(f"0 {x!r} {y!r} {z!r}" for x, y, z in points.tolist()).encode() + b"\n"
    elif way == "binary":
        body = table.tobytes()
    else:
        plain = b"".join(table[name].tobytes() for name in table.dtype.names)
        packed = packed_lzf(plain)
        body = np.array([len(packed), len(plain)], dtype="<u4").tobytes() + packed
    path.write_bytes(head + body)
    return path


def packed_lzf(plain: bytes) -> bytes:
    """LZF by its definition: plain runs, and runs of one byte as copies of the byte before."""
    out, at = bytearray(), 0
    while at < len(plain):
        run = 1
        while at + run < len(plain) and plain[at + run] == plain[at] and run < 260:
            run += 1
        if run >= 4:
            out += bytes([0, plain[at]])
            left = run - 1 - 2
            out += bytes([(left << 5), 0]) if left < 7 else bytes([7 << 5, left - 7, 0])
            at += run
            continue
        piece = plain[at : at + 8]
        out += bytes([len(piece) - 1]) + piece
        at += len(piece)
    return bytes(out)
