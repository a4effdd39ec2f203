"""Sharing an amount out so that the parts add up to it exactly."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal


def share_out(total: Decimal, weights: Sequence[Decimal], places: int = 2) -> tuple[Decimal, ...]:
    """Parts of a total by weight, each rounded to `places`, which add up to the total exactly.

    Each part is rounded down first; what is left goes, one smallest coin each, to those that lost most.

    Parameters
    ----------
    total : Decimal
        0 or more, with at most `places` decimals.
    weights : sequence of Decimal
        0 or more each; if all are 0 the first takes everything.
    places : int
        Decimal places of a part.

    Examples
    --------
    >>> [str(part) for part in share_out(Decimal("10.00"), [Decimal(1)] * 3)]
    ['3.34', '3.33', '3.33']
    """
    if not weights:
        return ()
    coin, whole = Decimal(1).scaleb(-places), sum(weights, Decimal(0))
    if whole == 0:
        weights, whole = [Decimal(1), *([Decimal(0)] * (len(weights) - 1))], Decimal(1)
    exact = [total * weight / whole for weight in weights]
    parts = [share.quantize(coin, rounding=ROUND_FLOOR) for share in exact]
    left = int((total - sum(parts, Decimal(0))) / coin)
    by_loss = sorted(range(len(parts)), key=lambda place: parts[place] - exact[place])
    for place in by_loss[:left]:
        parts[place] += coin
    return tuple(parts)
