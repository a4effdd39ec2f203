"""What every reader of scans has in common: points in chunks, and mistakes told alike.

A reader never trusts a header: what it promises is held against the size of the file before anything of that
size is made, and no more than one chunk of points is in memory at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.survey.survey import Floats

CHUNK = 500_000  # points in memory at a time
MOST_A_BYTE = (
    8  # points that one byte may stand for: real clouds take at least a byte a point when compressed
)
FARTHEST = 1e11  # from nought, in the file's unit: ten times the earth's breadth in millimetres
INSTALL = "pip install 'mytakeoff[scan]'"


@dataclass
class Chunk:
    """Some points of a file.

    Parameters
    ----------
    points : (n, 3) float
        As they stand in the file, in its unit and axes, those left out that are nowhere on earth.
    done_share : float
        Of the file, read so far [-].
    dropped : int
        Points of this chunk that were left out.
    """

    points: Floats
    done_share: float
    dropped: int = 0


@dataclass(frozen=True)
class ScanFile:
    """A scan that can be read, once or several times.

    Parameters
    ----------
    name : str
        As the file is called in messages.
    kind : str
        XYZ, PLY, LAS, E57 or PCD.
    read : function
        Gives an iterator over (points (n, 3), done_share).
    unit : str or None
        The unit that the format itself lays down.
    sensors : tuple of (x, y, z)
        Where the instrument stood, if the file says so; in its unit.
    promised : int or None
        Points that the header says there are.
    """

    name: str
    kind: str
    read: Callable[[], Iterator[tuple[Floats, float]]]
    unit: str | None = None
    sensors: tuple[tuple[float, float, float], ...] = ()
    promised: int | None = None
    path: Path = field(default_factory=Path)

    def chunks(self) -> Iterator[Chunk]:
        """The points that may be somewhere, a chunk at a time.

        Raises
        ------
        TakeoffError
            The file cannot be read to its end.
        """
        for found, done_share in self.read():
            points = np.ascontiguousarray(found, dtype=np.float64)
            with np.errstate(over="ignore", invalid="ignore"):
                everywhere = points.size == 0 or (points.max() < FARTHEST and points.min() > -FARTHEST)
                # neither holds where a place is no number
                kept = points if everywhere else points[(np.abs(points) < FARTHEST).all(axis=1)]
            yield Chunk(kept, min(done_share, 1.0), len(points) - len(kept))


def wrong(name: str, found: str, rule: str, remedy: str) -> TakeoffError:
    """One mistake in a scan file, to be raised."""
    return TakeoffError(Mistake(found, rule, remedy, name))


def truncated(name: str, found: str) -> TakeoffError:
    """The file ends before its points do."""
    return wrong(
        name,
        found,
        "a scan file holds as many points as its header says",
        "copy or export it again: it was cut off, or its header is wrong",
    )


def damaged(name: str, kind: str, error: BaseException | str) -> TakeoffError:
    """The file cannot be made sense of."""
    said = " ".join(str(error).split())[:160] or type(error).__name__
    return wrong(
        name,
        f"cannot be read as {kind} ({said})",
        f"a {kind} file keeps to its format from the first byte to the last",
        "export it again, or save the cloud as XYZ text or binary PLY",
    )


def check_promise(name: str, promised: int, bytes_there: float, least_bytes: float) -> None:
    """Refuse a header that promises more points than the file can hold, before any room is made for them.

    Parameters
    ----------
    name : str
    promised : int
        Points by the header.
    bytes_there, least_bytes : float
        What is there for them, and what a point takes at least [bytes].

    Raises
    ------
    TakeoffError
    """
    if promised * least_bytes > bytes_there:
        raise truncated(
            name, f"{promised} points by its header, room for at most {int(bytes_there / least_bytes)}"
        )


@contextmanager
def damage_as_mistake(name: str, kind: str) -> Iterator[None]:
    """Turn whatever a library raises on a damaged file into one mistake."""
    try:
        yield
    except (TakeoffError, KeyboardInterrupt, SystemExit, GeneratorExit):
        raise
    except BaseException as error:  # a library in Rust panics with an exception that is no Exception
        raise damaged(name, kind, error) from None


def missing_library(name: str, kind: str, library: str) -> TakeoffError:
    """The library that reads this format is not installed."""
    return wrong(
        name,
        f"{library} is not installed",
        f"{kind} files are read with {library}",
        f"install it with: {INSTALL}; or export the cloud as XYZ text, PLY or PCD, which need nothing",
    )
