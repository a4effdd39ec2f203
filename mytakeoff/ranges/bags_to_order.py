"""How many bags to order when what they have to last for is not certain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mytakeoff.errors import Check
from mytakeoff.survey.survey import Floats


@dataclass(frozen=True)
class BagOrder:
    """Bags of one mix to order.

    Parameters
    ----------
    bags : int
        That are priced [-].
    cheapest : int
        That cost least in the long run, by what a bag left over and an extra trip cost [-].
    short_share, unused_bags : float
        With `bags`: chance that they do not last, and how many are left over on average [-].
    unused_price, trip_price : float
        What one bag left over and one extra trip cost, in the job's currency [-].
    expected_price : float
        What being wrong costs on average with `bags`, in the job's currency [-].
    """

    bags: int
    cheapest: int
    short_share: float
    unused_bags: float
    unused_price: float
    trip_price: float
    expected_price: float


def order_for(needed: Floats, bags: int, unused_price: float, trip_price: float) -> BagOrder:
    """The order for bags that may be needed, all equally likely.

    Parameters
    ----------
    needed : (n,) float
        Whole bags, 0 or more [-].
    bags : int
        That are priced and ordered, 0 or more [-].
    unused_price, trip_price : float
        What one bag left over, and one trip for more, costs beyond the bags; 0 or more [-].

    Returns
    -------
    BagOrder

    Raises
    ------
    TakeoffError
        A price or bags below 0.

    Notes
    -----
    What a bag costs that is needed is paid either way. Ordered q and needed B, being wrong costs
    ``unused · max(q - B, 0) + trip · [q < B]``: one trip fetches all that is missing. With dear trips the
    cheapest order is large, with bags that are taken back for their full price it is the largest.

    References
    ----------
    The newsvendor problem (K. J. Arrow, T. Harris, J. Marschak, "Optimal inventory policy", Econometrica 19,
    1951) with a fixed price of running short.

    Examples
    --------
    Nine jobs in ten take 8 bags, one takes 9: the ninth bag is worth it while a trip costs more than nine
    bags left over.

    >>> needed = np.repeat([8.0, 9.0], [90, 10])
    >>> order_for(needed, 8, unused_price=5, trip_price=40).cheapest
    8
    >>> order_for(needed, 8, unused_price=5, trip_price=50).cheapest
    9
    >>> order_for(needed, 8, unused_price=5, trip_price=50).short_share
    0.1
    """
    check = Check("bags to order")
    check.that(
        min(bags, unused_price, trip_price) >= 0,
        f"{bags} bags, {unused_price:g} a bag left over, {trip_price:g} a trip",
        "bags and prices are 0 or more",
        "see what a bag costs, and what is taken back",
    )
    check.done()
    tried = np.arange(min(int(needed.min()), bags), max(int(needed.max()), bags) + 1)
    short = (needed[None, :] > tried[:, None]).mean(axis=1)
    unused = np.clip(tried[:, None] - needed[None, :], 0.0, None).mean(axis=1)
    price = unused_price * unused + trip_price * short
    ordered = int(np.flatnonzero(tried == bags)[0])
    return BagOrder(
        bags,
        int(tried[price.argmin()]),
        float(short[ordered]),
        float(unused[ordered]),
        unused_price,
        trip_price,
        float(price[ordered]),
    )


@dataclass(frozen=True)
class BagChance:
    """How likely it is that from `first` to `last` bags are needed, as a share of 1 [-]."""

    first: int
    last: int
    share: float

    def holds(self, bags: int) -> bool:
        """Whether a number of bags is among them [-]."""
        return self.first <= bags <= self.last


MOST_TOLD = 8  # numbers of bags that are told one by one


def chances_of(needed: Floats, bags: int, most: int = MOST_TOLD) -> tuple[BagChance, ...]:
    """The chances of the numbers of bags that may be needed, all cases equally likely.

    Parameters
    ----------
    needed : (n,) float
        Whole bags, 0 or more [-].
    bags : int
        That are priced and ordered: they are told, whatever their chance [-].
    most : int
        Of more numbers than that, several stand together [-].

    Examples
    --------
    >>> [chance.share for chance in chances_of(np.array([24.0, 25.0, 25.0, 26.0]), 26)]
    [0.25, 0.5, 0.25]
    >>> [(chance.first, chance.last) for chance in chances_of(np.array([24.0, 33.0]), 26, most=5)]
    [(24, 25), (26, 27), (28, 29), (30, 31), (32, 33)]
    """
    least, greatest = (int(pick(pick(needed), bags)) for pick in (min, max))
    step = -(-(greatest - least + 1) // most)
    return tuple(
        BagChance(first, min(first + step - 1, greatest), _share_in(needed, first, first + step))
        for first in range(least, greatest + 1, step)
    )


def _share_in(needed: Floats, first: int, end: int) -> float:
    return float(((needed >= first) & (needed < end)).mean())


def enough_share(needed: Floats, bags: int) -> float:
    """In how many cases of one so many bags last [-]."""
    return float((needed <= bags).mean())
