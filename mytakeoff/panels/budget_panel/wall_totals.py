"""What each wall and room comes to, under the cost table: shown when somebody looks and nothing moves."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from mytakeoff.cost.by_wall import RULE, RoomShare, Share, by_room
from mytakeoff.cost.cost import TAX
from mytakeoff.formats.formats import counted
from mytakeoff.panels.parts.buttons import safely
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import Html, element, grouped_table, paragraphs
from mytakeoff.panels.parts.slices import Waiting
from mytakeoff.panels.parts.stock import make
from mytakeoff.result import Result

REST_S = 0.4  # after the last change: a hand that still moves a slider is not made to wait
NUMBERS = (1, 2, 3)


def totals(result: Result) -> Html:
    """A row a wall, under each room what it comes to, then the whole, tax and total; and bags, once."""
    cost, formats = result.cost, result.job.formats

    def row(of: Share | RoomShare, name: str) -> tuple[str, str, str, str]:
        measured = (formats.fixed(of.area_m2, 2), formats.fixed(of.litres, 1)) if of.area_m2 else ("", "")
        return name, *measured, formats.money(of.amount)

    def strong(cells: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(element("strong", cell) for cell in cells)

    groups = [
        (room.name or "in no room",
         [*(row(part, part.name) for part in room.parts), strong(row(room, f"all of {room.name or 'it'}"))])
        for room in by_room(cost, result.walls)
    ]  # fmt: skip
    every = Share("before tax", cost.before_tax, result.area_m2, result.litres)
    tax, total = Share(TAX, cost.tax), Share("total", cost.total)
    groups.append(("together", [row(every, every.name), row(tax, tax.name), strong(row(total, total.name))]))
    head = ("wall", "m²", "litres", formats.currency)
    bags = f"Bags are rounded up once, over all walls together: {counted(result.bags, 'bag')}."
    return grouped_table(head, groups, "mt-list mt-by-wall", "", NUMBERS) + paragraphs([bags])


class WallTotals:
    """The fold: `widget`, and its `text`."""

    def __init__(self, failed: Callable[[Exception], None]) -> None:
        self._result: Result | None = None
        self._failed, self._waiting = failed, Waiting()
        self.text = make(widgets.HTML)
        rule = make(widgets.HTML, element("p", RULE, css="mt-hint"))
        self.widget = Fold("By wall and room", make(widgets.VBox, [self.text, rule]), "by-wall")
        self.widget.head.observe(safely(self.show, failed), "opened")

    def refresh(self, result: Result) -> None:
        """Take note of a new result: it is shown once nothing moves any more."""
        if result is not self._result:
            self._result = result
            self._waiting.start(REST_S, safely(self.show, self._failed))

    def show(self) -> None:
        """Show the last result, if anybody looks."""
        if self.widget.head.opened and self._result is not None:
            text = totals(self._result)
            if self.text.value != text:
                self.text.value = text
