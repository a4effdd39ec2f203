"""What surveys say of the plaster that is on a wall, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mytakeoff.account.measured_again import MeasuredAgain
from mytakeoff.change.change import Change
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.formats.inches import MINUS


def measured_words(measured: MeasuredAgain, formats: Formats = HOUSE) -> tuple[str, ...]:
    """What two surveys of a wall, or three, come to: means, litres, how the fixed places agree.

    Parameters
    ----------
    measured : MeasuredAgain
    formats : Formats

    Returns
    -------
    tuple of str
        Nothing of surveys that are not tied: the notices of each change say why, which places moved and
        where nothing is told; they are not said again here.
    """
    return (*_laid(measured, formats), *_settled(measured, formats))


def _laid(measured: MeasuredAgain, formats: Formats) -> Iterator[str]:
    laid = measured.laid
    if laid is None or laid.mean_mm is None:
        return
    told = f"{formats.number(float(laid.area_m2.sum()), 1)} m²"
    yield (
        f"Put on: {_sure_mm(laid.mean_mm, laid, formats)} on average over {told}, {_litres(laid, formats)}; "
        "95 of 100 such intervals hold it."
    )
    if measured.cut_mm > 0:
        cut, put_on = (formats.depth(mm or 0.0, places=1) for mm in (measured.cut_mm, measured.put_on_mm))
        yield f"That is net of {cut} taken down first, as priced: {put_on} of plaster."
    yield from _agreement("second", laid, measured.laid_by, formats)


def _settled(measured: MeasuredAgain, formats: Formats) -> Iterator[str]:
    settled = measured.settled
    if settled is None or settled.mean_mm is None:
        return
    way = "gone back" if settled.mean_mm <= 0 else "come forward"
    yield f"Since then its face has {way} by {_sure_mm(abs(settled.mean_mm), settled, formats)} on average."
    yield from _agreement("third", settled, measured.settled_by, formats)


def _sure_mm(mean_mm: float, change: Change, formats: Formats) -> str:
    """A mean and its expanded uncertainty."""
    return f"{_signed(mean_mm, formats)} ± {formats.depth(change.uncertainty_mm or 0.0, places=1)}"


def _signed(mm: float, formats: Formats) -> str:
    return f"{MINUS if mm < 0 else ''}{formats.depth(abs(mm), places=1)}"


def _litres(change: Change, formats: Formats) -> str:
    volume_l, off_l = change.volume_l or 0.0, change.uncertainty_l or 0.0
    places = 1 if off_l < 1 else 0
    sign = MINUS if volume_l < 0 else ""
    return f"{sign}{formats.number(abs(volume_l), places)} l ± {formats.number(off_l, places)} l"


def _agreement(which: str, change: Change, names: Sequence[str], formats: Formats) -> Iterator[str]:
    """How much further towards the room each fixed place reads than the others say."""
    rows = zip(names, change.residual_mm.tolist(), strict=True)
    each = [f"{name} {_more(mm, formats)}{_aside(nth, change)}" for nth, (name, mm) in enumerate(rows)]
    if each:
        yield f"Fixed places of the {which} survey against what the others say: {', '.join(each)}."


def _more(mm: float, formats: Formats) -> str:
    """How far a place is off, with its sign."""
    said = formats.depth(abs(mm), places=1)
    return said if abs(mm) < 0.05 else f"{'+' if mm > 0 else MINUS}{said}"


def _aside(nth: int, change: Change) -> str:
    return " (put aside)" if nth in change.moved else ""
