"""Rounds of checking a finished wall: what each found, what is open after it, what is closed by whom."""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import count, pairwise

import numpy as np

from mytakeoff.acceptance.hand_marks import check_marks
from mytakeoff.acceptance.promised import Promised
from mytakeoff.acceptance.snags import (
    CHECKED,
    DONE,
    KEPT,
    NEAR_M,
    OPEN,
    Snag,
    SnagEvent,
    SnagList,
    SnagState,
    TouchUp,
    by_place,
    nearest_to,
    over_limit,
    snag_list,
)
from mytakeoff.errors import Check
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.numbered_snag import NumberedSnag
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.job.rates import LabourRates
from mytakeoff.steps import run
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.cells import inside
from mytakeoff.survey.interpolate import readings_of
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Rectangle

RIM_M = 1e-6
face_of = lru_cache(KEPT)(grid_surface)  # the same one again, so that its repair is known
FOUND, STILL_THERE, REOPENED = "found", "still there", "reopened"


def snag_book(
    promised: Promised,
    rounds: Sequence[CheckRound],
    surveys: Mapping[str, Survey] | None = None,
    touch_up: TouchUp | None = None,
    rates: LabourRates | None = None,
    cell_m: float = 0.05,
    reach_m: float = 0.5,
    formats: Formats = HOUSE,
    places: Sequence[NumberedSnag] = (),
) -> SnagList:
    """The snags of a wall after all rounds, each with what every round found of it.

    Parameters
    ----------
    promised : Promised
    rounds : sequence of CheckRound
        In the order of their days.
    surveys : mapping of str to Survey or None
        By the names that rounds have for them.
    touch_up : TouchUp or None
    rates : LabourRates or None
    cell_m : float
        Greatest cell of a survey's height field [m].
    reach_m : float
        How far a survey is trusted beyond its readings [m].
    formats : Formats
        Of its notices.
    places : sequence of NumberedSnag
        A new snag that lies there has that number; the others are numbered as they are found. One where
        nothing is found any more is passed over.

    Returns
    -------
    SnagList
        Surface, repair and notices are those of the last survey.

    Raises
    ------
    TakeoffError
        Rounds that are not in the order of their days, a survey that is not there, a number that is on no
        list of an earlier round, and what `snag_list` refuses.

    Notes
    -----
    A snag that a round finds again is open, whatever was said of it; one that was checked is reopened. It is
    checked where a round shows that it is gone: a survey with a reading in its rectangle that asks for
    nothing there, or an edge laid within 0.3 m of it that shows no more than was promised. A place that
    nobody looked at stays as it was: readings that never saw it do not close it.

    Examples
    --------
    Light of 5 mm, touched up, and the edge laid there again:

    >>> from datetime import date
    >>> from mytakeoff.finished.hand_mark import HandMark
    >>> from mytakeoff.flatness.edge_lines import EdgeRule
    >>> from mytakeoff.survey.wall import Wall
    >>> held = Promised(Wall("A", 4.0, 2.5), (EdgeRule(2.0, 3.0),))
    >>> first = CheckRound(date(2027, 3, 1), marks=(HandMark(1.2, 0.8, "light", 5.0),))
    >>> again = CheckRound(date(2027, 3, 8), marks=(HandMark(1.2, 0.9, "light", 1.0),), done=(1,))
    >>> [[each.what for each in snag.history] for snag in snag_book(held, [first, again]).snags]
    [['found', 'done', 'checked']]
    """
    told = touch_up, rates, cell_m, reach_m, formats, places
    return run(snag_book_steps(promised, rounds, surveys, *told))


def snag_book_steps(
    promised: Promised,
    rounds: Sequence[CheckRound],
    surveys: Mapping[str, Survey] | None = None,
    touch_up: TouchUp | None = None,
    rates: LabourRates | None = None,
    cell_m: float = 0.05,
    reach_m: float = 0.5,
    formats: Formats = HOUSE,
    places: Sequence[NumberedSnag] = (),
) -> Generator[None, None, SnagList]:
    """The same in steps, a round each, for a screen."""
    surveys = surveys or {}
    check_rounds(rounds, surveys, promised)
    seen: list[_Seen] = []
    for each in rounds:
        survey = surveys[each.survey] if each.survey else None
        surface = None if survey is None else face_of(survey, cell_m, reach_m)
        found = snag_list(promised, surface, survey, each.marks, touch_up, rates, formats)
        seen.append(_Seen(each, found, survey, surface))
        yield
    check = Check()
    book = _gone_through(promised, seen, places, check)
    met = {snag.number for snag in book.snags}
    there = [place for place in places if place.number in met]
    if len(there) < len(places):  # where nothing is found any more, a number stands for nothing either
        check = Check()
        book = _gone_through(promised, seen, there, check)
    check.done()
    return book


@dataclass(frozen=True, eq=False)
class _Seen:
    """One round and what it found, not numbered yet."""

    of: CheckRound
    found: SnagList
    survey: Survey | None
    surface: Surface | None


def _gone_through(
    promised: Promised, seen: Sequence[_Seen], places: Sequence[NumberedSnag], check: Check
) -> SnagList:
    """The snags after all rounds; numbers that were touched up and are on no list are told."""
    kept: tuple[Snag, ...] = ()
    known_after = list[tuple[int, ...]]()
    for each in seen:
        kept = _after(_said_done(kept, each.of, promised, check), each, places)
        known_after.append(tuple(sorted(snag.number for snag in kept)))
    read = (each.found for each in reversed(seen) if each.surface is not None)
    latest = next(read, SnagList(promised, ()))
    return replace(latest, snags=tuple(by_place(kept)), known_after=tuple(known_after))


def check_rounds(rounds: Sequence[CheckRound], surveys: Mapping[str, Survey], promised: Promised) -> None:
    """See that rounds stand in order, name surveys that are there, and have marks on the plaster.

    Raises
    ------
    TakeoffError
        All of it together. Numbers that are on no list are told by `snag_book`: that takes the lists.
    """
    check = Check()
    for before, after in pairwise(rounds):
        check.place = f"wall {promised.wall.name!r}, {after.where}"
        check.that(
            before.on <= after.on,
            f"{after.on.isoformat()} after {before.on.isoformat()}",
            "rounds stand in the order of their days",
            "sort them, or look at the days again",
        )
    for each in rounds:
        check.place = f"wall {promised.wall.name!r}, {each.where}"
        check.that(
            not each.survey or each.survey in surveys,
            f"survey {each.survey!r}",
            "the survey of a round is one that is there",
            f"give one of {', '.join(surveys) or 'none: leave it out'}",
        )
        check.made(partial(check_marks, each.marks, promised, check.place))
    check.done()


def _said_done(
    kept: tuple[Snag, ...], each: CheckRound, promised: Promised, check: Check
) -> tuple[Snag, ...]:
    """The snags once those are done that were said to be."""
    check.place = f"wall {promised.wall.name!r}, {each.where}"
    known = {snag.number for snag in kept}
    for number in each.done:
        check.that(
            number in known,
            f"number {number} touched up",
            "it is a snag of an earlier round",
            f"write one of {', '.join(map(str, sorted(known)))}"
            if known
            else "leave it out in the first round",
        )
    return tuple(
        _moved(snag, DONE, each, DONE) if snag.number in each.done and snag.state == OPEN else snag
        for snag in kept
    )


def _moved(snag: Snag, state: SnagState, each: CheckRound, what: str) -> Snag:
    return replace(snag, state=state, history=(*snag.history, SnagEvent(each.on, what)))


def _after(kept: tuple[Snag, ...], seen: _Seen, places: Sequence[NumberedSnag]) -> tuple[Snag, ...]:
    """The snags after what a round found: seen again, new, or gone."""
    each, found = seen.of, seen.found
    pairs = _pairs(kept, found.snags)
    again = {old: _seen_again(kept[old], found.snags[new], each) for old, new in pairs.items()}
    rest = [
        _moved(snag, CHECKED, each, CHECKED) if snag.state != CHECKED and _is_gone(snag, seen) else snag
        for nth, snag in enumerate(kept)
        if nth not in again
    ]
    new = [snag for nth, snag in enumerate(found.snags) if nth not in pairs.values()]
    fresh = (
        replace(_moved(snag, OPEN, each, FOUND), found_at=(snag.x_m, snag.z_m))
        for snag in _numbered(new, kept, places)
    )
    return (*again.values(), *rest, *fresh)


def _numbered(new: Sequence[Snag], kept: Sequence[Snag], places: Sequence[NumberedSnag]) -> Iterator[Snag]:
    """New snags with the numbers of their places; where there is none, with the next ones in order."""
    used = {snag.number for snag in kept}
    near = sorted(
        (snag.away_m(place.x_m, place.z_m), nth, place.number)
        for nth, snag in enumerate(new)
        for place in places
        if place.kind == snag.kind and place.number not in used
    )
    given: dict[int, int] = {}
    for away, nth, number in near:
        if away <= NEAR_M and nth not in given and number not in given.values():
            given[nth] = number
    used |= {place.number for place in places}
    following = (number for number in count(1 + max((snag.number for snag in kept), default=0)))
    free = (number for number in following if number not in used)
    yield from (replace(new[nth], number=number) for nth, number in given.items())
    others = (snag for nth, snag in enumerate(new) if nth not in given)
    yield from (replace(snag, number=next(free)) for snag in by_place(others))


def _pairs(kept: Sequence[Snag], found: Sequence[Snag]) -> dict[int, int]:
    """Which snag of before each found one is, nearest first; each is one at most."""
    near = sorted(
        (_apart_m(old.place, new.place), _middles_m(old, new), nth, mth)
        for nth, old in enumerate(kept)
        for mth, new in enumerate(found)
        if old.kind == new.kind
    )
    pairs: dict[int, int] = {}
    for apart, _, nth, mth in near:
        if apart <= NEAR_M and nth not in pairs and mth not in pairs.values():
            pairs[nth] = mth
    return pairs


def _apart_m(one: Rectangle, other: Rectangle) -> float:
    """Between the nearest sides of two rectangles, 0 where they overlap [m]."""
    across = max(one.x_m - other.x_m - other.width_m, other.x_m - one.x_m - one.width_m, 0.0)
    up = max(one.z_m - other.z_m - other.height_m, other.z_m - one.z_m - one.height_m, 0.0)
    return math.hypot(across, up)


def _middles_m(one: Snag, other: Snag) -> float:
    return math.hypot(one.x_m - other.x_m, one.z_m - other.z_m)


def _seen_again(old: Snag, new: Snag, each: CheckRound) -> Snag:
    """A snag of before as it is now."""
    what = REOPENED if old.state == CHECKED else STILL_THERE
    kept = replace(new, number=old.number, history=old.history, found_at=old.found_at)
    return _moved(kept, OPEN, each, what)


def _is_gone(snag: Snag, seen: _Seen) -> bool:
    """Whether a round that did not find a snag looked at its place."""
    promised, survey, surface = seen.found.promised, seen.survey, seen.surface
    if any(nearest_to([snag], mark) and not over_limit(mark, promised) for mark in seen.of.marks):
        return True
    return survey is not None and surface is not None and _was_read(snag, survey, surface)


def _was_read(snag: Snag, survey: Survey, surface: Surface) -> bool:
    """Whether a reading lies where a snag is; of a scan, whether it saw that place."""
    if survey.layout == "scan":
        place = snag.place
        x, z = (list(_within(at, low, low + size)) for at, low, size in (
            (surface.x_m, place.x_m, place.width_m), (surface.z_m, place.z_m, place.height_m)
        ))  # fmt: skip
        seen = ~surface.guessed & (surface.known_area_m2 > 0)
        return bool(seen[z][:, x].any())
    read = readings_of(survey)
    if "readings" in snag.seen_by:
        return bool(inside(snag.place, read.x_m, read.z_m, RIM_M).any())
    away = np.hypot(read.x_m - snag.x_m, read.z_m - snag.z_m)
    return bool((away < math.sqrt(snag.area_m2 / math.pi) - RIM_M).any())


def _within(places_m: Iterable[float], low_m: float, high_m: float) -> Iterator[int]:
    """Numbers of the places between two others [m]."""
    return (nth for nth, at in enumerate(places_m) if low_m <= at <= high_m)
