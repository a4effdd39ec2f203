"""The finished party wall of the demo job, invented: the face that stands there, and how it was read again.

`python tests/helpers/finished_demo.py` writes the surveys of the finished face; a test holds them, and what
the fixed places read then, to this file.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from mytakeoff.resources import demo_folder

Places = np.ndarray
Face = Callable[[Places, Places], Places]

PLANE_MM, TURN_MM_PER_M = -37.25, 2.35  # what the job brings this wall to, off its first survey's plane
LEAN_MM_PER_M, MIDDLE_M = 0.4, 1.3  # as it was floated: leans into the room by a hair
ACROSS_M = np.round(np.arange(0.15, 3.8, 0.3), 2)
UP_M = np.round(np.arange(0.1, 2.6, 0.3), 2)
READ_TO_MM = 0.5
READ_OFF_MM = 0.4  # either way at most; small ones are likelier


@dataclass(frozen=True)
class Dish:
    """A hollow with an elliptic rim, deepest in its middle; a paraboloid [m, mm]."""

    x_m: float
    z_m: float
    across_m: float
    up_m: float
    deep_mm: float

    def __call__(self, x_m: Places, z_m: Places) -> Places:
        away = ((x_m - self.x_m) / self.across_m) ** 2 + ((z_m - self.z_m) / self.up_m) ** 2
        return np.asarray(-self.deep_mm * np.clip(1.0 - away, 0.0, None))

    @property
    def litres(self) -> float:
        """What fills it [l]."""
        return np.pi * self.across_m * self.up_m * self.deep_mm / 2.0


@dataclass(frozen=True)
class SetUp:
    """An instrument put up anew: how its plane stands off the first one's [mm, mm/m]; how it is misread."""

    off_mm: float
    turn_mm_per_m: float
    seed: int

    def read(self, proud_mm: Places, x_m: Places) -> Places:
        """Readings back to the wall, to half a millimetre [mm]."""
        drawn = random.Random(self.seed)  # its `random` is the same in every version
        missed = [READ_OFF_MM * (drawn.random() - drawn.random()) for _ in range(np.size(x_m))]
        off_line = self.off_mm + self.turn_mm_per_m * x_m - proud_mm + np.reshape(missed, np.shape(x_m))
        return np.asarray(np.round(off_line / READ_TO_MM) * READ_TO_MM)


SANK = Dish(2.0, 1.3, 0.55, 0.5, 9.0)  # where the plaster had fallen and most was put on
MISSED = Dish(3.0, 0.55, 0.2, 0.2, 6.0)  # between the readings: an edge shows it
FINISHED, TOUCHED_UP = SetUp(31.0, 3.0, 1), SetUp(44.0, -2.0, 2)
FIXED = {  # name: x [m], z [m], towards the room from the first survey's plane [mm]
    "nail in the floor by the breast": (0.1, 0.0, -14.0),
    "nail in the floor by the window": (3.8, 0.0, -19.0),
    "screw in the joist by the breast": (0.2, 2.6, -25.0),
    "screw in the joist by the window": (3.7, 2.6, -22.0),
}


def floated(x_m: Places, z_m: Places) -> Places:
    """The plane that the job asks for, with the waves that a floated face has [mm]."""
    waves = 0.35 * np.sin(2 * np.pi * x_m / 2.3 + 0.4) * np.sin(2 * np.pi * z_m / 1.7 + 1.0)
    return np.asarray(PLANE_MM + TURN_MM_PER_M * x_m + LEAN_MM_PER_M * (z_m - MIDDLE_M) + waves)


def sunk(x_m: Places, z_m: Places) -> Places:
    """The face as it was found: with a hollow that readings show, and one that lies between them [mm]."""
    return floated(x_m, z_m) + SANK(x_m, z_m) + MISSED(x_m, z_m)


def touched_up(x_m: Places, z_m: Places) -> Places:
    """Both filled to a tenth of their depth [mm]."""
    return floated(x_m, z_m) + 0.1 * (SANK(x_m, z_m) + MISSED(x_m, z_m))


SURVEYS: dict[str, tuple[Face, SetUp]] = {
    "surveys/party-wall-finished.csv": (sunk, FINISHED),
    "surveys/party-wall-touched-up.csv": (touched_up, TOUCHED_UP),
}


def survey_text(face: Face, set_up: SetUp) -> str:
    """A field grid: columns across, rows from the top."""
    x, z = np.meshgrid(ACROSS_M, UP_M[::-1])
    read = set_up.read(face(x, z), x)
    head = ",".join(["off_line_mm", *(f"{at:g}" for at in ACROSS_M)])
    rows = (
        ",".join([f"{at:g}", *(f"{mm:g}" for mm in row)]) for at, row in zip(UP_M[::-1], read, strict=True)
    )
    return "\n".join([head, *rows, ""])


def fixed_again() -> dict[str, float]:
    """What the fixed places read off the plane of the survey of the finished face, towards the room [mm]."""
    x, _, proud = np.array(list(FIXED.values())).T
    read = SetUp(FINISHED.off_mm, FINISHED.turn_mm_per_m, seed=3).read(proud, x)
    return dict(zip(FIXED, (-read).tolist(), strict=True))


if __name__ == "__main__":
    for name, how in SURVEYS.items():
        (demo_folder() / name).write_text(survey_text(*how), encoding="utf-8")
