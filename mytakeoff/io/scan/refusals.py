"""What of a scan is refused before walls are looked for in it."""

from __future__ import annotations

import numpy as np

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.scan.chunks import wrong
from mytakeoff.scan.orientation import UP
from mytakeoff.scan.thin_cloud import ThinCloud
from mytakeoff.units import METRES

FEW_POINTS = 30
LINE_SHARE = 1e-3  # of a cloud's length: narrower is a line


def check_said(unit: str | None, up: str | None, place: str) -> None:
    """Refuse a unit or an axis that there is none of.

    Parameters
    ----------
    unit, up : str or None
        As the user said.
    place : str
        The files' names.

    Raises
    ------
    TakeoffError
        Both together.
    """
    mistakes = []
    if unit is not None and unit not in METRES:
        mistakes.append(
            Mistake(f"unit {unit!r}", f"a scan is in {', '.join(METRES)}", "say one of these", place)
        )
    if up is not None and up not in UP:
        mistakes.append(Mistake(f"up {up!r}", f"up is one of {', '.join(UP)}", "say one of these", place))
    if mistakes:
        raise TakeoffError(*mistakes)


def check_reach(thin: ThinCloud, dropped: int, place: str) -> None:
    """Refuse a cloud of a few points, or of points on one line.

    Parameters
    ----------
    thin : ThinCloud
    dropped : int
        Points without a place.
    place : str
        The files' names.

    Raises
    ------
    TakeoffError
        Which of them it is.
    """
    if thin.total < FEW_POINTS:
        lost = f", {dropped} without a place" if dropped else ""
        raise wrong(place, f"{thin.total} points{lost}", f"a scan of a wall has at least {FEW_POINTS}",
                    "export the cloud again, or write readings by hand as a list")  # fmt: skip
    extent = np.sort(np.ptp(thin.points, axis=0))
    centred = thin.points - thin.points.mean(axis=0)
    spread = np.sqrt(np.clip(np.linalg.eigvalsh(centred.T @ centred / len(centred)), 0.0, None))
    if spread[1] <= LINE_SHARE * max(spread[2], 1e-300) or extent[2] == 0:
        raise wrong(place, f"{thin.total} points on one straight line", "a wall has a width and a height",
                    "scan more of it, or export all of the cloud")  # fmt: skip
