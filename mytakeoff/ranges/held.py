"""How often ranges that say 80 of 100 held the truth, where it was known: the worst measured."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens


@dataclass(frozen=True)
class Held:
    """How often the ranges of one way of treating a wall held, at worst.

    Parameters
    ----------
    way : str
        What is done to the walls.
    of_100 : int
        Ranges that held the truth, of a hundred that say 80 [-].
    on : str
        Where that was.
    """

    way: str
    of_100: int
    on: str


# The worst rows under "how sure" in tests/benchmarks/README.md; a test holds them to the table.
FLOATED = Held("floated", 58, "ground that is rough only where it stands proud, always too low there")
STRAIGHTENED = Held("straightened", 25, "walls hammered all over, read every 25 cm, too high there")


def held_by(walls: Iterable[WallResult]) -> tuple[Held, ...]:
    """How often ranges like those of some walls held, one for each way in which they are treated."""
    treated = list(walls)
    ways = (
        (FLOATED, any(wall.floated for wall in treated)),
        (STRAIGHTENED, any(straightens(wall) for wall in treated)),
    )
    return tuple(held for held, there in ways if there)
