"""The finished jobs of a folder, each read once as long as its files lie as they did; no widget."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.finished.after_surveys import named_surveys
from mytakeoff.io.finished.finished_file import FINISHED_FILE
from mytakeoff.io.finished.finished_jobs import finished_below, finished_job
from mytakeoff.io.job.news import Look, files_of, folders_in, looks_of
from mytakeoff.io.job.shape import JOB_FILE, PACK_FILE, PRICE_FILE
from mytakeoff.jobs.found import folders_inside
from mytakeoff.learning.evidence import FinishedJob
from mytakeoff.learning.learn import Heard, Lessons, heard_steps, learn_from_heard
from mytakeoff.steps import relabel

FILES = (FINISHED_FILE, JOB_FILE, PRICE_FILE, PACK_FILE)


@dataclass(frozen=True)
class ReadJob:
    """A job's folder as it was read: what it said, or why nothing, and how its files lay."""

    looks: dict[str, Look | None]
    heard: Heard | None
    mistakes: tuple[Mistake, ...] = ()


class LessonsReading:
    """What the finished jobs of a folder say, as far as they are read.

    Attributes
    ----------
    lessons : Lessons or None
        None until all of the folder is read.
    place : Path or None
        The folder that they are of.
    at : (int, int, str)
        How far the reading is: jobs read, of how many, which is next.
    looks : dict of str to Look or None
        How all that was read lay before it was, by paths in the folder.
    """

    def __init__(self) -> None:
        self.lessons: Lessons | None = None
        self.place: Path | None = None
        self.at = (0, 0, "")
        self.looks: dict[str, Look | None] = {}
        self._read: dict[Path, ReadJob] = {}

    def steps(self, folder: Path) -> Iterator[bool]:
        """Read what is not read yet or lies otherwise, a job a step; True where there is more to show.

        Raises
        ------
        TakeoffError
            The folder cannot be read.
        """
        if folder != self.place:
            self.place, self.lessons = folder, None
        looks = looks_of(folder, (".", *(f"{name}/{FINISHED_FILE}" for name in folders_inside(folder))))
        places = finished_below(folder)
        for nth, place in enumerate(places):
            self.at = nth, len(places), place.name
            if not self._knows(place):
                yield True
                yield from self._read_one(place)
        self._read = {place: self._read[place] for place in places}
        several = self._read.values()
        told = [mistake for each in several for mistake in each.mistakes]
        self.lessons = learn_from_heard([each.heard for each in several if each.heard is not None], told)
        for place, each in self._read.items():
            looks |= {f"{place.name}/{name}": look for name, look in each.looks.items()}
        self.looks = looks
        yield True

    def _knows(self, place: Path) -> bool:
        known = self._read.get(place)
        return known is not None and looks_of(place, known.looks) == known.looks

    def _read_one(self, place: Path) -> Iterator[bool]:
        looks = looks_of(place, FILES)
        try:
            done = finished_job(place)
        except TakeoffError as error:
            looks |= looks_of(place, folders_in(place))  # a file that is missing may come
            self._read[place] = ReadJob(looks, None, error.mistakes)
            return
        looks |= looks_of(place, _surveys(done))
        yield False
        said = yield from relabel(heard_steps(done), lambda _: False)
        self._read[place] = ReadJob(looks, said)


def _surveys(done: FinishedJob) -> tuple[str, ...]:
    """Files of the surveys before and after, those of rounds too: all of them are read."""
    after = (name for wall in done.finished.walls for name in named_surveys(wall))
    return (*(name for name in files_of(done.job) if name not in FILES), *after)
