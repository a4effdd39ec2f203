"""The account of a finished job as HTML: its sums, what made the difference, every line, what shrank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from mytakeoff.account.account import Account, AccountLine
from mytakeoff.account.settling import ShrinkageSeen
from mytakeoff.account.words import (
    account_sums,
    cause_parts,
    difference_words,
    margin_words,
    parts_words,
    shrinkage_words,
    taken_for_given,
)
from mytakeoff.account.worth import CAUSES
from mytakeoff.formats.formats import Formats
from mytakeoff.panels.parts.html import Html, element, grouped_table, joined, listed, paragraphs, scrolling

NOTHING_YET = (
    "Nothing is written down yet: every line counts as it was priced. Add what came and was brought back, "
    "the hours, what was agreed on top; what you leave out goes on counting as priced."
)
MEAN = "the mean over all orders"
ORDERS: dict[str, tuple[str, ...]] = {
    "thickness first, prices last": CAUSES,
    "prices first, thickness last": CAUSES[::-1],
    **{f"{cause} first": (cause, *(c for c in CAUSES if c != cause)) for cause in CAUSES[1:-1]},
}
WHY_ORDERS = (
    "Bags that were dearer and more of them: how much of that is the price and how much the bags hangs on "
    "which is told first. The mean over all orders favours none; one order shows how far it may be told "
    "otherwise. The sum is the same."
)
OFF = "± is a standard deviation: the thickness of the walls was measured with some uncertainty."
WRITTEN, PRICED = "Written down, and what follows from it", "As priced, since nothing was written down"


def nothing_moved(account: Account) -> bool:
    """Whether nothing that is in the account was written down."""
    return all(line.as_priced for line in account.lines) and not account.finished.variations


def sums_table(account: Account) -> Html:
    """What was agreed, what it cost, what is left, what that means, and what is taken for given."""
    table = grouped_table(("Before tax", "Amount"), [("", account_sums(account))], "mt-list mt-sums",
                          "Agreed, cost and what is left", (1,))  # fmt: skip
    said = element("p", element("strong", margin_words(account)))
    return joined([table, said, listed(taken_for_given(account))])


def causes_table(account: Account, spread: Mapping[str, Decimal], order: Sequence[str] | None) -> Html:
    """What each cause made of the difference: on average, and in one order where one is chosen."""
    formats = account.agreed.job.formats
    found = cause_parts(account, order or CAUSES)
    off = any(spread.values())
    head = ("Cause", "on average", *(["±"] if off else []), *(["in this order"] if order else []))
    rows = [
        (
            _with_under(each.cause, each.words),
            difference_words(each.part, formats),
            *([formats.money(spread[each.cause]) if spread[each.cause] else ""] if off else []),
            *([difference_words(each.told, formats)] if order else []),
        )
        for each in found
    ]
    every = difference_words(account.difference, formats)
    sums = ("together", every, *([""] if off else []), *([every] if order else []))
    css, numbers = "mt-list mt-causes", range(1, len(head))
    table = grouped_table(head, [("", rows), ("", [sums])], css, "Cause by cause, before tax", numbers)
    why = element("p", f"{parts_words(account.parts, formats).capitalize()}.")
    return joined([why, scrolling(table), element("p", OFF, css="mt-hint") if off else Html()])


def lines_table(account: Account) -> Html:
    """Line by line: as priced, as it was, the difference and its causes; those that count as priced last."""
    formats = account.agreed.job.formats
    both = ((WRITTEN, False), (PRICED, True))
    groups = [(title, [line for line in account.lines if line.as_priced == same]) for title, same in both]
    sums = (formats.money(account.priced), formats.money(account.spent))
    together = ("together", *sums, difference_words(account.difference, formats))
    shown = [(title, [_line(line, formats) for line in lines]) for title, lines in groups if lines]
    shown.append(("", [together]))
    head = ("Line", "priced", "cost", "difference")
    return scrolling(grouped_table(head, shown, "mt-list mt-lines", "Before tax", range(1, len(head))))


def _line(line: AccountLine, formats: Formats) -> tuple[str, ...]:
    priced, really = (formats.short(float(each)) for each in (line.worth.quantities[0], line.worth.really))
    many = priced if line.as_priced else f"{priced} priced, {really} really"
    causes = parts_words(line.worth.parts, formats).rpartition(", together ")[0]
    return (
        _with_under(line.item, f"{line.unit}: {many}", causes),
        formats.money(line.priced), formats.money(line.spent), difference_words(line.difference, formats),
    )  # fmt: skip


def _with_under(name: str, *under: str) -> Html:
    """The name of a row with what is to be known of it below."""
    return joined([name, *(element("div", words, css="mt-under") for words in under if words)])


def shrinkage_list(seen: Sequence[ShrinkageSeen], formats: Formats) -> Html:
    """What coats shrank by, where surveys tell; nothing where none do."""
    return paragraphs(shrinkage_words(each, formats) for each in seen)


def taken_words(taken: Sequence[ShrinkageSeen], formats: Formats) -> str:
    """What it means that a shrinkage was taken into the job."""
    said = "; ".join(_share(each, formats) for each in taken)
    return (
        f"In the job now: {said}. So much more is laid and bought: its price, and what this account puts the "
        "cost against, reckon with it. It is saved with the job."
    )


def _share(seen: ShrinkageSeen, formats: Formats) -> str:
    return f"{seen.mix} shrinks by {formats.number(100 * seen.share, 1)} %"
