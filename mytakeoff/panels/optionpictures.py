"""Drawings of the options: small maps on one scale, tapers at one ratio, curve, bars, and the paper sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
from matplotlib.figure import Figure

from mytakeoff.charts import budgetcurve, driverbars, optionsheet, smallmaps, taper
from mytakeoff.charts.budgetpoints import Curve, OptionMark, describe_curve
from mytakeoff.charts.lettering import page_svg
from mytakeoff.charts.optionsheet import Heading, OptionRow
from mytakeoff.charts.smallmaps import SmallMap
from mytakeoff.drivers import Driver, PriceBand
from mytakeoff.options import OptionResult
from mytakeoff.panels.optionwords import Pictures
from mytakeoff.panels.words import letter
from mytakeoff.pricecurve import CurvePoint
from mytakeoff.remains import Remains
from mytakeoff.units import say
from mytakeoff.wallresult import WallResult

SMALL_PX, TAPER_PX, TAPER_HIGH_PX = 150.0, 150.0, 190.0


def on_wall(option: OptionResult, name: str) -> tuple[WallResult, Remains]:
    """What an option does to one wall, and what it leaves there."""
    pairs = zip(option.walls, option.remains, strict=True)
    return next((wall, left) for wall, left in pairs if wall.entry.name == name)


def small_map(option: OptionResult, name: str, title: str) -> SmallMap:
    """The thickness that an option puts on one wall."""
    wall, _ = on_wall(option, name)
    return SmallMap(title, wall.surface.x_m, wall.surface.z_m, wall.build_up.thickness_mm)


def wedge(option: OptionResult, name: str) -> taper.Wedge | None:
    """The gap beside the first plumb thing on one wall, where one was named and is known there."""
    _, left = on_wall(option, name)
    things = [thing for thing in option.result.job.compare.beside if thing.wall == name]
    if not left.wedges or not left.wedges[0].z_m:
        return None
    gap = left.wedges[0]
    return taper.Wedge(things[0].name, max(gap.z_m), np.array(gap.z_m), np.array(gap.gap_mm))


def pictures(options: Sequence[OptionResult], name: str) -> dict[str, Pictures]:
    """Small map and taper of every option on one wall, by the option's name; one scale, one ratio."""
    maps = {option.name: small_map(option, name, option.name) for option in options}
    wedges = {option.name: wedge(option, name) for option in options}
    top = smallmaps.common_top(list(maps.values()))
    times = taper.common_exaggeration(
        [each for each in wedges.values() if each is not None], TAPER_PX, TAPER_HIGH_PX
    )
    drawn = {}
    for at, option in enumerate(options):
        wall, salt = on_wall(option, name)[0].entry.wall, f"option-{at}"
        small = smallmaps.one(wall, maps[option.name], top, SMALL_PX)
        words = smallmaps.describe_small_maps(wall, [maps[option.name]])
        gap = wedges[option.name]
        beside = ""
        if gap is not None:
            sheet = taper.make(gap, exaggeration=times, width_px=TAPER_PX, height_px=TAPER_HIGH_PX)
            beside = page_svg(sheet, f"{salt}-taper", taper.describe_taper(gap))
        drawn[option.name] = Pictures(page_svg(small, f"{salt}-map", words), beside)
    return drawn


def marks(options: Sequence[OptionResult]) -> list[OptionMark]:
    """The options as lettered marks on the budget curve."""
    return [
        OptionMark(letter(at), option.name, option.worst_gap_mm, option.total)
        for at, option in enumerate(options)
    ]


def curve_svg(
    points: Sequence[CurvePoint], options: Sequence[OptionResult], currency: str, edge_m: float
) -> str:
    """The budget curve with the options on it."""
    curve = Curve(
        np.array([point.gap_mm for point in points]),
        np.array([float(point.total) for point in points]),
        currency,
        edge_m,
    )
    words = describe_curve(curve, marks(options))
    return page_svg(budgetcurve.make(curve, marks(options)), "budget-curve", words)


def drivers_svg(drivers: Sequence[Driver], currency: str) -> str:
    """How far each input moves the total."""
    bars = [
        driverbars.Bar(
            driver.name,
            f"{driver.range.low:g}",
            f"{driver.range.high:g}",
            driver.low_total - driver.base_total,
            driver.high_total - driver.base_total,
        )
        for driver in drivers
    ]
    base = drivers[0].base_total
    words = driverbars.describe_drivers(bars, base, currency)
    return page_svg(driverbars.make(bars, base, currency), "price-drivers", words)


def sheets(
    options: Sequence[OptionResult],
    best: OptionResult | None,
    bands: Mapping[str, PriceBand],
    name: str,
    day: date,
) -> tuple[Figure, ...]:
    """The options on one wall as pages of A4, for PNG and SVG."""
    job = options[0].result.job
    wall = on_wall(options[0], name)[0].entry.wall
    rows = [_sheet_row(at, option, best, bands.get(option.name), name) for at, option in enumerate(options)]
    subject = f"{name}; whole job priced with tax, grade: {job.compare.grade}"
    return optionsheet.make_pages(wall, rows, Heading(job.title, subject, f"{day:%d.%m.%Y}", job.notes))


def _sheet_row(
    at: int, option: OptionResult, best: OptionResult | None, band: PriceBand | None, name: str
) -> OptionRow:
    _, left = on_wall(option, name)
    currency, edge = option.cost.currency, option.result.job.compare.straightedge_m
    facts = (
        f"gap under a {edge:g} m edge {left.worst_gap_mm:.0f} mm here",
        f"up to {option.worst_gap_mm:.0f} mm on the worst wall",
        f"room lost {option.room_lost_mm:.0f} mm",
        f"{option.days:g} days on site",
        f"{option.days_to_paint} days until paint",
    )
    return OptionRow(
        letter(at),
        option.name,
        small_map(option, name, option.name),
        wedge(option, name),
        facts,
        f"{say(option.total)} {currency}",
        f"{say(band.p10)} to {say(band.p90)} {currency}" if band else "",
        "passes" if option.passes else "fails",
        "least price that passes" if option is best else "",
    )
