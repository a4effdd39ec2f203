"""What the walls of a job file claim together, seen before any of their surveys is read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from pathlib import PurePosixPath
from typing import Any

from mytakeoff.errors import Check

MOST_WALLS = 1000  # more are several jobs, or a slip (common practice, no source)


def check_claims(walls: Sequence[tuple[str, Any]], check: Check) -> bool:
    """Note more walls than a job has, and walls that claim one survey; whether the walls may be read.

    Parameters
    ----------
    walls : sequence of (place, table)
    check : Check
        Takes the mistakes.
    """
    if len(walls) > MOST_WALLS:
        check.that(
            False,
            f"{len(walls)} walls",
            f"a job has {MOST_WALLS} walls at most",
            "make a job of each floor or flat, in a folder of its own",
        )
        return False
    claims: dict[tuple[Any, ...], list[str]] = defaultdict(list)
    for place, table in walls:
        survey = table.get("survey") if isinstance(table, dict) else None
        if not isinstance(survey, dict):
            continue
        file = survey.get("file")
        if isinstance(file, str) and file:
            told = (survey.get(key) for key in ("found", "other_side"))
            claims[(str(PurePosixPath(file)), *map(repr, told))].append(place.rpartition(", ")[2])
    for (file, *_), places in claims.items():
        check.that(
            len(places) == 1,
            f"{' and '.join(places)} have the readings of {file!r}",
            "the readings of a sheet, or of one wall in a scan, are those of one wall",
            "give each wall its own sheet, or say which wall of the scan it is (found)",
        )
    return True
