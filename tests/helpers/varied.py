"""The demo job on coarse cells as signed, and ways in which it may have changed since."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache

from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.io.signed.standing import variation_against
from mytakeoff.quotation.fingerprint import fingerprint_of
from mytakeoff.variations.client_edition import HandedOver

SIGNED_ON, DAY = date(2027, 2, 20), date(2027, 3, 9)
TOWER = "scaffold tower"  # of which the demo job has no price


def signed_job(job: mt.Job) -> mt.SignedJob:
    """A job as it was signed, without a folder."""
    return mt.SignedJob(0, job, SIGNED_ON, mt.evaluate(job).cost.total, fingerprint_of(job))


def varied(now: mt.Job, signed: mt.Job | None = None) -> mt.Variation:
    """The variation that a job is of the coarse demo, or of another one."""
    return variation_against(signed_job(signed or coarse_demo()), now)


def dearer(job: mt.Job) -> mt.Job:
    """Every price, rate, margin and share of waste that a job has, and none of its work."""
    prices = mt.PriceList(tuple(replace(row, price=row.price * 2 + 1) for row in job.prices.rows))
    packs = mt.PackList(tuple(replace(row, price=row.price * 2 + 1) for row in job.packs.rows))
    rates = replace(job.rates, float_h_per_m2=0.9, labourer_share=0.9, clean_up_h_per_day=1.0, day_h=7.0)
    margins = mt.Margins(0.3, 0.2, 0.1, 0.25)
    sure = replace(job.sureness, confidence_share=0.95)
    return replace(
        job,
        prices=prices,
        packs=packs,
        rates=rates,
        margins=margins,
        waste_share=0.3,
        patch_waste_share=0.4,
        bag_slack_share=0.0,
        sureness=sure,
        opening_rule="is1200",
    )


def without(job: mt.Job, *names: str) -> mt.Job:
    """The job with some walls out of the price."""
    left = [wall.name for wall in job.chosen_walls if wall.name not in names]
    return replace(job, only=tuple(left))


def with_again(job: mt.Job, name: str, new: str) -> mt.Job:
    """The job with another wall like one that it has."""
    entry = job.wall(name)
    wall = replace(entry.wall, name=new)
    more = replace(entry, wall=wall, survey=replace(entry.survey, wall=wall))
    return replace(job, walls=(*job.walls, more))


def with_extra(job: mt.Job, item: str, quantity: float = 1.0, room: str = "") -> mt.Job:
    """The job with something else to price."""
    return replace(job, extras=(*job.extras, mt.Extra(item, quantity, room=room)))


def with_tower(job: mt.Job) -> mt.Job:
    """The job with something that it had no price for."""
    row = mt.Price(TOWER, "day", Decimal("85.5"))
    priced = replace(job, prices=mt.PriceList((*job.prices.rows, row)))
    return with_extra(priced, TOWER, 2.0, "front room")


def thicker(job: mt.Job) -> mt.Job:
    """The job with a thicker backing everywhere."""
    return replace(job, plane=replace(job.plane, least_mm=12.0))


def moved(job: mt.Job) -> mt.Job:
    """The job with another first day."""
    return replace(job, calendar=replace(job.calendar, start=date(2027, 3, 18)))


CHANGES: dict[str, Callable[[mt.Job], mt.Job]] = {
    "a wall taken out": lambda job: without(job, "door wall"),
    "a wall added": lambda job: with_again(job, "breast front", "chimney back"),
    "a thicker coat": thicker,
    "something in a room": lambda job: with_extra(job, "dust extractor hire", 2.0, "back bedroom"),
    "something shared": lambda job: with_extra(job, "mixer hire", 2.0),
    "no price was signed": with_tower,
    "another first day": moved,
    "several at once": lambda job: with_tower(thicker(without(job, "breast left cheek"))),
}


@cache
def changed(name: str) -> mt.Variation:
    """One of these changes, at prices that have risen since."""
    return varied(dearer(CHANGES[name](coarse_demo())))


@cache
def handed(name: str) -> HandedOver:
    """The same as it is handed over."""
    return HandedOver(changed(name), DAY)
