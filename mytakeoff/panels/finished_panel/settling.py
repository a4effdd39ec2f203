"""Settling up: what happened is typed in rows, and the account of it stands beside them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from mytakeoff.account.account import Account
from mytakeoff.account.check import WHERE, check_finished
from mytakeoff.account.settle import settle_up, spread_steps
from mytakeoff.account.settling import ShrinkageSeen, shrinkage_seen, with_shrinkage
from mytakeoff.account.words import cause_parts
from mytakeoff.account.worth import CAUSES
from mytakeoff.charts.account.causes import describe_causes, draw_causes
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.finished.record import Finished
from mytakeoff.io.files.written import ACCOUNT
from mytakeoff.io.tables.accounts import against_signed, export_account
from mytakeoff.job.job import Job
from mytakeoff.panels.finished_panel import account_tables as tables
from mytakeoff.panels.finished_panel.account_rows import CHOSEN, HINTS, KINDS, TITLES, offered
from mytakeoff.panels.finished_panel.desk import Desk
from mytakeoff.panels.parts.bind import Quiet, labelled_list
from mytakeoff.panels.parts.buttons import make_buttons, safely
from mytakeoff.panels.parts.fold import Fold, explained
from mytakeoff.panels.parts.frame import heading
from mytakeoff.panels.parts.html import Html, element, message, problem
from mytakeoff.panels.parts.rows import Row, Rows
from mytakeoff.panels.parts.slices import Steps
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.result import Result

WIDTHS_PX = {"wide": 640.0, "narrow": 350.0}
WHAT_IT_IS = "What the job really took, against what was agreed: amounts before tax, in {currency}."
ROW = re.compile(rf"{WHERE}, (delivery|hours|variation|trip) (\d+)")
ROWS_OF = {"delivery": "deliveries", "hours": "hours", "variation": "variations", "trip": "trips"}


class AccountBox(Quiet):
    """What happened on a finished job and its account: `widget`, `controls`, `buttons`.

    Its style is `account.css`, which the panel that shows it takes into its own.

    Parameters
    ----------
    desk : Desk
        All edits go through it.
    failed : function
        Told what went wrong.

    Attributes
    ----------
    rows : dict of str to Rows
        Deliveries, hours, variations, trips.
    account : Account or None
        The last good one.
    spread : dict of str to Decimal
        How far its parts may be off, as far as that is worked out [currency].
    seen : tuple of ShrinkageSeen
    """

    def __init__(self, desk: Desk, failed: Callable[[Exception], None]) -> None:
        self.desk, self._failed, self._client = desk, failed, False
        self.account: Account | None = None
        self.spread: dict[str, Decimal] = {}
        self.seen: tuple[ShrinkageSeen, ...] = ()
        self._of: tuple[Result, Finished] | None = None  # what the account is of, or being worked out of
        self._shown = Finished()  # what the rows show, as far as it is taken
        self._refused = self._why = self._pictured = ""
        self._told: dict[Row[Any], Check] = {}  # what is wrong in each row
        self._steps, self._drawing = Steps(), Steps()
        formats = desk.store.job.formats
        edit = safely(self._edit, failed)
        self.rows = {name: Rows[Any](kind, edit, formats) for name, kind in KINDS.items()}
        self.folds = {name: Fold(title, self._asking(name), name) for name, title in TITLES.items()}
        orders = [tables.MEAN, *tables.ORDERS]
        self.order = labelled_list("account-order", "In which order causes are told", orders, tables.MEAN)
        self.controls: dict[str, Any] = {"account_order": self.order}
        self.buttons = make_buttons(
            {
                "take-shrinkage": ("Take the shrinkage into the job", self.take_shrinkage),
                "write-account": ("Write the account", self.write_account),
            },
            failed,
        )
        self.widget = self._layout()
        self.order.observe(safely(self._tell_in_order, failed), "value")
        desk.watch(safely(self._follow, failed))
        desk.store.observe(safely(self._follow, failed), "result")
        self._follow()

    # -- what the hand can do -------------------------------------------------------------------

    def take_shrinkage(self) -> None:
        """Have the mixes of the job shrink as they were seen to."""
        taken, store = self._to_take, self.desk.store
        if store.apply(lambda job: with_shrinkage(job, taken)):
            self._say(tables.taken_words(taken, store.job.formats))
        else:
            self._say(f"Not taken. {store.problem}")

    def write_account(self, folder: str | Path | None = None) -> Path:
        """Write the account as CSV, with a companion text; gives where the table went.

        Raises
        ------
        TakeoffError
            A row is not taken, the job has no account, or the files cannot be written.
        """
        if self._refused:
            self._say("Nothing was written: put right first what is told under the rows.")
            raise TakeoffError(self._not_taken)
        job = self.desk.store.settle().job
        target = Path(folder if folder is not None else job.folder or ".") / ACCOUNT
        companion = export_account(settle_up(job, self.desk.settle()), target)
        self._say(f"The account is in {target}, sums and causes in {companion.name} beside it.")
        return target

    @property
    def unfinished(self) -> tuple[Mistake, ...]:
        """A mistake for each row that is not filled in, and for rows not taken: they are in no file."""
        missing = tuple(mistake for rows in self.rows.values() for mistake in rows.unfinished)
        return (*missing, *([self._not_taken] if self._refused else []))

    @property
    def _not_taken(self) -> Mistake:
        return Mistake("a row that is not taken", "a file says only what can be", self._refused)

    @property
    def refused(self) -> str:
        """Why the rows are not taken as they stand; empty where they are."""
        return self._refused

    # -- from the rows to the record ------------------------------------------------------------

    def _edit(self) -> None:
        """Take what the rows say, all of it or nothing."""
        if self._busy:
            return
        with self.quietly():
            taken = self.desk.edit(self._as_typed)
        self._refused = "" if taken else self.desk.problem
        for row, check in self._told.items():
            row.tell(check.mistakes)
        if taken:
            self._shown = self.desk.finished
        self._count()
        self._follow()

    def _as_typed(self, finished: Finished) -> Finished:
        """The record with what the rows describe, every mistake in them told at its row."""
        told = self._told = {row: Check() for rows in self.rows.values() for row in rows.used}
        read = {name: list(_read(rows, told)) for name, rows in self.rows.items()}
        made = {name: tuple(thing for _, thing in pairs) for name, pairs in read.items()}
        whole, changed, held = not self._mistakes, replace(finished, **made), Check()
        held.made(lambda: check_finished(self.desk.store.result, changed))
        for mistake in held.mistakes:
            if (found := ROW.match(mistake.place)) is not None:
                row, _ = read[ROWS_OF[found[1]]][int(found[2]) - 1]
                told[row].mistakes.append(replace(mistake, place=row.place))
            elif whole:  # what a product comes to cannot be told while one of its rows is missing
                place = mistake.place.removeprefix(f"{WHERE}, ")
                *_, row = (row for row, thing in read["deliveries"] if place.endswith(f" {thing.item}"))
                told[row].mistakes.append(replace(mistake, place=place))
        if self._mistakes:
            raise TakeoffError(*self._mistakes)
        return changed

    @property
    def _mistakes(self) -> list[Mistake]:
        """All that is wrong in the rows, from top to bottom."""
        return [mistake for check in self._told.values() for mistake in check.mistakes]

    # -- what follows record and job ------------------------------------------------------------

    def refresh(self, client: bool) -> None:
        """Take note of who looks: a client sees nothing of it."""
        self._client = client
        set_shown(self.widget, not client)
        self._follow()

    def _follow(self) -> None:
        """Show the record, and settle it up where it or the job is another one."""
        if self._busy or self._client:
            return
        self._show_rows()
        asked = self.desk.store.result, self.desk.known
        if asked != self._of:
            self._of = asked
            self._steps.start(self._work(self.desk.store.job, asked[1]), self._show, self._failed)
        self._show_problem()

    def _show_rows(self) -> None:
        """Offer the lines of the price; show what others wrote down, and leave alone what is typed here."""
        desk, job = self.desk, self.desk.store.job
        self.hint.value = element("p", WHAT_IT_IS.format(currency=job.currency), css="mt-hint")
        options = offered(desk.store.result, desk.finished)
        for name, rows in self.rows.items():
            rows.write_as(job.formats)
            if name in CHOSEN:
                rows.offer(CHOSEN[name], options[name])
            if getattr(desk.finished, name) != getattr(self._shown, name):
                rows.show(getattr(desk.finished, name))
                self._refused = ""
        self._shown = desk.finished
        self._count()

    def _count(self) -> None:
        """Say on each fold how many rows count."""
        for name, fold in self.folds.items():
            count = sum(not row.missing for row in self.rows[name].used)
            fold.head.title = f"{TITLES[name]} ({count or 'none'})"

    def _work(self, job: Job, finished: Finished) -> Iterator[bool | None]:
        """Settle up, then how sure that is wall by wall; what cannot be leaves the last account."""
        try:
            account = settle_up(job, finished)
            seen = shrinkage_seen(account.agreed, finished)
        except TakeoffError as error:
            self._why = str(error)
            return
        self._why, self.account, self.spread, self.seen = "", account, {}, seen
        yield True
        self.spread = yield from spread_steps(job, finished)
        yield True
        self._draw()

    @property
    def _order(self) -> tuple[str, ...] | None:
        return tables.ORDERS.get(self.order.value)

    @property
    def _to_take(self) -> tuple[ShrinkageSeen, ...]:
        """What was seen of the mixes and the job does not have."""
        job = self.desk.store.job
        return tuple(each for each in self.seen if each.is_seen and with_shrinkage(job, [each]) != job)

    def _tell_in_order(self) -> None:
        self._show()
        self._draw()

    def _show(self) -> None:
        """Show the account as far as it is worked out."""
        self._show_problem()
        account = self.account
        nothing = account is None or tables.nothing_moved(account)
        set_shown(self.none, nothing)
        set_shown(self.some, not nothing)
        shrunk = tables.shrinkage_list(self.seen, self.desk.store.job.formats)
        texts = {self.shrunk: shrunk}
        if account is not None:
            texts |= {
                self.signed: element("p", said, css="mt-hint") if (said := against_signed(account)) else "",
                self.sums: tables.sums_table(account),
                self.causes: tables.causes_table(account, self.spread, self._order),
                self.lines: tables.lines_table(account),
            }
        for part, text in texts.items():
            if part.value != text:
                part.value = text
        set_shown(self.shrinkage, bool(shrunk))
        set_shown(self.buttons["take-shrinkage"], bool(self._to_take))

    def _show_problem(self) -> None:
        self.problem.value = problem(self._refused) or problem(
            self._why, "The account below is the last good one."
        )

    def _draw(self) -> None:
        account = self.account
        if account is not None and not tables.nothing_moved(account):
            self._drawing.start(self._drawn(account), lambda: None, self._failed)

    def _drawn(self, account: Account) -> Iterator[bool]:
        """What made the difference as a picture, for a wide panel and then for a narrow one."""
        order, spread = self._order, self.spread
        found = cause_parts(account, order or CAUSES)
        parts = {each.cause: each.told if order else each.part for each in found}
        off = {} if order else spread
        words = describe_causes(account, parts, off)  # every figure of the picture is in them
        if words == self._pictured:
            return
        for name, width_px in WIDTHS_PX.items():
            svg = page_svg(draw_causes(account, parts, off, width_px=width_px), f"causes-{name}", words)
            self.pictures[name].value = element("div", Html(svg), css=f"mt-causes-{name}")
            yield True
        self._pictured = words

    def _say(self, text: str) -> None:
        self.said.value = message(text) if text else ""

    def _asking(self, name: str) -> widgets.Widget:
        hint = make(widgets.HTML, element("p", HINTS[name], css="mt-hint"))
        return make(widgets.VBox, [hint, self.rows[name].widget])

    def _layout(self) -> widgets.Widget:
        self.hint, self.problem, self.said, self.signed, self.sums, self.causes, self.lines, self.shrunk = (
            make(widgets.HTML) for _ in range(8)
        )
        self.pictures = {name: make(widgets.HTML) for name in WIDTHS_PX}
        self.none = make(widgets.HTML, element("p", tables.NOTHING_YET))
        by_line = Fold("Line by line", self.lines, "lines")
        why = explained({"The order": tables.WHY_ORDERS}, "Why the order matters")
        told = [self.order, why, *self.pictures.values(), self.causes]
        self.some = make(
            widgets.VBox, [self.signed, self.sums, heading("What made the difference"), *told, by_line]
        )
        self.shrinkage = make(
            widgets.VBox, [heading("What shrank"), self.shrunk, self.buttons["take-shrinkage"]]
        )
        parts = [
            heading("Settling up"), self.hint, *self.folds.values(), self.problem, self.none, self.some,
            self.shrinkage, self.buttons["write-account"], self.said,
        ]  # fmt: skip
        return make(widgets.VBox, parts, css="mt-account")


def _read(rows: Rows[Any], told: Mapping[Row[Any], Check]) -> Iterator[tuple[Row[Any], Any]]:
    """The rows that are filled in and can be, with what each describes; mistakes in the others are noted."""
    for row in rows.used:
        thing = None if row.missing else row.made(told[row])
        if thing is not None:
            yield row, thing
