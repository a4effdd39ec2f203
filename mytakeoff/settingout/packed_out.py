"""How far linings, window boards and skirtings that stay are packed out, wall by wall."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mytakeoff.audience import ESTIMATOR, SHOWN_TO
from mytakeoff.coats.linings import packings
from mytakeoff.treatment.wall_result import WallResult

if TYPE_CHECKING:
    import pandas as pd

PACKED_COLUMNS = ("wall", "name", "edge", "start_mm", "end_mm", "most_mm")
PackedRow = tuple[str, str, str, int, int, int]


def packed_out(walls: Sequence[WallResult]) -> list[PackedRow]:
    """A row for each edge, as `PACKED_COLUMNS` has them, of walls that are worked on; whole millimetres.

    Parameters
    ----------
    walls : sequence of WallResult
    """
    return [
        (wall.entry.name, each.name, each.edge, *_whole(each.start_mm, each.end_mm, each.most_mm))
        for wall in walls
        if wall.worked
        for each in packings(wall.build_up)
    ]


def packed_frame(walls: Sequence[WallResult]) -> pd.DataFrame:
    """The same rows for the file, and shown_to."""
    import pandas as pd

    return pd.DataFrame(packed_out(walls), columns=list(PACKED_COLUMNS)).assign(**{SHOWN_TO: ESTIMATOR})


def _whole(start_mm: float, end_mm: float, most_mm: float) -> tuple[int, int, int]:
    return round(start_mm), round(end_mm), round(most_mm)
