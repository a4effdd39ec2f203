"""A job of many walls, made of those of the demo."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

import tomlkit

ROUNDS = 5  # of the demo's six walls


def write_many_walls(folder: Path, rounds: int = ROUNDS) -> int:
    """Have the demo's walls in a copy of its folder so many times over, each round under names of its own."""
    path = folder / "job.toml"
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    walls = document["wall"]
    for nth in range(2, rounds + 1):
        again = copy.deepcopy(walls[: len(walls) // (nth - 1)])
        walls += [{**wall, "name": f"{wall['name']}, floor {nth}"} for wall in again]
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    return len(walls)
