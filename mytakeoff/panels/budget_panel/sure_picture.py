"""How sure the figures are, as a picture: bands, bags and what the ranges come of, each with its words."""

from __future__ import annotations

from collections.abc import Sequence

from mytakeoff.charts.sure.strips import BandRow, Scale, band_strip, scale_strip, share_strip
from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts import range_words
from mytakeoff.panels.parts.html import Html, element, paragraphs
from mytakeoff.ranges.bags_to_order import BagChance
from mytakeoff.ranges.job_ranges import ALL_WALLS, JobRanges, MixRanges

KEY = (
    "Pale bar: where 8 in 10 end. Gap in it: as many above as below. Heavy stroke: what is priced. "
    "0: what the readings say."
)
BAGS_VARY = (
    "How many may be needed, as density and waste may turn out too. Full of ink: what is ordered. Mixed as "
    "priced: with the density and waste of the price."
)


def picture(sure: JobRanges) -> Html:
    """The whole picture; nothing of it where no wall is worked on."""
    if not sure.walls:
        return Html()
    formats = sure.result.job.formats
    parts = [*_litres(sure, formats), *_price(sure, formats), *_bags(sure.mixes, formats)]
    for title, shares in (
        ("What the range of the litres comes of", sure.litre_shares),
        ("What the range of the price comes of", sure.total_shares),
    ):
        parts += _shares(title, shares, formats)
    return element("div", *parts, paragraphs(range_words.held(sure)), css="mt-sure")


def _titled(title: str, hint: str, *parts: str) -> list[str]:
    told = [element("p", hint, css="mt-hint")] if hint else []
    return [element("h3", title), *told, *parts]


def _row(name: str, words: str, strip: str, css: str = "") -> Html:
    """A line of words over its strip."""
    said = element("span", name), element("span", words, css="mt-number")
    return element("li", *said, Html(strip), css=f"mt-sure-row {css}".strip())


def _rows(rows: Sequence[Html]) -> Html:
    return element("ul", *rows, css="mt-sure-rows")


def _litres(sure: JobRanges, formats: Formats) -> list[str]:
    """Each wall's band and that of all walls, on one scale of litres beyond what the readings say."""
    rows = [(each, BandRow(*each.beyond)) for each in sure.litre_bands]
    scale = Scale.over([row for _, row in rows], 0.0)
    drawn = [
        _row(
            each.name,
            f"likely {range_words.band(each.likely, 'l', formats=formats)}, "
            f"priced {formats.number(each.priced_l)}",
            band_strip(row, scale),
            "mt-sure-all" if each.name == ALL_WALLS else "",
        )
        for each, row in rows
    ]
    return _titled("Litres beyond what the readings say", KEY, _axis(scale, formats), _rows(drawn))


def _axis(scale: Scale, formats: Formats) -> Html:
    return element("div", Html(scale_strip(scale, formats)), aria_hidden="true")


def _price(sure: JobRanges, formats: Formats) -> list[str]:
    """The band of the price, on a scale of its own."""
    total = sure.result.cost.total
    row = BandRow(*(float(each) for each in (*sure.total_money, total)))
    likely = range_words.ends(sure.total, formats=formats)
    words, scale = f"likely {likely}, priced {formats.amount(total, 0)}", Scale.over([row])
    return _titled(
        "Price with tax", "", _axis(scale, formats), _rows([_row("whole job", words, band_strip(row, scale))])
    )


def _bags(mixes: Sequence[MixRanges], formats: Formats) -> list[str]:
    """The numbers of bags that may be needed of each mix, what is ordered marked."""
    if not mixes:
        return []
    boxes = [element("div", *_mix(mix, formats), css="mt-sure-mix") for mix in mixes]
    return _titled("Bags", BAGS_VARY, element("div", *boxes, css="mt-sure-mixes"))


def _mix(mix: MixRanges, formats: Formats) -> list[Html]:
    enough = range_words.chance(mix.enough_share, formats, "of")
    as_priced = range_words.chance(1.0 - mix.order.short_share, formats, "of")
    said = f"{range_words.order(mix)} ordered: enough in {enough}; mixed as priced, {as_priced}"
    rows = [_count(each, each.holds(mix.order.bags), formats) for each in mix.chances]
    return [element("p", said), _rows(rows)]


def _count(chance: BagChance, ordered: bool, formats: Formats) -> Html:
    """One number of bags, or several that stand together: a bar between its name and its words."""
    to = f" to {chance.last}" if chance.last > chance.first else ""
    name = element("span", f"{chance.first}{to}" + (", ordered" if ordered else ""))
    words = element("span", range_words.chance(chance.share, formats), css="mt-number")
    return element("li", name, Html(share_strip(chance.share, marked=ordered)), words, css="mt-sure-bar")


def _shares(title: str, shares: Sequence[tuple[str, float]], formats: Formats) -> list[str]:
    """What a range comes of, as lengths; nothing where nothing varies."""
    rows = [
        _row(name, f"{formats.number(100 * share)} %", share_strip(share))
        for name, share in range_words.told_shares(shares)
    ]
    return _titled(title, "", _rows(rows)) if rows else []
