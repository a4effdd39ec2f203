"""Signing: the job, or its next variation, is kept as it was signed, and the job says so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from hashlib import sha256
from pathlib import Path

import mytakeoff
from mytakeoff.chain import evaluate
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.formats.formats import in_a_row
from mytakeoff.io.files.atomic import put_all, writing_in
from mytakeoff.io.files.journal import Content, digest
from mytakeoff.io.files.written import bears, handed_over
from mytakeoff.io.job.open_job import open_job
from mytakeoff.io.job.planned import planned
from mytakeoff.io.job.worked_out import WORKED_OUT_FILE
from mytakeoff.io.signed.kept import NOTE_FILE, SignedNote, last_signed, signed_name, signed_place
from mytakeoff.io.signed.standing import STATE, variation_against
from mytakeoff.job.job import Job
from mytakeoff.quotation.content import check_quotable
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.variations.variation import SignedJob, check_signable


def sign_job(folder: str | Path, today: date | None = None) -> SignedJob:
    """Keep a job as it was signed; later, its next variation.

    Parameters
    ----------
    folder : str or Path
        The job's. All that a price needs is copied below its folder ``signed``, and ``state`` in ``job.toml``
        becomes ``signed``: all of it or nothing.
    today : date, optional
        On which it was signed; the clock's day unless given.

    Returns
    -------
    SignedJob
        What is kept. Of a variation it is the job at the signed rates, which the next one is reckoned from.

    Raises
    ------
    TakeoffError
        There is nothing to sign: no wall is priced, or nothing but prices has changed since it was signed;
        the pages that were written say another job than the one that stands here; what was signed before is
        damaged; or nothing can be written there. Then nothing is changed.

    Examples
    --------
    ``mt.sign_job("my-flat")``, once the client has signed
    """
    folder = Path(folder)
    open_job(folder)  # a folder that holds no job is told before anything is written there
    with writing_in(folder):
        now = open_job(folder)
        signed, on = _to_sign(now, folder, today or date.today())
        said = planned(replace(now, state=STATE), folder, now).contents
        changed = {path: content for path, content in said.items() if _differs(path, content)}
        put_all(folder, {**_kept(signed, on, folder), **changed})
    return signed


def _to_sign(now: Job, folder: Path, day: date) -> tuple[SignedJob, str]:
    """What is signed, and the fingerprint of what it is a variation of."""
    last = last_signed(folder)
    if last is None:
        job, number, on = replace(now, state=STATE), 0, ""
        result = evaluate(job)
        check_quotable(result)
        mark = fingerprint_of(job)
    else:
        variation = variation_against(last, now)
        check_signable(variation)
        result = variation.changed
        job, number, on = replace(result.job, state=STATE), variation.number, last.fingerprint
        mark = f"{fingerprint_of(job)} on {on}"
    _check_pages(folder, number, mark)
    return SignedJob(number, job, day, result.cost.total, fingerprint_of(job)), on


def _check_pages(folder: Path, number: int, mark: str) -> None:
    """See that what was written for the client, if anything was, is what is signed.

    Raises
    ------
    TakeoffError
        All of it is of another job, or of this one as it was.
    """
    pages = handed_over(folder, signed_name(number))
    if pages and not any(bears(page, mark) for page in pages):
        raise TakeoffError(
            Mistake(
                f"{in_a_row([page.name for page in pages])} say another job than the one that stands here",
                "what is kept is what stands on the page that was signed",
                "change the job back to what was handed over, or write the page again and have that signed",
                str(folder),
            )
        )


def _kept(signed: SignedJob, on: str, folder: Path) -> Mapping[Path, Content]:
    """A job folder of what was signed, and the note of what it is known by; its files first."""
    place = signed_place(folder, signed.number)
    plan = planned(signed.job, place)
    if fingerprint_of(plan.job) != signed.fingerprint:
        raise TakeoffError(
            Mistake(
                "the job opens as another one from the files that would be kept",
                "what was signed is kept as it was",
                "save the job and sign it again",
                str(place),
            )
        )
    files = {path.relative_to(place).as_posix(): _digest(content) for path, content in plan.contents.items()}
    files.pop(WORKED_OUT_FILE, None)  # worked out again where it is gone
    note = SignedNote(
        signed.signed_on,
        mytakeoff.__version__,
        signed.fingerprint,
        on,
        signed.total,
        signed.job.currency,
        files,
    )
    return {**plan.contents, place / NOTE_FILE: note.text().encode()}


def _digest(content: Content) -> str:
    found = digest(content) if isinstance(content, Path) else sha256(content or b"").hexdigest()
    return found or ""


def _differs(path: Path, content: Content) -> bool:
    return not path.exists() or not isinstance(content, bytes) or path.read_bytes() != content
