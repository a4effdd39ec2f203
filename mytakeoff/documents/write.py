"""A quotation in a folder: all of its files or none, and never over a page that says something else."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import mytakeoff
from mytakeoff.documents.logo import logo_of
from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pdf import pdf_bytes
from mytakeoff.documents.pictures import pictures_of
from mytakeoff.documents.sheet import client_sheet, estimator_sheet
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import in_a_row
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.written import QUOTATION, bears
from mytakeoff.quotation.client_page import client_document
from mytakeoff.quotation.content import Quotation, quotation_of
from mytakeoff.quotation.estimator_page import estimator_document
from mytakeoff.quotation.fingerprint import Mark
from mytakeoff.result import Result


def write_quotation(result: Result, folder: str | Path, today: date | None = None) -> tuple[Path, ...]:
    """Write a job's quotation: the client's PDF, page and workbook, the estimator's PDF and workbook.

    Parameters
    ----------
    result : Result
    folder : str or Path
        That is there: the job's own, usually.
    today : date, optional
        Stands on it where the job says no day; the clock's day unless given.

    Returns
    -------
    tuple of Path
        ``quotation.pdf``, ``.html`` and ``.xlsx``, ``quotation-estimator.pdf`` and ``.xlsx``; of revision 2
        ``quotation-revision-2.pdf`` and so on.

    Raises
    ------
    TakeoffError
        No wall is priced, a logo that is none, a page of these names that bears another fingerprint or
        version, or a file that cannot be written; then none is.

    Examples
    --------
    ``mt.write_quotation(mt.evaluate(mt.open_job("my-flat")), "my-flat")``
    """
    quotation = quotation_of(result, today or date.today(), mytakeoff.__version__)
    files = _files(quotation, Path(folder))
    _check_others(files, quotation.mark)
    write_all(files)
    return tuple(files)


def _files(quotation: Quotation, folder: Path) -> dict[Path, bytes]:
    terms, job = quotation.terms, quotation.result.job
    logo, pictures, day = logo_of(job.folder, terms.logo, terms.firm), pictures_of(quotation), quotation.dated
    client, estimator = client_document(quotation), estimator_document(quotation)
    made = {
        ".pdf": pdf_bytes(client, pictures, logo, day),
        ".html": page_bytes(client, pictures, logo),
        ".xlsx": client_sheet(quotation),
        "-estimator.pdf": pdf_bytes(estimator, pictures, logo, day),
        "-estimator.xlsx": estimator_sheet(quotation),
    }
    return {folder / named(ending, terms.revision): content for ending, content in made.items()}


def named(ending: str, revision: int) -> str:
    """A file's name; a revision has files of its own, so that the page before it stays. `revision` [-].

    Examples
    --------
    >>> named("-estimator.pdf", 0), named(".pdf", 2)
    ('quotation-estimator.pdf', 'quotation-revision-2.pdf')
    """
    return f"{QUOTATION}{f'-revision-{revision}' if revision else ''}{ending}"


def _check_others(paths: Iterable[Path], mark: Mark) -> None:
    """See that what lies there bears the same mark: a page that was handed over stays as it is.

    Raises
    ------
    TakeoffError
        Some do not.
    """
    others = [path for path in paths if path.exists() and not bears(path, str(mark))]
    if others:
        raise TakeoffError(
            Mistake(
                f"{in_a_row([path.name for path in others])} lie there, of another job, "
                "of this one as it was, or from elsewhere",
                "a quotation that may have been handed over is never written over",
                "count the revision up under The quotation on the job sheet, or write into another folder",
                str(others[0].parent),
            )
        )
