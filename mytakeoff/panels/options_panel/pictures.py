"""Drawings of the options: walls on one scale, tapers at one ratio, curve, bars, and the paper sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np
from matplotlib.figure import Figure

from mytakeoff.audience import CLIENT, Audience, headed, named_for
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.charts.drawing.palette import ramp_top
from mytakeoff.charts.maps import wall_strip
from mytakeoff.charts.maps.small_maps import SmallMap
from mytakeoff.charts.maps.wall_strip import StripWall
from mytakeoff.charts.options import driver_bars, price_curve, row_drawings, sheet
from mytakeoff.charts.options.price_points import Curve, OptionMark, describe_curve
from mytakeoff.charts.options.sheet import OptionRow, SheetHeading
from mytakeoff.charts.options.wedge import WedgeDrawing
from mytakeoff.charts.plan import page as plan_page
from mytakeoff.figures.in_words import facts
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.job import Job
from mytakeoff.job.ranges import DENSITY, LABOUR, WASTE, Range
from mytakeoff.job.treatments import PlumbThing
from mytakeoff.options import in_words
from mytakeoff.options.compare import OptionResult
from mytakeoff.options.price_curve import CurvePoint
from mytakeoff.options.what_is_left import Remains
from mytakeoff.panels.options_panel.words import (
    BEST,
    days_lines,
    shows_lines,
    verdict_words,
    wall_lines,
)
from mytakeoff.panels.parts.html import Html, element
from mytakeoff.panels.parts.words import letter
from mytakeoff.ranges.drivers import Driver
from mytakeoff.ranges.job_ranges import JobRanges
from mytakeoff.settingout.room_setting import rooms_set_out
from mytakeoff.treatment.wall_result import WallResult

Ranges = Mapping[str, JobRanges]  # by the option's name, as far as they are worked out
Placed = Sequence[tuple[int, OptionResult]]  # with its place in the table, which gives its letter
RANGE_NOTE = "Under each price: where eight in ten such jobs end."


def on_wall(option: OptionResult, name: str) -> tuple[WallResult, Remains]:
    """What an option does to one wall, and what it leaves there."""
    pairs = zip(option.walls, option.remains, strict=True)
    return next((wall, left) for wall, left in pairs if wall.entry.name == name)


def small_map(wall: WallResult, title: str, formats: Formats) -> SmallMap:
    """The thickness that an option puts on one wall."""
    return SmallMap(title, wall.surface.x_m, wall.surface.z_m, wall.build_up.thickness_mm, formats)


def thickest_mm(options: Sequence[OptionResult]) -> float:
    """The greatest thickness on any wall in any of the ways [mm]."""
    return max((option.result.max_mm for option in options), default=0.0)


def common_top(options: Sequence[OptionResult]) -> float:
    """Thickness at the dark end of the one scale [mm]."""
    return ramp_top(thickest_mm(options))


def strip(option: OptionResult, top_mm: float) -> str:
    """All walls of one option, on the scale that ends at `top_mm` [mm]."""
    pairs = zip(option.walls, option.remains, strict=True)
    return wall_strip.strip_svg(
        [
            StripWall(
                at,
                wall.entry.wall,
                small_map(wall, option.name, option.result.job.formats),
                in_words.wall_passes(wall, left),
                in_words.wall_untold(wall, left),
            )
            for at, (wall, left) in enumerate(pairs, start=1)
        ],
        top_mm,
    )


def things(job: Job) -> list[PlumbThing]:
    """What stands plumb against a wall that is priced."""
    priced = {wall.name for wall in job.priced_walls}
    return [thing for thing in job.compare.beside if thing.wall in priced]


def wedge(option: OptionResult, thing: PlumbThing) -> WedgeDrawing | None:
    """The gap beside one plumb thing, where the wall is known there."""
    _, left = on_wall(option, thing.wall)
    there = [each for each in option.result.job.compare.beside if each.wall == thing.wall]
    if thing not in there or not left.wedges:
        return None
    gap, formats = left.wedges[there.index(thing)], option.result.job.formats
    if not gap.z_m:
        return None
    return WedgeDrawing(thing.name, max(gap.z_m), np.array(gap.z_m), np.array(gap.gap_mm), formats)


def wedges(options: Sequence[OptionResult], thing: PlumbThing | None) -> dict[str, WedgeDrawing]:
    """The gap beside one plumb thing in every way that it is known in, by the option's name."""
    if thing is None:
        return {}
    found = {option.name: wedge(option, thing) for option in options}
    return {name: gap for name, gap in found.items() if gap is not None}


def exaggeration(gaps: Mapping[str, WedgeDrawing]) -> int:
    """How much wider than true the gap is drawn in every row [-]."""
    return row_drawings.row_exaggeration(list(gaps.values()))


def beside(gap: WedgeDrawing | None, times: int, salt: str) -> str:
    """The gap of one row, nothing where it is not known."""
    return "" if gap is None else row_drawings.row_taper(gap, times, salt)


def band(option: OptionResult, sure: Ranges, dearest: Decimal) -> str:
    """The price and its range on the scale of all options; nothing where nothing is paid."""
    ends = _ends(option, sure)
    return row_drawings.band_svg(option.total, *ends, dearest, option.result.job.formats) if ends else ""


def dearest(options: Sequence[OptionResult], sure: Ranges) -> Decimal:
    """End of the scale of prices."""
    prices = [each for option in options for each in (option.total, *_ends(option, sure))]
    return max(prices, default=Decimal(1))


def key(top_mm: float, formats: Formats) -> str:
    """The scale of colours under the table."""
    said = "dashed frame: the wall fails; striped: not priced, the survey does not reach it"
    scale = Html(wall_strip.key_svg(top_mm, formats))
    return element(
        "div",
        element("span", formats.head("thickness of plaster", "mm")),
        scale,
        element("span", said),
        css="mt-key",
    )


def true_tapers(options: Placed, thing: PlumbThing | None) -> str:
    """Every option beside one plumb thing, at true ratio."""
    found = wedges([option for _, option in options], thing)
    if thing is None or not found:
        return element("p", "Nothing plumb is named yet: the estimator's view has a place for it.")
    named = [
        (f"{letter(at)}  {option.name}", found[option.name]) for at, option in options if option.name in found
    ]
    said = f"The {thing.name} on {thing.wall} from the side, at true ratio; hatched is the gap behind it."
    return element("p", said) + element("div", Html(row_drawings.true_tapers(named)), css="mt-true")


def marks(options: Placed, sure: Ranges) -> list[OptionMark]:
    """The options as lettered marks on the budget curve."""
    return [
        OptionMark(letter(at), option.name, option.worst_gap_mm, option.total, *_ends(option, sure))
        for at, option in options
    ]


def _ends(option: OptionResult, sure: Ranges) -> tuple[()] | tuple[Decimal, Decimal]:
    """The ends of an option's range, where it has one and costs anything."""
    found = sure.get(option.name)
    if found is None or option.total == 0:
        return ()
    low, _, high = found.total_money
    return low, high


def curve_svg(points: Sequence[CurvePoint], options: Placed, sure: Ranges, job: Job) -> str:
    """The budget curve with the options on it."""
    curve = Curve(
        np.array([point.gap_mm for point in points]),
        np.array([float(point.total) for point in points]),
        job.formats,
        job.compare.straightedge_m,
        walls=tuple(point.wall for point in points) if len(job.priced_walls) > 1 else (),
    )
    marked = marks(options, sure)
    return page_svg(price_curve.make(curve, marked), "budget-curve", describe_curve(curve, marked))


def drivers_svg(drivers: Sequence[Driver], formats: Formats) -> str:
    """How far each input moves the total."""
    bars = [
        driver_bars.Bar(
            driver.name,
            *end_words(driver, formats),
            driver.low_total - driver.base_total,
            driver.high_total - driver.base_total,
        )
        for driver in drivers
    ]
    base = drivers[0].base_total
    words = driver_bars.describe_drivers(bars, base, formats)
    return page_svg(driver_bars.make(bars, base, formats), "price-drivers", words)


def end_words(driver: Driver, formats: Formats = HOUSE) -> tuple[str, str]:
    """Both ends of what an input may be: as its range has it, or the plaster on all walls."""
    if driver.range is not None:
        each = driver.range
        return range_words(each, each.low, formats), range_words(each, each.high, formats)
    low, high = (f"{formats.number(litres)} l" for litres in driver.litres or (0.0, 0.0))
    return low, high


def range_words(each: Range, value: float, formats: Formats) -> str:
    """An end of a range as a hand would say it."""
    if each.name in (DENSITY, LABOUR):
        return f"× {formats.short(value)}"
    sign = "+" if value > 0 else "−" if value < 0 else ""
    if each.name == WASTE:
        return f"{sign}{formats.short(abs(value) * 100)} %"
    return f"{sign}{formats.depth(abs(value))}"


@dataclass(frozen=True)
class SheetView:
    """What the options are put on paper with.

    Parameters
    ----------
    wall : str
        Whose maps are shown.
    thing : PlumbThing or None
        Beside which the gap is drawn, if it stands against that wall.
    day : date
        The first on site.
    audience : "estimator" or "client"
        The client's sheet tells no litres and bags.
    """

    wall: str
    thing: PlumbThing | None
    day: date
    audience: Audience


def sheets(options: Placed, best: OptionResult | None, sure: Ranges, view: SheetView) -> tuple[Figure, ...]:
    """The options on one wall as pages of A4, for PNG and SVG."""
    first = options[0][1]
    job, wall = first.result.job, on_wall(first, view.wall)[0].entry.wall
    thing = view.thing if view.thing is not None and view.thing.wall == view.wall else None
    found = wedges([option for _, option in options], thing)
    rows = [
        _sheet_row(at, option, BEST if option is best else "", _ends(option, sure), found, view)
        for at, option in options
    ]
    priced = "whole job" if not job.only else ", ".join(job.only)
    judged = in_words.judged_by(job)
    subject = f"Maps: {view.wall}. Price: {priced}, with tax. {judged[0].upper()}{judged[1:]}."
    title, notes = (
        headed(view.audience, job.title),
        (RANGE_NOTE, *first.result.not_read, *_left_out(options), *first.result.notes),
    )
    return sheet.make_pages(
        wall, rows, SheetHeading(title, subject, job.formats.day(view.day), notes, job.formats)
    )


def paper_names(pages: Sequence[Figure], options: Placed, view: SheetView) -> Iterator[tuple[str, Figure]]:
    """The sheets of options with their files' names, then the plans of rooms that an option brings square."""
    for number, page in enumerate(pages, start=1):
        stem = "options" if len(pages) == 1 else f"options-{number}"
        yield named_for(f"{stem}.svg", view.audience), page
    for number, page in enumerate(_room_plans(options, view), start=1):
        yield named_for(f"room-plan-{number}.svg", view.audience), page


def _room_plans(options: Placed, view: SheetView) -> tuple[Figure, ...]:
    """The rooms as the first option has them that brings any square."""
    for _, option in options:
        job = option.result.job
        rooms = [room for room in rooms_set_out(job, option.result.walls) if room.squared]
        if rooms:
            made = (
                plan_page.make_pages(room, job.title, job.formats.day(view.day), view.audience)
                for room in rooms
            )
            return tuple(page for pages in made for page in pages)
    return ()


def _left_out(options: Placed) -> tuple[str, ...]:
    """What is in none of the prices, in one sentence."""
    worked = [option.cost.excluded for _, option in options if option.total > 0]
    everywhere = [item for item in worked[0] if all(item in each for each in worked)] if worked else []
    return (f"Not in the prices: {'; '.join(everywhere)}.",) if everywhere else ()


def _sheet_row(
    at: int,
    option: OptionResult,
    mark: str,
    ends: tuple[()] | tuple[Decimal, Decimal],
    gaps: Mapping[str, WedgeDrawing],
    view: SheetView,
) -> OptionRow:
    formats, told = option.result.job.formats, facts(option.result)
    bought = (f"{told['litres']}, {told['bags']}",) if view.audience != CLIENT else ()
    ranged = (f"{formats.number(ends[0])} to {formats.amount(ends[1], 0)}",) if ends else ()
    return OptionRow(
        letter(at),
        option.name,
        small_map(on_wall(option, view.wall)[0], option.name, formats),
        gaps.get(option.name),
        tuple(shows_lines(option)),
        formats.amount(option.total, 0),
        (*ranged, *days_lines(option, option.headline_from(view.day), view.audience), *bought),
        verdict_words(option),
        mark,
        tuple(wall_lines(option)),
    )
