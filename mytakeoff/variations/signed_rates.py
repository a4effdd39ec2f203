"""A job as it stands now, at the rates of the one that was signed.

Notes
-----
What is signed is work at a price, and a later list of prices is no reason to pay more for it: whatever a
price is made by is taken from the signed job, what is done from the one that stands now. Each field of a job
is one of these, or says nothing of the price at all; a test holds the three lists to the fields.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from mytakeoff.cost.cost import CostLine
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job.edits import mixes_of, with_mix
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.packs import Buying, PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.measure.line import SUNDRIES

# What a price is made by, beside prices, packs, who sells them, and the figures of mixes.
RATES = (
    "margins", "rates", "waste_share", "patch_waste_share", "bag_slack_share", "opening_rule", "sureness",
    "loose_growth_share", "missed_high_spot_mm", "cell_m", "reach_m", "currency", "money_places",
)  # fmt: skip
# What is done, and what it is bought by: there the signed job goes first.
WORK = (
    "rooms", "walls", "system", "plane", "rails", "extras", "reveal_thickness_mm", "only", "treatment",
    "calendar", "site", "prices", "packs", "buying",
)  # fmt: skip
# How a job is called, shown, compared and handed over: in no price.
SAID = (
    "title", "place", "client", "notes", "mixes", "treatments", "compare", "ranges", "worked_out",
    "small_item_amount", "decimal_comma", "locale", "folder", "scenarios", "state", "feet_and_inches",
    "quotation", "built_year", "learnt",
)  # fmt: skip
WALL_RATES = ("missed_high_spot_mm", "nibs_per_m2", "nib_mm")  # what is allowed for and nobody measured


def at_signed_rates(signed: Job, now: Job) -> Job:
    """The job as it stands now, priced as the signed one.

    Parameters
    ----------
    signed : Job
        As it was signed.
    now : Job
        As it stands.

    Returns
    -------
    Job
        The work of `now`; prices, packs, suppliers, margins, tax, labour rates, waste, allowances, figures of
        mixes and the way of measuring of `signed`. What that has no price for has today's.

    Raises
    ------
    TakeoffError
        Another currency.

    Examples
    --------
    ``at_signed_rates(job, replace(job, waste_share=0.2, prices=dearer)) == job``
    """
    if signed.currency != now.currency:
        raise TakeoffError(
            Mistake(
                f"the job is in {now.currency}, and was signed in {signed.currency}",
                "a variation is paid in the currency that was signed",
                f"set the currency back to {signed.currency} on the job sheet, or quote a job of its own",
                "currency",
            )
        )
    mixed = _mixes_as_signed(signed, now)
    known = signed_items(signed)
    return replace(
        mixed,
        walls=tuple(_allowed_as_signed(signed, wall) for wall in mixed.walls),
        rails=replace(mixed.rails, stock_m=signed.rails.stock_m),
        prices=PriceList((*signed.prices.rows, *(row for row in now.prices.rows if row.item not in known))),
        packs=PackList((*signed.packs.rows, *(row for row in now.packs.rows if row.item not in known))),
        buying=_buying(signed.buying, now.buying, known),
        worked_out=now.worked_out.learnt(
            each for each in signed.worked_out.walls if now.worked_out.known(each.fingerprint) is None
        ),
        **{name: getattr(signed, name) for name in RATES},
    )


def said_as(now: Job, signed: Job) -> Job:
    """The signed job, called, shown and compared as the one that stands now: no figure of it moves."""
    names = {wall.name for wall in signed.walls}
    beside = tuple(thing for thing in now.compare.beside if thing.wall in names)
    said = {name: getattr(now, name) for name in SAID if name != "worked_out"}
    return replace(signed, **{**said, "compare": replace(now.compare, beside=beside)})


def signed_items(signed: Job) -> frozenset[str]:
    """What the signed job had a price for."""
    priced = frozenset(row.item for row in signed.prices.rows)
    return priced | {pack.item for pack in signed.packs.rows}


def at_todays_price(signed: Job, line: CostLine) -> bool:
    """Whether a line is of something, or of somebody's delivery, that the signed job had no price for."""
    if line.priced_as:
        return line.priced_as not in signed_items(signed)
    sellers = tuple(f", {supplier.name}" for supplier in signed.buying.suppliers)
    return line.group == SUNDRIES and not line.item.endswith(sellers)


def _mixes_as_signed(signed: Job, now: Job) -> Job:
    """With the figures that mixes of the same name had."""
    for mix in mixes_of(signed):
        if any(each.name == mix.name and each != mix for each in (*mixes_of(now), *now.mixes)):
            now = with_mix(now, mix.name, **{f.name: getattr(mix, f.name) for f in fields(mix)})
    return now


def _allowed_as_signed(signed: Job, wall: JobWall) -> JobWall:
    was = next((each for each in signed.walls if each.name == wall.name), None)
    if was is None:
        return wall
    allowed: dict[str, Any] = {name: getattr(was, name) for name in WALL_RATES}
    return replace(wall, **allowed)


def _buying(signed: Buying, now: Buying, known: frozenset[str]) -> Buying:
    """Who things were bought from; of what is new, who they are bought from now."""
    names = [supplier.name for supplier in signed.suppliers]
    return replace(
        signed,
        suppliers=(*signed.suppliers, *(each for each in now.suppliers if each.name not in names)),
        chosen=(*signed.chosen, *(each for each in now.chosen if each.item not in known)),
        in_stock=(*signed.in_stock, *(item for item in now.in_stock if item not in known)),
    )
