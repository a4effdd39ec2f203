"""What a settled job says in words: the same as its table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from mytakeoff.account.account import Account
from mytakeoff.account.check import by_item, wasted_of
from mytakeoff.account.settling import ShrinkageSeen
from mytakeoff.account.worth import CAUSES
from mytakeoff.formats.formats import Formats, counted, in_a_row
from mytakeoff.formats.inches import MINUS, NBSP

WHAT_CAUSES_ARE = {
    "thickness": "plaster on the walls was thicker or thinner than priced, with the hours that takes",
    "density": "a mix took more or less powder for a litre in place",
    "waste": "more or less was mixed that did not stay on the wall",
    "quantities": "more or fewer packs and pieces than follows from that",
    "hours": "work took longer or less long than such walls are priced with",
    "return trips": "trips that the programme did not have",
    "prices": "another price was paid for a pack or an hour",
}


@dataclass(frozen=True)
class CausePart:
    """What one cause made of the difference.

    Parameters
    ----------
    cause : str
    part : Decimal
        The mean over all orders in which causes may be told [currency].
    told : Decimal
        In one order [currency].
    words : str
        What the cause is.
    """

    cause: str
    part: Decimal
    told: Decimal
    words: str


def cause_parts(account: Account, order: Sequence[str] = CAUSES) -> tuple[CausePart, ...]:
    """What each cause made of the difference, on average and in one order of telling; each adds up to it.

    Parameters
    ----------
    account : Account
    order : sequence of str
        Every cause once.

    Raises
    ------
    TakeoffError
        A cause missing, doubled or not known.
    """
    told = account.parts_told(order)
    return tuple(CausePart(each, account.parts[each], told[each], WHAT_CAUSES_ARE[each]) for each in order)


def difference_words(amount: Decimal, formats: Formats) -> str:
    """By how much a sum differs, with its sign [currency].

    Examples
    --------
    >>> difference_words(Decimal("290.41"), Formats()), difference_words(Decimal("-2"), Formats())
    ('+290.41', '−2.00')
    """
    return f"{'+' if amount > 0 else MINUS if amount < 0 else ''}{formats.money(abs(amount))}"


def account_words(account: Account) -> tuple[str, ...]:
    """What was agreed, what it cost, what is left, what made the difference, what is taken for given."""
    formats = account.agreed.job.formats
    return (
        *_sums(account, formats),
        f"What made the difference: {parts_words(account.parts, formats)}.",
        *taken_for_given(account),
    )


def signed_words(account: Account, total: Decimal, on: date) -> str:
    """That the account is not against what was signed, where the job comes to another price by now; else "".

    Parameters
    ----------
    account : Account
    total : Decimal
        Signed, with tax [currency].
    on : date
        When.
    """
    now, formats = account.agreed.cost.total, account.agreed.job.formats
    if account.agreed.held or now == total:
        return ""
    return (
        f"Agreed is here what the job comes to as it stands now, {formats.amount(now)} with tax; what was "
        f"signed on {formats.day(on)} is {formats.amount(total)}."
    )


def account_sums(account: Account) -> tuple[tuple[str, str], ...]:
    """The sums with what each is, from what was agreed to what is left."""
    formats = account.agreed.job.formats
    amount = formats.amount
    more = (
        ("variations, agreed on top", difference_words(account.variations, formats)),
        ("agreed with its variations", amount(account.income)),
    )
    return (
        ("agreed, before tax", amount(account.agreed_price)),
        *(more if account.finished.variations else ()),
        ("work and materials, as priced", amount(account.priced)),
        ("work and materials, as they were", amount(account.spent)),
        ("difference", difference_words(account.difference, formats)),
        ("for overhead, profit and contingency, as priced", amount(account.margin_priced)),
        ("left for them", amount(account.left)),
    )


def margin_words(account: Account) -> str:
    """What the difference means for the margin, as a share of what was agreed; "" where nothing was."""
    shares, formats = account.margin_share, account.agreed.job.formats
    if shares is None:
        return ""
    priced, left = (f"{formats.number(100 * each, 1)}{NBSP}%" for each in shares)
    if account.left < 0:
        short = formats.amount(-account.left)
        return f"The margin is used up: {short} more was spent than was agreed; {priced} were to be left."
    of = "what was agreed with its variations" if account.finished.variations else "what was agreed"
    return f"The margin is {left} of {of}; {priced} were priced."


def parts_words(parts: Mapping[str, Decimal], formats: Formats) -> str:
    """What each cause did, the greatest first, and their sum.

    Examples
    --------
    >>> parts_words({"waste": Decimal(-3), "hours": Decimal(10), "prices": Decimal(0)}, Formats())
    'hours +10.00 and waste −3.00, together +7.00'
    """
    moved = sorted(((cause, part) for cause, part in parts.items() if part), key=lambda each: -abs(each[1]))
    said = [f"{cause} {difference_words(part, formats)}" for cause, part in moved]
    together = difference_words(sum(parts.values(), Decimal(0)), formats)
    return f"{in_a_row(said)}, together {together}" if said else "nothing moved"


def _sums(account: Account, formats: Formats) -> Iterator[str]:
    amount = formats.amount
    count = len(account.finished.variations)
    more = (
        f", {difference_words(account.variations, formats)} by {counted(count, 'variation')}" if count else ""
    )
    yield f"Agreed: {amount(account.agreed_price)} before tax{more}."
    by = amount(abs(account.difference))
    against = f"{by} {'more' if account.difference > 0 else 'less'} than" if account.difference else "as"
    yield f"Work and materials cost {amount(account.spent)}, {against} they were priced with."
    yield (
        f"For overhead, profit and contingency {amount(account.left)} are left; "
        f"{amount(account.margin_priced)} were priced."
    )


def taken_for_given(account: Account) -> Iterator[str]:
    """What nobody wrote down, and where what it did stands instead."""
    if account.not_written:
        names = account.not_written
        few = f": {', '.join(names)}" if len(names) <= 5 else ""
        yield f"Nothing was written down for {counted(len(names), 'line')}, which count as priced{few}."
    mixes = {need.mix.name for need in account.agreed.needs if need.recipe is None}
    came = {item: rows for item, rows in by_item(account.finished).items() if item in mixes}
    unseen = [item for item, rows in came.items() if wasted_of(rows) is None]
    if unseen:
        yield f"Nobody looked at what was wasted of {in_a_row(unseen)}: what it did stands with density."
    measured = {wall.name for wall in account.finished.walls if wall.mean_mm is not None}
    left = [w.entry.name for w in account.agreed.walls if w.worked and w.entry.name not in measured]
    if came and left:
        yield f"Not measured again: {in_a_row(left)}; what their thickness did stands with density."


def shrinkage_words(seen: ShrinkageSeen, formats: Formats) -> str:
    """What was seen of one mix, and whether it stands out from what the surveys may be off.

    Examples
    --------
    >>> shrinkage_words(ShrinkageSeen("skim", 0.02, 0.005, ("A",)), Formats())
    'skim shrank by 2.0 % ± 0.5 % of its thickness, seen on 1 wall'
    >>> shrinkage_words(ShrinkageSeen("skim", 0.002, 0.005, ("A",)), Formats())
    'skim shrank by 0.2 % ± 0.5 % of its thickness, seen on 1 wall: no more than the surveys may be off'
    """
    share, sure = (f"{formats.number(100 * each, 1)} %" for each in (seen.share, seen.uncertainty_share))
    spread = f" ± {sure}" if seen.uncertainty_share > 0 else ""
    doubt = "" if seen.is_seen else ": no more than the surveys may be off"
    where = counted(len(seen.walls), "wall")
    return f"{seen.mix} shrank by {share}{spread} of its thickness, seen on {where}{doubt}"
