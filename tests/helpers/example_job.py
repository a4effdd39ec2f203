"""A job of one wall with a door, read: what a new job has as remarks only."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

from mytakeoff.resources import starting_job_folder

KEPT = Path(__file__).parent / "example-job"


def copy_of_example(place: Path) -> Path:
    """The job's folder, made at a place that is not there yet: prices and packs are those of a new job."""
    shutil.copytree(starting_job_folder(), place)
    return Path(shutil.copytree(KEPT, place, dirs_exist_ok=True))


@cache
def example_folder() -> Path:
    """The same, to be read only."""
    around = tempfile.mkdtemp(prefix="mytakeoff-example-")
    atexit.register(shutil.rmtree, around, ignore_errors=True)
    return copy_of_example(Path(around) / "job")
