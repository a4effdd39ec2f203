"""A job folder priced, with its mistakes where it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.job.open_job import open_job
from mytakeoff.job.job import Job
from mytakeoff.result import Result


@dataclass(frozen=True)
class PricedFolder:
    """What a folder comes to: its result, or why there is none.

    Parameters
    ----------
    folder : str
        As it was named.
    result : Result or None
    mistakes : tuple of Mistake
        All that were found, where there is no result.
    """

    folder: str
    result: Result | None
    mistakes: tuple[Mistake, ...] = ()


def price_folder(folder: str, opened: Callable[[Job], None] = lambda job: None) -> PricedFolder:
    """Open and price the job in a folder; nothing in it is changed.

    Parameters
    ----------
    folder : str
    opened : function
        Is given the job before it is priced.
    """
    try:
        opened(job := open_job(folder))
        from mytakeoff.chain import evaluate  # the title stands there while it is loaded

        return PricedFolder(folder, evaluate(job))
    except TakeoffError as error:
        return PricedFolder(folder, None, error.mistakes)
    except OSError as error:
        said = f"cannot be read ({error.strerror or error})"
        mistake = Mistake(said, "a job is read from its folder", "see that it may be read", folder)
        return PricedFolder(folder, None, (mistake,))
