"""A variation in a folder: all of its files or none, and never over a page that says something else."""

from __future__ import annotations

from datetime import date
from itertools import count
from pathlib import Path

from mytakeoff.documents.logo import logo_of
from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pdf import pdf_bytes
from mytakeoff.documents.pictures import NO_PICTURES
from mytakeoff.documents.variation_sheets import client_variation_sheet, own_variation_sheet
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.written import VARIATION, bears
from mytakeoff.variations.client_edition import HandedOver, client_variation
from mytakeoff.variations.own_edition import own_variation
from mytakeoff.variations.variation import Variation, check_signable

ENDINGS = (".pdf", ".html", ".xlsx", "-estimator.pdf", "-estimator.xlsx")


def write_variation(variation: Variation, folder: str | Path, today: date | None = None) -> tuple[Path, ...]:
    """Write a variation: the client's PDF, page and workbook, the estimator's PDF and workbook.

    Parameters
    ----------
    variation : Variation
    folder : str or Path
        That is there: the job's own, usually, where signing looks for it.
    today : date, optional
        Stands on it; the clock's day unless given.

    Returns
    -------
    tuple of Path
        ``variation-1.pdf``, ``.html`` and ``.xlsx``, ``variation-1-estimator.pdf`` and ``.xlsx``. Where pages
        lie there that bear another fingerprint or version they stay: these are called
        ``variation-1-revision-1.pdf`` and so on.

    Raises
    ------
    TakeoffError
        Nothing but prices and rates has changed; a logo that is none; a file that cannot be written; then
        none is.

    Examples
    --------
    ``mt.write_variation(mt.variation("my-flat"), "my-flat")``
    """
    check_signable(variation)
    paths, revision = _free(variation, Path(folder))
    page = HandedOver(variation, today or date.today(), revision)
    write_all(dict(zip(paths, _contents(page), strict=True)))
    return paths


def _free(variation: Variation, folder: Path) -> tuple[tuple[Path, ...], int]:
    """The first revision under whose names nothing lies but pages that bear the same mark."""
    mark = str(variation.mark)
    for revision in count():
        paths = tuple(folder / named_variation(variation.number, ending, revision) for ending in ENDINGS)
        if all(bears(path, mark) for path in paths if path.exists()):
            return paths, revision
    raise AssertionError("names do not run out")


def named_variation(number: int, ending: str, revision: int) -> str:
    """A file's name. `number`, `revision` [-].

    Examples
    --------
    >>> named_variation(1, "-estimator.pdf", 0), named_variation(2, ".pdf", 3)
    ('variation-1-estimator.pdf', 'variation-2-revision-3.pdf')
    """
    return f"{VARIATION}-{number}{f'-revision-{revision}' if revision else ''}{ending}"


def _contents(page: HandedOver) -> tuple[bytes, ...]:
    """What each of the files holds, in the order of `ENDINGS`."""
    job = page.variation.changed.job
    logo = logo_of(job.folder, job.quotation.logo, job.quotation.firm)
    client, own = client_variation(page), own_variation(page)
    return (
        pdf_bytes(client, NO_PICTURES, logo, page.dated),
        page_bytes(client, NO_PICTURES, logo),
        client_variation_sheet(page),
        pdf_bytes(own, NO_PICTURES, logo, page.dated),
        own_variation_sheet(page),
    )
