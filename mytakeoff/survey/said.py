"""What the user has said of single readings, by where they were taken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Said = Literal["left out", "plaster", "hollow", "sound"]


@dataclass(frozen=True)
class SaidOf:
    """What the user has said of the reading at one place.

    Parameters
    ----------
    x_m, z_m : float
        Where it was taken, from the wall's left end and the floor [m].
    said : "left out", "plaster", "hollow" or "sound"
        Left out: something stood in front of the wall, so it counts nowhere. Plaster: it stands far off its
        neighbours, and is the wall all the same. Hollow: the sound face lies before it. Sound: it lies on
        the sound face, however low.
    """

    x_m: float
    z_m: float
    said: Said
