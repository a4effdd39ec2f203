"""What a client could divide out of a table, formed by loops without the package's own judgement."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import combinations, permutations

import mytakeoff as mt
from mytakeoff.job.rates import (
    DUB_OUT_H_PER_M2_PER_10_MM,
    FLOAT_H_PER_M2,
    FURTHER_H_PER_M2,
    LABOURER_SHARE,
    SITE_MIX_LABOURER_SHARE,
)

NEAR = Decimal("0.001")  # 0.1 %: the definition of what may not be read off
MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"


def secrets_of(job: mt.Job) -> list[Decimal]:
    """Every price and rate of a job times every product of its margins."""
    margins = job.margins
    shares = [margins.overhead_share, margins.profit_share, margins.contingency_share, margins.tax_share]
    products = []
    for count in range(5):
        for some in combinations(shares, count):
            product = Decimal(1)
            for share in some:
                product *= 1 + Decimal(repr(float(share)))
            products.append(product)
    figures = [row.price for row in (*job.prices.rows, *job.packs.rows)]
    rates = [value for value in vars(job.rates).values() if value is not None]
    rates += [*FLOAT_H_PER_M2.values(), *FURTHER_H_PER_M2.values(), DUB_OUT_H_PER_M2_PER_10_MM]
    rates += [SITE_MIX_LABOURER_SHARE, LABOURER_SHARE]
    figures += [Decimal(repr(float(value))) for value in rates]
    return [figure * product for figure in figures if figure > 0 for product in products]


def given_away(numbers: list[Decimal], secrets: list[Decimal]) -> list[tuple[Decimal, Decimal, Decimal]]:
    """Pairs of numbers whose quotient is a secret within 0.1 %, with it."""
    return [
        (one, other, secret)
        for one, other in permutations(numbers, 2)
        if one and other
        for secret in secrets
        if abs(one / other - secret) <= NEAR * secret
    ]


def numbers_in(text: str) -> list[Decimal]:
    """Every number of a text, days of a calendar apart."""
    bare = re.sub(rf"\d+\s({MONTHS})(\s\d{{4}})?", "", text).replace("\u202f", "")
    return [Decimal(number) for number in re.findall(r"\d+(?:\.\d+)?", bare)]
