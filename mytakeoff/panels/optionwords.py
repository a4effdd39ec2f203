"""The options side by side as HTML: a row an option, and everything about them for the estimator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from mytakeoff.drivers import PriceBand
from mytakeoff.options import OptionResult, Refused
from mytakeoff.panels.words import letter
from mytakeoff.remains import Remains
from mytakeoff.units import say

Option = OptionResult | Refused


@dataclass(frozen=True)
class Pictures:
    """Small map and taper of one option, as SVG that says in words what it shows."""

    small: str
    taper: str


def price_words(option: OptionResult, band: PriceBand | None) -> str:
    """Price with tax, and the range that eight of ten prices fall in."""
    currency = escape(option.cost.currency)
    said = f"<strong>{say(option.total)} {currency}</strong>"
    if band is None:
        return said
    return f"{said}<br>{say(band.p10)} to {say(band.p90)} {currency}"


def shows_words(option: OptionResult, left: Remains, wall: str) -> str:
    """What still shows: the greatest gap under the edge anywhere, and on the wall in the picture."""
    edge = option.result.job.compare.straightedge_m
    here = f"{escape(wall)}: {left.worst_gap_mm:.0f} mm"
    return f"gap under a {edge:g} m edge up to {option.worst_gap_mm:.0f} mm ({here})"


def room_words(option: OptionResult) -> str:
    """Room lost, and what has to be packed out or moved."""
    deepest = max((lining.greatest_mm for left in option.remains for lining in left.linings), default=0.0)
    moved = sum(wall.entry.sockets + wall.entry.radiators for wall in option.walls if wall.worked)
    parts = [f"{option.room_lost_mm:.0f} mm"]
    if deepest >= 0.5:
        parts.append(f"linings packed out by up to {deepest:.0f} mm")
    if moved:
        parts.append(f"{moved} sockets or radiators to move")
    return "<br>".join(parts)


def days_words(option: OptionResult, start: date) -> str:
    """Days on site, and the first day on which the walls can be painted."""
    if option.days == 0:
        return "none"
    paint = start + timedelta(days=option.days_to_paint)
    return f"{option.days:g} days on site<br>paint from {paint:%d.%m.%Y}"


def verdict_words(option: OptionResult, best: OptionResult | None) -> str:
    """Passes or fails, and whether it is the best, in words."""
    mark = "<strong>least price that passes</strong><br>" if option is best else ""
    return f"{mark}{escape(option.verdict)}"


HEAD = (
    "option",
    "what goes on",
    "price with tax",
    "what still shows",
    "room lost, what moves",
    "days",
    "grade",
)


def client_table(
    options: Sequence[Option],
    best: OptionResult | None,
    bands: Mapping[str, PriceBand],
    pictures: Mapping[str, Pictures],
    wall: str,
    start: date,
) -> str:
    """A row an option, five things in each and no more."""
    rows = "".join(
        _client_row(index, option, best, bands, pictures, wall, start) for index, option in enumerate(options)
    )
    head = "".join(f"<th scope='col'>{text}</th>" for text in HEAD)
    return f"<table class='mt-options'><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _client_row(
    index: int,
    option: Option,
    best: OptionResult | None,
    bands: Mapping[str, PriceBand],
    pictures: Mapping[str, Pictures],
    wall: str,
    start: date,
) -> str:
    name = f"<th scope='row'>{letter(index)}&nbsp; {escape(option.name)}</th>"
    if isinstance(option, Refused):
        return f"<tr>{name}<td colspan='6'>Cannot be done: {escape(str(option.why))}</td></tr>"
    at = [each.entry.name for each in option.walls].index(wall)
    drawn = pictures.get(option.name)
    cells = (
        drawn.small if drawn else "",
        price_words(option, bands.get(option.name)),
        shows_words(option, option.remains[at], wall) + (drawn.taper if drawn else ""),
        room_words(option),
        days_words(option, start),
        verdict_words(option, best),
    )
    best_row = " class='mt-best'" if option is best else ""
    return f"<tr{best_row}>{name}{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


COLUMNS = {
    "bags": "bags",
    "days": "days",
    "days_to_paint": "days to paint",
    "dry_kg": "kg on the walls",
    "dry_kg_per_m2": "kg/m²",
    "room_lost_mm": "room lost, mm",
    "greatest_gap_mm": "greatest gap, mm",
    "gap_95_mm": "95 % of gaps under, mm",
    "over_tolerance_share": "area over, %",
    "belly_mm": "greatest bulge, mm",
    "lean_mm": "lean, mm",
}


def estimator_table(options: Sequence[Option]) -> str:
    """Everything else, a row an option."""
    head = "".join(f"<th scope='col'>{title}</th>" for title in ("option", *COLUMNS.values()))
    rows = "".join(
        f"<tr><th scope='row'>{letter(index)}&nbsp; {escape(option.name)}</th>"
        + "".join(f"<td>{_cell(name, option.row[name])}</td>" for name in COLUMNS)
        + "</tr>"
        for index, option in enumerate(options)
    )
    return f"<table class='mt-options mt-figures'><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _cell(name: str, value: object) -> str:
    if value is None:
        return "not known"
    number = float(str(value)) * (100 if name.endswith("_share") else 1)
    return say(number, 1 if name.endswith(("_mm", "_share", "_m2")) or name == "days" else 0)
