"""What tests of the survey panel begin with: a sheet, a new wall, a scan of a room."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from mytakeoff.panels import SurveyPanel

SHEET = b"off_line_mm x_cm z_cm;10;160;310\r\n240;31;36;40\r\n120;30,5;35;41\r\n10;29;33;39\r\n"


def new_wall(panel: SurveyPanel, name: str = "stair wall", width: float = 3.2, height: float = 2.5) -> None:
    panel.wall.pick.value = "a new wall"
    panel.wall.name.value, panel.wall.width.value, panel.wall.height.value = name, width, height


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def room_scan(path: Path, points: int = 4000, per_m: float = 1.0, gap: bool = False) -> np.ndarray:
    """A scan of a wall 4 by 2.5 m that leans 10 mm a metre into the room, with a door and a cupboard."""
    rng = np.random.default_rng(1)
    x, z = rng.uniform(0, 4, points), rng.uniform(0, 2.5, points)
    wall = ~((x > 1) & (x < 1.9) & (z < 2.0))
    wall &= ~((x > 3.25) & (z < 0.42) & (x < 4.0) & gap)
    x, z = x[wall], z[wall]
    cupboard = np.column_stack([rng.uniform(2.5, 3.2, 300), np.full(300, 4.6), rng.uniform(0, 0.9, 300)])
    xyz = np.vstack([np.column_stack([x, 5.0 - 0.010 * z, z]), cupboard]) * per_m
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(xyz)}\n"
    head += "".join(f"property float {axis}\n" for axis in "xyz") + "end_header\n"
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(head.encode() + xyz.astype("<f4").tobytes())
    return xyz
