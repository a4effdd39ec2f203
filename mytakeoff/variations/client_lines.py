"""What a variation comes to for the client: a line for each finished piece of work that changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from mytakeoff.cost.client import ClientRow, work_words
from mytakeoff.cost.cost import TAX, Cost
from mytakeoff.job.edits import without_money
from mytakeoff.measure.wall_measures import measure_wall
from mytakeoff.result import Result
from mytakeoff.units import decimal_of, round_money, share_out

NOTHING = Decimal(0)
Key = tuple[str, str]
Rows = Mapping[Key, ClientRow]


@dataclass(frozen=True)
class VariationLine:
    """A finished piece of work that is added, taken out or changed.

    Parameters
    ----------
    item : str
        The wall, or the thing in a room.
    room : str
    was, now : str
        What is done, in words, as signed and as it is now; "" where it is not there.
    amount, tax : Decimal
        Before tax, and the tax on it; less than 0 where it costs less [currency].
    wall : str
        "" for what is no wall.
    """

    item: str
    room: str
    was: str
    now: str
    amount: Decimal
    tax: Decimal
    wall: str = ""

    @property
    def added(self) -> Decimal:
        """What it costs more before tax, 0 or more [currency]."""
        return max(self.amount, NOTHING)

    @property
    def less(self) -> Decimal:
        """What it costs less before tax, 0 or more [currency]."""
        return max(-self.amount, NOTHING)

    @property
    def gross(self) -> Decimal:
        """With tax [currency]."""
        return self.amount + self.tax


def client_lines(was: Result, now: Result) -> tuple[VariationLine, ...]:
    """The client's lines of a variation.

    Parameters
    ----------
    was, now : Result
        As signed, and as it stands at the signed rates: of one tax and one currency.

    Returns
    -------
    tuple of VariationLine
        In the order of the client's rows; what is taken out stands last. With their taxes they add up to the
        difference of the two totals to the cent.

    Notes
    -----
    What walls have in common (carriage, whole bags, half days) is in the rows of all walls, so that a change
    of one moves the others by a little: that stands with the work that changes. Where none does, as when days
    move, each row has its own part.
    """
    before, after = _rows(was.cost), _rows(now.cost)
    keys = [*after, *(key for key in before if key not in after)]
    moved = {key: _amount(after, key) - _amount(before, key) for key in keys}
    work = _work(was), _work(now)
    changed = [key for key in keys if work[0].get(key) != work[1].get(key)]
    shown = changed or [key for key in keys if moved[key]]
    rest = sum((moved[key] for key in keys if key not in shown), NOTHING)
    parts = _shared(rest, [abs(moved[key]) for key in shown], now.cost.money_places)
    amounts = [moved[key] + part for key, part in zip(shown, parts, strict=True)]
    taxed = taxes_on(was.cost, amounts, now.job.margins.tax_share)
    return tuple(
        _line(before.get(key), after.get(key), amount, tax)
        for key, amount, tax in zip(shown, amounts, taxed, strict=True)
    )


def taxes_on(signed: Cost, amounts: list[Decimal], tax_share: float) -> list[Decimal]:
    """What the tax of a signed price grows by with each amount on top of it [currency]; `tax_share` [-].

    Notes
    -----
    As in `room_sums`: the sum so far is taxed and rounded, so that the taxes add up to the difference of the
    two taxes, and a spreadsheet can work them out.
    """
    share, so_far, found = decimal_of(tax_share), signed.before_tax, []
    taxed = round_money(so_far * share, signed.money_places)
    for amount in amounts:
        so_far += amount
        whole = round_money(so_far * share, signed.money_places)
        found.append(whole - taxed)
        taxed = whole
    return found


def _rows(cost: Cost) -> Rows:
    """The client's rows before tax; several of one name in one room are one."""
    found: dict[Key, ClientRow] = {}
    for row in cost.client_rows:
        if row.item != TAX:
            key = ("wall", row.wall) if row.wall else (row.room, row.item)
            known = found.get(key)
            found[key] = row if known is None else replace(row, amount=row.amount + known.amount)
    return found


def _amount(rows: Rows, key: Key) -> Decimal:
    return rows[key].amount if key in rows else NOTHING


def _work(result: Result) -> dict[Key, Any]:
    """What tells two pieces of finished work apart: how many of a thing; of a wall words, measures and coats.

    What is allowed for between its readings is not among them: it hangs on all walls together.
    """
    job = without_money(result.job)
    done: dict[Key, Any] = {
        ("wall", wall.entry.name): (work_words(job, wall), measure_wall(job, wall), wall.layers)
        for wall in result.walls
        if wall.worked
    }
    for extra in result.job.extras:
        if extra.room and not extra.excluded:
            key = extra.room, extra.item
            done[key] = done.get(key, 0.0) + extra.quantity
    return done


def _shared(rest: Decimal, weights: list[Decimal], places: int) -> list[Decimal]:
    """A rest of either sign shared out by weight, to the cent."""
    parts = share_out(abs(rest), weights, places)
    return [part if rest >= 0 else -part for part in parts]


def _line(was: ClientRow | None, now: ClientRow | None, amount: Decimal, tax: Decimal) -> VariationLine:
    row = now or was
    assert row is not None
    return VariationLine(row.wall or row.item, row.room, _words(was), _words(now), amount, tax, row.wall)


def _words(row: ClientRow | None) -> str:
    return "" if row is None else row.item.removeprefix(f"{row.wall}: ")
