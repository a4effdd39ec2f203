"""A job of many walls, made of those of the demo."""

from __future__ import annotations

import copy
import shutil
import tomllib
from pathlib import Path
from typing import Any

import tomlkit

ROUNDS = 5  # of the demo's six walls


def write_many_walls(folder: Path, rounds: int = ROUNDS) -> int:
    """Have the demo's walls in a copy of its folder so many times over, each round under names of its own."""
    path = folder / "job.toml"
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    walls = document["wall"]
    for nth in range(2, rounds + 1):
        again = copy.deepcopy(walls[: len(walls) // (nth - 1)])
        walls += [_moved_to(folder, wall, nth) for wall in again]
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    return len(walls)


def _moved_to(folder: Path, wall: dict[str, Any], floor: int) -> dict[str, Any]:
    """A wall of another floor, read alike, with a sheet of its own."""
    sheet = Path(wall["survey"]["file"])
    own = sheet.with_name(f"{sheet.stem}-{floor}{sheet.suffix}")
    shutil.copy(folder / sheet, folder / own)
    survey = {**wall["survey"], "file": own.as_posix()}
    return {**wall, "name": f"{wall['name']}, floor {floor}", "survey": survey}
