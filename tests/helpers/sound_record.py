"""What holds of what was written down of a finished job, whatever it says: kept whole, finite, adding up."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from sound_result import finite

import mytakeoff as mt
from mytakeoff.account.check import check_finished
from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
from mytakeoff.account.measured_words import measured_words
from mytakeoff.account.settle import settle_up
from mytakeoff.account.settling import shrinkage_seen
from mytakeoff.account.words import account_words
from mytakeoff.change.change import Change
from mytakeoff.finished.record import ReturnTrip
from mytakeoff.io.finished.after_surveys import read_after
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished


def _bytes_in(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def check_kept(folder: Path) -> None:
    """Saved as it was opened no byte changes; saved with one trip more, it opens so or nothing changed."""
    before = _bytes_in(folder)
    try:
        finished = open_finished(folder)
        save_finished(finished, folder, finished)
        assert _bytes_in(folder) == before
        more = replace(finished, trips=(*finished.trips, ReturnTrip("forgotten", 1.0)))
        save_finished(more, folder, finished)
    except mt.TakeoffError:
        assert _bytes_in(folder) == before
        raise
    assert open_finished(folder) == more
    (folder / FINISHED_FILE).write_bytes(before[folder / FINISHED_FILE])
    assert _bytes_in(folder) == before


def check_settled(result: mt.Result, folder: Path) -> None:
    """What surveys say of the walls is finite, and the account adds up to the cent."""
    job, finished = result.job, open_finished(folder)
    check_finished(result, finished, FINISHED_FILE)
    measured = measure_again(job, finished, read_after(job, finished, folder), FINISHED_FILE)
    for each in measured:
        _check_measured(each)
    known = with_measured(finished, measured)
    account = settle_up(job, known, FINISHED_FILE)
    assert sum(account.parts.values()) == account.difference
    assert account.left == account.income - account.spent
    assert all(account_words(account))
    for seen in shrinkage_seen(result, known):
        finite(seen.share)


def _check_measured(measured: MeasuredAgain) -> None:
    for change in filter(None, (measured.laid, measured.settled)):
        _check_change(change)
    assert all(measured_words(measured))
    finite(measured.cut_mm, low=0.0)


def _check_change(change: Change) -> None:
    told = change.area_m2 > 0
    assert np.isfinite(change.thickness_mm[told]).all()
    assert np.isfinite(change.off_mm[told]).all()
    if change.mean_mm is not None:
        finite(change.mean_mm)
        finite(change.uncertainty_mm or 0.0, low=0.0)
    assert all(change.notices)
