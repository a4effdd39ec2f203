"""What each of several causes did to a sum: its part in every order in which they may be told, on average."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from math import comb

MOST_CAUSES = 12  # 2 ** 12 sums are worked out in no time
Worth = Callable[[frozenset[str]], Decimal]


def parts_in_order(order: Sequence[str], worth: Worth) -> dict[str, Decimal]:
    """What each cause adds where they are told one after the other.

    Parameters
    ----------
    order : sequence of str
    worth : function
        The sum where some of the causes are as they were, the others as they were priced [currency].

    Examples
    --------
    Two litres at 3.00 became three at 4.00. Told first, the litres made 3.00 of the 6.00 and the price 3.00;
    told last, 4.00 and 2.00.

    >>> def paid(taken):
    ...     return Decimal(3 if "litres" in taken else 2) * Decimal(4 if "price" in taken else 3)
    >>> [int(part) for part in parts_in_order(["litres", "price"], paid).values()]
    [3, 3]
    >>> [int(part) for part in parts_in_order(["price", "litres"], paid).values()]
    [2, 4]
    """
    sums = [worth(frozenset(order[:count])) for count in range(len(order) + 1)]
    return {cause: sums[nth + 1] - sums[nth] for nth, cause in enumerate(order)}


def shapley_parts(causes: Sequence[str], worth: Worth) -> dict[str, Fraction]:
    """The mean of what each cause adds, over all orders in which they may be told; exact.

    Parameters
    ----------
    causes : sequence of str
        Each once, 12 at most.
    worth : function
        The sum where some of the causes are as they were, the others as they were priced [currency].

    Returns
    -------
    dict of str to Fraction
        They add up to ``worth(all) - worth(none)`` exactly [currency].

    Notes
    -----
    ``φ_i = Σ_S (v(S ∪ i) − v(S)) / (n · C(n − 1, |S|))`` over the sets S without i: the only way to share
    that adds up, treats like causes alike, gives nothing to one that changes nothing and is additive in v
    (L. S. Shapley, "A value for n-person games", 1953; the formula from memory, held to all orders by a
    test).

    Examples
    --------
    >>> def paid(taken):
    ...     return Decimal(3 if "litres" in taken else 2) * Decimal(4 if "price" in taken else 3)
    >>> {cause: float(part) for cause, part in shapley_parts(["litres", "price"], paid).items()}
    {'litres': 3.5, 'price': 2.5}
    """
    count = len(causes)
    if count > MOST_CAUSES:
        raise ValueError(f"{count} causes have more sums than are worked out at once: {MOST_CAUSES} at most")
    sums = {taken: Fraction(worth(taken)) for taken in _sets_of(causes)}
    return {
        cause: sum(
            (
                (sums[others | {cause}] - sums[others]) / (count * comb(count - 1, len(others)))
                for others in _sets_of([other for other in causes if other != cause])
            ),
            Fraction(0),
        )
        for cause in causes
    }


def _sets_of(causes: Sequence[str]) -> list[frozenset[str]]:
    """Every set of some of the causes."""
    return [frozenset(taken) for size in range(len(causes) + 1) for taken in combinations(causes, size)]
