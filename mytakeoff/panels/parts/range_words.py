"""How sure the figures are, in words: the line under the headline, and what stands behind it."""

from __future__ import annotations

from collections.abc import Sequence

from mytakeoff.figures.headline import Headline, headline
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.panels.parts.html import element, table
from mytakeoff.ranges.band import Band
from mytakeoff.ranges.fill_range import FillRange
from mytakeoff.ranges.held import held_by
from mytakeoff.ranges.job_ranges import BETWEEN, READING, JobRanges, MixRanges, WallRanges
from mytakeoff.ranges.reading_saves import READING_MIN, reading_price
from mytakeoff.result import Result
from mytakeoff.simulation.next_reading import NextReading
from mytakeoff.simulation.wall_range import FloatedRange

LIKELY = "8 in 10"
SURVEYED = (BETWEEN, READING)
LEAST_SHARE = 0.005  # of a range


def band(values: Band, unit: str, places: int = 0, formats: Formats = HOUSE) -> str:
    """A range as one says it: from where to where, and half-way; in its unit [-].

    Examples
    --------
    >>> band(Band(170.2, 186.0, 215.4), "l")
    '170 to 215 l'
    """
    return f"{ends(values, places, formats)} {unit}"


def ends(values: Band, places: int = 0, formats: Formats = HOUSE) -> str:
    """From where to where, without its unit; one figure where both are the same [-].

    Examples
    --------
    >>> ends(Band(12.0, 12.0, 12.2))
    '12'
    """
    low, high = formats.number(values.low, places), formats.number(values.high, places)
    return low if low == high else f"{low} to {high}"


def priced_l(head: Headline, result: Result) -> str:
    """Litres in the price: through the readings, and for what lies between them."""
    said = result.allowance_words
    return f"{result.job.formats.number(head.litres)} l" + (f" ({said})" if said else "")


def being_worked_out(result: Result) -> str:
    """What stands in the price while it is worked out what lies between the readings."""
    stands = result.job.formats.number(result.allowance_l)
    return f"What lies between the readings is being worked out: so far {stands} l in the price stand for it."


def order(mix: MixRanges) -> str:
    """Bags of one mix to order."""
    count = mix.order.bags
    return f"{count} {'bag' if count == 1 else 'bags'} of {mix.mix.name}"


def line(sure: JobRanges) -> str:
    """The line under the headline, in plain words."""
    formats, head = sure.result.job.formats, headline(sure.result, sure)
    low, _, high = sure.total_money
    ordered = ", ".join(order(mix) for mix in sure.mixes)
    lasts = f" That is {ordered}." if ordered else ""
    enough = f", enough in {formats.number(head.enough_in or 0.0)} of 100 such jobs" if sure.varies else ""
    return (
        f"In the price {priced_l(head, sure.result)}{enough}; likely "
        f"{band(sure.litres, 'l', formats=formats)} ({LIKELY}), {formats.number(low)} to "
        f"{formats.amount(high, 0)} with tax.{lasts}{outside(sure)}"
    )


def outside(sure: JobRanges) -> str:
    """What makes the price lie outside its own range, where it does; it holds litres for what is likely."""
    low, _, high = sure.total_money
    total, job = sure.result.cost.total, sure.result.job
    if low <= total <= high:
        return ""
    others = [name for name, _ in sure.total_shares if name not in SURVEYED]
    where = "below" if total < low else "above"
    by = others[0] if others else "what was entered for high spots between the readings"
    return f" The price of {job.formats.amount(total, 0)} lies {where} its range: mostly by {by}."


def shares(parts: tuple[tuple[str, float], ...], formats: Formats = HOUSE) -> str:
    """What a range comes of, the largest first; nothing under one in a hundred.

    Examples
    --------
    >>> shares((("what lies between the readings", 0.8), ("reading error", 0.2)))
    'what lies between the readings 80 %, reading error 20 %'
    """
    return ", ".join(f"{name} {formats.number(100 * share)} %" for name, share in told_shares(parts))


def told_shares(parts: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """What is told of shares: nothing under one in a hundred [-]."""
    return tuple((name, share) for name, share in parts if share >= LEAST_SHARE)


def chance(share: float, formats: Formats = HOUSE, word: str = "in") -> str:
    """A chance as one says it: never none, never certain."""
    if share < 0.01:
        return f"under 1 {word} 100"
    return f"over 99 {word} 100" if share > 0.99 else f"{formats.number(100 * share)} {word} 100"


def wall(sure: WallRanges, formats: Formats) -> str:
    """How sure one wall is."""
    made = sure.range
    if made.drawn_faces is None:
        return f"{sure.name}: {formats.number(made.priced_l)} l; {_why_certain(made)}."
    litres = band(sure.litres, "l", formats=formats)
    likely = f"{sure.name}: {formats.number(made.priced_l)} l through its readings, likely {litres}."
    if isinstance(made, FillRange):
        return f"{likely} Hollows between the readings are filled as well."
    proud, thin = (chance(share, formats) for share in (made.proud_chance, made.thin_chance))
    return (
        f"{likely} Chance that a high spot stands proud of the plane as priced: "
        f"{proud}; that the plaster is somewhere more than {formats.depth(2.0)} under its least: "
        f"{thin}."
    )


def _why_certain(made: FloatedRange | FillRange) -> str:
    """Why a wall takes what it is priced at."""
    if isinstance(made, FillRange) and not made.hollows:
        return "its holes are as deep as you entered, its skim is even"
    return "so many points leave nothing between them"


def being_wrong(mix: MixRanges, formats: Formats) -> str:
    """What too many and too few bags of a mix cost."""
    choice = mix.order
    cheapest = (
        "which is also the cheapest in the long run"
        if choice.cheapest == choice.bags
        else f"the cheapest in the long run is {choice.cheapest}"
    )
    likely = band(mix.bags, "bags", formats=formats)
    short = chance(choice.short_share, formats)
    left = formats.number(choice.unused_bags, 1) if choice.unused_bags >= 0.05 else "next to none"
    unused, trip = formats.amount(choice.unused_price), formats.money(choice.trip_price)
    return (
        f"{mix.mix.name}: likely {likely}, as density and waste may turn out. With those of the price the "
        f"{choice.bags} bought run short in {short}, {left} are left over on average. A bag left over "
        f"loses {unused}, an extra trip "
        f"costs {trip}: {formats.amount(choice.expected_price)} on average, {cheapest}."
    )


def place_mark(number: int) -> str:
    """What a place to measure next is called, on the map too: digits alone are coats, letters high spots.

    Examples
    --------
    >>> place_mark(2)
    'M2'
    """
    return f"M{number}"


def places(sure: WallRanges | None, formats: Formats) -> str:
    """Where to measure next on a wall, as a table; marked on the map by the same numbers."""
    if sure is None or not sure.readings:
        return element("p", "On this wall no further reading is worth much.")
    rows = (
        (
            place_mark(number),
            formats.length(place.x_m, places=2, column=True),
            formats.length(place.z_m, places=2, column=True),
            _off_line(place, formats, column=True),
            f"{formats.number(100 * place.narrows_share)} %",
            formats.money(saving.total),
        )
        for number, (place, saving) in enumerate(zip(sure.readings, sure.savings, strict=True), start=1)
    )
    saves = f"saves about, {formats.currency}".rstrip(", ")
    at = formats.head("x", "m"), formats.head("z", "m"), formats.head("likely off the line", "mm")
    head = ("place", *at, "takes off what is uncertain", saves)
    return table(head, rows, "mt-coats mt-next", f"Where to measure next on {sure.name}")


def likely(place: NextReading, formats: Formats, *, column: bool = False) -> str:
    """What a reading at a place is likely to be; without millimetres in a hint beside a box that has them."""
    return f"likely {_off_line(place, formats, column=column)}"


def _off_line(place: NextReading, formats: Formats, *, column: bool = False) -> str:
    guess = formats.depth(-place.guess_mm, places=0, column=True)
    return f"{guess} ± {formats.depth(place.sd_mm, places=1, column=column)}"


def worth_reading(sure: JobRanges) -> str:
    """What the best next readings save, and whether that is worth their time; nothing where none is left."""
    best, formats = sure.best_readings, sure.result.job.formats
    if best is None:
        return ""
    price, saved = reading_price(sure.result.job), formats.amount(best.each.total)
    minutes = f"the {formats.short(READING_MIN)} minutes of a plasterer that one takes"
    takes = f"{minutes} ({formats.amount(price)}, a marked default)"
    if best.each.total <= price:
        return (
            f"A further reading saves {saved} on average at most. That is no more than {takes}: stop reading."
        )
    to, save, each = (
        (f" to {place_mark(best.count)}", "save", " each") if best.count > 1 else ("", "saves", "")
    )
    parts = (
        (best.each.bags, "in bags left over and trips for more"),
        (best.each.priced, "in work that is priced and not needed"),
    )
    said = ", ".join(f"{formats.money(amount)} {words}" for amount, words in parts if amount)
    where = f"{place_mark(1)}{to} on {best.wall}"
    return f"{where} {save} about {saved}{each} on average: {said}. That is more than {takes}."


def held(sure: JobRanges) -> tuple[str, ...]:
    """How often ranges like these held the truth, at worst, a sentence for each way of treating a wall."""
    number = sure.result.job.formats.number
    return tuple(
        f"Of walls that were {each.way}, such ranges of litres held the truth in {number(each.of_100)} of "
        f"100 at worst, where 80 are meant: on {each.on}."
        for each in held_by(wall for wall in sure.result.walls if sure.wall(wall.entry.name))
    )


def price_comes_of(sure: JobRanges) -> tuple[str, ...]:
    """What the range of the price comes of, in a sentence; none where nothing varies."""
    formats = sure.result.job.formats
    said = f"The range of the price comes of {shares(sure.total_shares, formats)}."
    return (said,) if sure.total_shares else ()


def behind(sure: JobRanges) -> tuple[str, ...]:
    """What stands behind the picture, in sentences: walls, bags, and where the ranges come from."""
    formats = sure.result.job.formats
    litres = shares(sure.litre_shares, formats)
    return (
        *(wall(each, formats) for each in sure.walls),
        *(being_wrong(mix, formats) for mix in sure.mixes),
        *((f"The range of the litres comes of {litres}.",) if sure.litre_shares else ()),
        *price_comes_of(sure),
        "Roughness shorter than a hand is not in any grid of readings; what is taken for it is a marked "
        "default. Sweeping with a straightedge says more.",
    )
