"""Settling up on the panel: rows filled in box after box, tables read back."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import mytakeoff as mt
from mytakeoff.account.account import Account
from mytakeoff.finished.finished_wall import FinishedWall, SettledCoat
from mytakeoff.finished.record import Finished
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.finished_panel.settling import AccountBox
from mytakeoff.store import Store

BACKING = "light gypsum backing"
# A new delivery and new hours have the day of the row before.
TEN_ROWS: list[tuple[str, dict[str, Any]]] = [
    ("deliveries", {"item": BACKING, "delivered": "10", "wasted": "0,9", "price": "13.9",
                    "day": date(2027, 3, 1)}),
    ("deliveries", {"item": BACKING, "delivered": "8", "brought_back": "2", "credit": "20"}),
    ("deliveries", {"item": "mesh", "delivered": "1", "used": "1", "price": "36.5"}),
    ("deliveries", {"item": "rail", "delivered": "15"}),
    ("hours", {"task": "float backing", "hours": "26.5", "day": date(2027, 3, 3)}),
    ("hours", {"task": "labourer", "hours": "40", "price": "24"}),
    ("hours", {"task": "mesh", "hours": "0.75"}),
    ("variations", {"words": "a niche in the party wall", "amount": "150", "day": date(2027, 3, 2)}),
    ("variations", {"words": "no skirting", "amount": "-32.5"}),
    ("trips", {"why": "beads forgotten", "hours": "1.5", "amount": "4"}),
]  # fmt: skip


def failed(error: Exception) -> None:
    raise error


def box_of(job: mt.Job) -> AccountBox:
    return AccountBox(Desk(Store(job)), failed)


def enter(box: AccountBox, kind: str, **typed: Any) -> Any:
    """Add a row and fill it in, box after box; gives its boxes."""
    rows = box.rows[kind]
    rows.add.click()
    for name, value in typed.items():
        rows.used[-1].boxes[name].value = value
    return rows.used[-1].boxes


def as_it_was(box: AccountBox, factor: float, settled: tuple[SettledCoat, ...] = ()) -> Finished:
    """What was written down, with every wall so many times as thick as it was priced."""
    walls = tuple(
        FinishedWall(
            wall.entry.name,
            factor * (wall.build_up.volume_l + wall.allowance_l) / wall.build_up.area_m2,
            0.4,
            settled=settled,
        )
        for wall in box.desk.store.result.walls
    )
    return replace(box.desk.finished, walls=walls)


def rows_in(html: str) -> list[list[str]]:
    """The cells of each row of a table; of its first cell the name alone."""
    return [cells(row) for row in ET.fromstring(f"<all>{html}</all>").iter("tr")]


def bodies_in(html: str) -> list[list[list[str]]]:
    """The same, by groups of rows."""
    return [[cells(row) for row in body] for body in ET.fromstring(f"<all>{html}</all>").iter("tbody")]


def cells(row: ET.Element) -> list[str]:
    first, *others = row
    return [first.text or "", *("".join(cell.itertext()) for cell in others)]


def amount(text: str) -> Decimal:
    """An amount as the demo job writes it."""
    return Decimal(text.replace("−", "-").replace("\u202f", "").removesuffix(" EUR"))


def shown(widget: Any) -> bool:
    return bool(widget.layout.display != "none")


def good(box: AccountBox) -> Account:
    assert box.account is not None
    return box.account
