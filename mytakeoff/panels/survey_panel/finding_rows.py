"""What is found on a wall, as rows to fill in: the boxes that each kind of row has, and their folds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from mytakeoff.errors import Check, Mistake
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.findings import Findings
from mytakeoff.panels.findings.row_kinds import (
    CORNERS,
    FITTINGS,
    FIXED_PLACES,
    HIGH_SPOTS,
    HINTS,
    LOOSE,
    SWEEPS,
    TITLES,
    TURN,
)
from mytakeoff.panels.parts.bind import Quiet, number_box
from mytakeoff.panels.parts.fold import Fold
from mytakeoff.panels.parts.html import element
from mytakeoff.panels.parts.rows import Rows
from mytakeoff.panels.parts.stock import make
from mytakeoff.survey.said import Said, SaidOf, answered


class FindingRows(Quiet):
    """Everything found on a wall beside its readings: `findings`, `widget`."""

    def __init__(self, changed: Callable[[], None], formats: Formats = HOUSE) -> None:
        self._changed = changed
        self.said: tuple[SaidOf, ...] = ()
        self.spots, self.sweeps, self.loose, self.corner, self.fittings, self.fixed = (
            Rows[Any](kind, self._follow, formats)
            for kind in (HIGH_SPOTS, SWEEPS, LOOSE, CORNERS, FITTINGS, FIXED_PLACES)
        )
        self.turn = number_box("turn", TURN, unit="mm/m", formats=formats, signed=True)
        self.turn.observe(lambda _: None if self._busy else self._follow(), "value")
        self.kinds: dict[str, Rows[Any]] = {name: getattr(self, name) for name in TITLES}
        self.folds = {name: Fold(title, self._content(name), name) for name, title in TITLES.items()}
        self.widget = make(widgets.VBox, list(self.folds.values()))
        self._count()

    def _content(self, name: str) -> widgets.VBox:
        hint = make(widgets.HTML, element("p", HINTS[name], css="mt-hint"))
        more = [self.turn] if name == "corner" else []
        return make(widgets.VBox, [hint, self.kinds[name].widget, *more])

    @property
    def findings(self) -> Findings:
        """What the rows describe.

        Raises
        ------
        TakeoffError
            Every box and row that cannot be.
        """
        check = Check()
        made = {name: check.made(rows.read) for name, rows in self.kinds.items()}
        turn = self._turn_typed(check)
        check.done()
        corner = made["corner"] or ()
        return Findings(
            made["spots"] or (), made["sweeps"] or (), made["loose"] or (), corner[0] if corner else None,
            turn, made["fittings"] or (), self.said, made["fixed"] or (),
        )  # fmt: skip

    def _turn_typed(self, check: Check) -> float | None:
        return None if self.turn.value == "" else self.turn.number(check)

    @property
    def unfinished(self) -> tuple[Mistake, ...]:
        """A mistake for each row that is not filled in."""
        return tuple(mistake for rows in self.kinds.values() for mistake in rows.unfinished)

    def show(self, found: Findings) -> None:
        """Show these findings and no others."""
        self.said = found.said
        corner = (found.corner,) if found.corner else ()
        shown_now = (found.high_spots, found.sweeps, found.loose, corner, found.fittings, found.fixed_places)
        for rows, things in zip(self.kinds.values(), shown_now, strict=True):
            rows.show(things)
        self._show_turn(found.turn_mm_per_m)
        self._count()

    def add(self, found: Findings) -> None:
        """Show these findings too, those that stand here already once."""
        now = self.findings
        new: dict[str, Any] = {}
        for name in ("high_spots", "sweeps", "loose", "fittings", "fixed_places"):
            mine = getattr(now, name)
            new[name] = (*mine, *(each for each in getattr(found, name) if each not in mine))
        self.show(replace(now, corner=found.corner or now.corner, **new))

    def _show_turn(self, turn_mm_per_m: float | None) -> None:
        with self.quietly():
            self.turn.value = turn_mm_per_m

    def keep_of_plane(self, before: Findings, same: bool) -> None:
        """Take what was read off the plane of an earlier survey out, or back in.

        Parameters
        ----------
        before : Findings
            Of the wall as the job has it.
        same : bool
            This survey was read off that plane too.
        """
        now = self.findings
        self.said = before.said if same else ()
        others = tuple(spot for spot in now.high_spots if spot not in before.high_spots)
        fixed = tuple(each for each in now.fixed_places if each not in before.fixed_places)
        turn = None if now.turn_mm_per_m == before.turn_mm_per_m else now.turn_mm_per_m
        if same:
            others, turn = (*before.high_spots, *others), before.turn_mm_per_m if turn is None else turn
            fixed = (*before.fixed_places, *fixed)
        self.spots.show(others)
        self.fixed.show(fixed)
        self._show_turn(turn)
        self._count()

    def answer(self, at: tuple[float, float], word: Said) -> None:
        """Take what is said of a place, instead of what was said of it before."""
        self.said = answered(self.said, at, word)
        self._changed()

    def _follow(self) -> None:
        self._count()
        self._changed()

    def _count(self) -> None:
        """Say on each fold how many there are."""
        for name, fold in self.folds.items():
            count = sum(not row.missing for row in self.kinds[name].used)
            fold.head.title = f"{TITLES[name]} ({count or 'none'})"
