"""What finished jobs say, taken into a new job from the terminal, each figure told with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from mytakeoff.io.job.open_job import open_job
from mytakeoff.io.job.save_job import save_job
from mytakeoff.learning.kept import still_offered, with_offers_taken
from mytakeoff.learning.learn import Lessons
from mytakeoff.learning.words import figure_title, learnt_words, moved_words


def take_lessons(folder: Path, lessons: Lessons) -> Iterator[str]:
    """Take all that finished jobs offer into the job in a folder, and say what that changed.

    Parameters
    ----------
    folder : Path
        Of a job.
    lessons : Lessons

    Yields
    ------
    str
        A line for each figure, then one for each job that was left out. A job that is done takes nothing.
    """
    job = open_job(folder)
    done = job.state == "done"
    offers = () if done else still_offered(job, lessons)
    if offers:
        save_job(with_offers_taken(job, lessons, [offer.name for offer in offers]), folder, job)
    for offer in offers:
        was, becomes = moved_words(offer.name, offer.was, offer.becomes, job.formats)
        yield f"{figure_title(offer.name)}: {was} → {becomes}. {learnt_words(offer.learnt, job.formats)}"
    if done:
        yield f"{job.title} is done: what was agreed of it stays, and nothing is taken into it."
    elif not offers:
        yield "The finished jobs offer nothing that a new job does not have."
    for mistake in lessons.left_out:
        yield f"Not learnt from: {mistake}."
