"""A program that is killed while readings are typed loses the one in hand at most."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from places import CHECKOUT
from reading_desks import desk_over

import mytakeoff as mt

WALL = "party wall"
HELPERS = CHECKOUT / "tests" / "helpers"
TYPING = """
import sys
from pathlib import Path
from reading_desks import desk_over
desk = desk_over(Path(sys.argv[1]), sys.argv[2])
print("ready", flush=True)
for n, spot in enumerate(desk.grid.walk(desk.store.job.wall(sys.argv[2]).wall)):
    if not desk.type(*desk.grid.place(spot), str(100 + n)):
        print(desk.keys.refused, flush=True)
        break
    print(n + 1, flush=True)
"""


@pytest.mark.parametrize("seed", range(3))
def test_a_killed_program_loses_the_reading_in_hand_at_most(folder: Path, seed: int) -> None:
    desk_over(folder, WALL, nothing_read=True)
    chance = random.Random(seed)
    until = chance.randrange(1, 9)
    path = os.pathsep.join((str(CHECKOUT), str(HELPERS)))
    command = [sys.executable, "-c", TYPING, str(folder), WALL]
    child = subprocess.Popen(
        command, env={**os.environ, "PYTHONPATH": path}, stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    told = 0
    with child:
        for line in child.stdout:
            told = 0 if line.strip() == "ready" else int(line)
            if told == until:
                time.sleep(chance.uniform(0.0, 0.15))
                child.kill()
                break
    survey = mt.open_job(folder).wall(WALL).survey
    numbers = sorted(-survey.proud_mm)
    assert told == until
    assert numbers[:told] == [100.0 + n for n in range(told)]
    assert survey.x_m.size >= told
    again = desk_over(folder, WALL)
    assert again.grid.count == survey.x_m.size
