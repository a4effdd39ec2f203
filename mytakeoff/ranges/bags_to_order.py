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
        That last at the chosen confidence [-].
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


def order_for(needed: Floats, confidence_share: float, unused_price: float, trip_price: float) -> BagOrder:
    """The order for bags that may be needed, all equally likely.

    Parameters
    ----------
    needed : (n,) float
        Whole bags, 0 or more [-].
    confidence_share : float
        In so many of them the order lasts, more than 0 and under 1 [-].
    unused_price, trip_price : float
        What one bag left over, and one trip for more, costs beyond the bags; 0 or more [-].

    Returns
    -------
    BagOrder

    Raises
    ------
    TakeoffError
        A share or a price out of its range.

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
    >>> order_for(needed, 0.9, unused_price=5, trip_price=40).cheapest
    8
    >>> order_for(needed, 0.9, unused_price=5, trip_price=50).cheapest
    9
    """
    check = Check("bags to order")
    check.that(
        0 < confidence_share < 1 and min(unused_price, trip_price) >= 0,
        f"confidence {confidence_share:.0%}, {unused_price:g} a bag left over, {trip_price:g} a trip",
        "the confidence is between 0 and 100 %, prices are 0 or more",
        "0.9 is usual",
    )
    check.done()
    tried = np.arange(int(needed.min()), int(needed.max()) + 1)
    short = (needed[None, :] > tried[:, None]).mean(axis=1)
    unused = np.clip(tried[:, None] - needed[None, :], 0.0, None).mean(axis=1)
    price = unused_price * unused + trip_price * short
    lasts = int(np.flatnonzero(1.0 - short >= confidence_share - 1e-9)[0])
    return BagOrder(
        int(tried[lasts]),
        int(tried[price.argmin()]),
        float(short[lasts]),
        float(unused[lasts]),
        unused_price,
        trip_price,
        float(price[lasts]),
    )
