"""What was worked out for a job's walls, in a file of its own: it makes opening quick, and may be deleted.

A file that is missing, damaged or of another version is as good as none: then it is worked out again.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from itertools import pairwise
from pathlib import Path
from typing import Any

from mytakeoff.job.confidence import LeftOpen, WorkedOut
from mytakeoff.job.job import Job

WORKED_OUT_FILE = "worked-out.json"
FORMAT = 1
KEPT = 3  # of a wall and a way: floated with high spots left and taken down, say
LARGEST = 2_000_000  # bytes: hundreds of walls
MOST_SHARES = 1001
MOST_L = 20_000.0  # on a wall, or less: a hand's depth over 200 m² [l]


def read_worked_out(folder: Path) -> WorkedOut:
    """What the folder has worked out; nothing where there is no such file, or none that can be trusted."""
    path = folder / WORKED_OUT_FILE
    try:
        if path.stat().st_size > LARGEST:
            return WorkedOut()
        document = json.loads(path.read_text(encoding="utf-8"))
        if document["format"] != FORMAT:
            return WorkedOut()
        return WorkedOut(tuple(_left_open(entry) for entry in document["walls"]))
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return WorkedOut()


def _left_open(entry: Any) -> LeftOpen:
    """One entry of the file.

    Raises
    ------
    ValueError, KeyError, TypeError, OverflowError
        It is not what this program writes.
    """
    litres = tuple(float(value) for value in entry["more_l"])
    rising = all(low <= high for low, high in pairwise(litres))
    likely = all(abs(value) <= MOST_L for value in litres)
    if not 0 < len(litres) <= MOST_SHARES or not rising or not likely:
        raise ValueError("litres that no wall has")
    names = str(entry["wall"]), str(entry["way"]), str(entry["fingerprint"])
    "".join(names).encode()  # refuses halves of characters, which no file is written with
    return LeftOpen(*names, litres)


def worked_out_text(job: Job) -> str:
    """The file of what is known of the job's walls: a few of the latest in each way, one to a line."""
    names = {wall.name for wall in job.walls}
    known = WorkedOut().learnt((each for each in job.worked_out.walls if each.wall in names), most=KEPT)
    lines = ",\n".join(json.dumps(asdict(each), ensure_ascii=False) for each in known.walls)
    return f'{{"format": {FORMAT}, "walls": [\n{lines}\n]}}\n'
