"""The account of a finished job as files: a row a line as CSV; beside it sums and causes in words."""

from __future__ import annotations

from pathlib import Path

from mytakeoff.account.account import Account
from mytakeoff.account.words import account_words, margin_words, signed_words
from mytakeoff.audience import ESTIMATOR, check_name
from mytakeoff.errors import TakeoffError
from mytakeoff.io.files.atomic import write_all
from mytakeoff.io.files.csv_table import companion_bytes, companion_path, csv_bytes
from mytakeoff.io.signed.kept import last_signed


def export_account(account: Account, path: str | Path, *, decimal_comma: bool | None = None) -> Path:
    """Write an account as CSV, exactly as `account.to_frame()` has it, and its companion text.

    Parameters
    ----------
    account : Account
    path : str or Path
        Of the table, in a folder that exists.
    decimal_comma : bool or None
        For spreadsheets that write decimals so; None: as the job has it.

    Returns
    -------
    Path
        The companion text, beside the table.

    Raises
    ------
    TakeoffError
        A name for the client, or a file that cannot be written; then neither is.
    """
    check_name(path, ESTIMATOR)
    job = account.agreed.job
    comma = job.decimal_comma if decimal_comma is None else decimal_comma
    text = companion_bytes(
        ESTIMATOR,
        f"{job.title}: account",
        f"{job.formats.amount(account.spent)} before tax",
        [*account_words(account), *filter(None, [margin_words(account), against_signed(account)])],
        [],
        [],
    )
    companion = companion_path(path)
    write_all({Path(path): csv_bytes(account.to_frame(), comma), companion: text})
    return companion


def against_signed(account: Account) -> str:
    """How what an account calls agreed stands to what is signed in its job's folder; "" where it is that."""
    folder = account.agreed.job.folder
    try:
        signed = last_signed(folder) if folder else None
    except TakeoffError as error:
        return str(error)
    return "" if signed is None else signed_words(account, signed.total, signed.signed_on)
