"""The next steps of some sliders, worked out while the hand rests, so that the table follows at once.

Only the kernel works out quantities and money; the browser shows what was told for where a slider comes to,
and the kernel's own answer to the move follows.

Notes
-----
Only sliders that leave every thickness as it is are looked ahead at. Anything else that changes (a price, the
wall on the map, the view) is another `rest` and voids what was told. In a drag nothing is looked ahead at,
nor where one place takes longer than 50 ms, nor without a page.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from math import ceil, floor

from mytakeoff.audience import CLIENT, ESTIMATOR
from mytakeoff.chain import evaluate
from mytakeoff.errors import TakeoffError
from mytakeoff.job.job import Job
from mytakeoff.panels.budget_panel.cost_table import table_of
from mytakeoff.panels.budget_panel.texts import BudgetTexts
from mytakeoff.panels.parts import words
from mytakeoff.panels.parts.bind import BoundNumber
from mytakeoff.panels.parts.boxes import NOISE_PLACES
from mytakeoff.panels.parts.html import listed, paragraphs
from mytakeoff.panels.parts.slices import Steps, Waiting
from mytakeoff.panels.wall_map.map_fields import changed
from mytakeoff.result import Result

REST_S = 0.01  # an answer to a fast hand is followed by the next move sooner than this
RUSH_S = 0.015  # moves that follow an answer within this, as in a drag, want all of the processor
RUSH_REST_S = 0.1  # so long after the last of them
LONG_S = 0.05  # work of this length would make the hand wait: what takes longer is not foreseen
REACH = 2  # steps to either side: one for the next key, one for a key that follows at once
MOST_PLACES = 80  # the browser keeps a few more
NOISE_STEPS = 1e-6  # a slider's own arithmetic


def texts_of(result: Result, wall: str, client: bool) -> dict[str, str]:
    """Every text of `BudgetTexts` for a result.

    Parameters
    ----------
    result : Result
    wall : str
        Name of the wall on the map, empty for none.
    client : bool
        Finished work and days without rates, bags, margins, and nothing about method.
    """
    return {
        "table": table_of(result, client),
        "headline": words.headline(result, CLIENT if client else ESTIMATOR),
        "coats": "" if client or not wall else words.coats(result.wall(wall), result.job.formats),
        "notices": "" if client else listed(result.notices),
        "excluded": listed(result.cost.excluded),
        "cautions": words.cautions(result),
        "own": paragraphs(result.notes),
    }


def stepped(number: BoundNumber, value: float, steps: int) -> float | None:
    """Where so many steps of a slider lead from a value, which need not lie on a step; None off its track.

    Examples
    --------
    On a track of whole numbers from 0 to 10, one step up from 2.4 is 3, two steps down 1.
    """
    slider = number.slider
    at = (value - slider.min) / slider.step
    onto = floor(at + NOISE_STEPS) + steps if steps > 0 else ceil(at - NOISE_STEPS) + steps
    reached = round(slider.min + onto * slider.step, NOISE_PLACES)
    return reached if slider.min <= reached <= slider.max else None


@dataclass(frozen=True)
class _Shown:
    """What the browser shows: texts of a result, where the sliders stand in it, and places sent ahead.

    Held as one, since a callback and a running cell may be on threads of their own.
    """

    result: Result
    wall: str
    client: bool
    texts: dict[str, str]
    at: tuple[float, ...]
    rest: int
    places: set[tuple[float, ...]]


class Foresight:
    """Works out what the texts would be a step or two further on each of some sliders.

    Parameters
    ----------
    numbers : sequence of BoundNumber
        Their sliders must leave the map's field as it is.
    texts : BudgetTexts
        Its `sliders` are theirs, in the same order.
    """

    def __init__(self, numbers: Sequence[BoundNumber], texts: BudgetTexts) -> None:
        self._numbers, self._texts = tuple(numbers), texts
        self._last: _Shown | None = None
        self._moving = (0, 1)  # which slider moved last, and which way
        self._asked, self._rushed, self._answered_s = False, False, 0.0
        self._steps, self._waiting = Steps(), Waiting()
        texts.on_msg(lambda *_: self._page_is_there())

    def show(self, result: Result, wall: str, client: bool) -> None:
        """Tell the texts of a result; what was foreseen holds on while only the sliders move."""
        self._steps.stop()
        self._rushed = time.perf_counter() - self._answered_s < RUSH_S
        at, last = self._at(result.job), self._last
        if (
            last
            and (wall, client) == (last.wall, last.client)
            and last.result.job.worked_out == result.job.worked_out
            and self._only_moved(last.result.job, result.job)
        ):
            self._note_move(last.at, at)
            known = last.places if len(last.places) < MOST_PLACES else set()
            rest, places = last.rest, known | {at}
        else:
            rest, places = self._texts.rest + 1, {at}
        self._last = _Shown(result, wall, client, texts_of(result, wall, client), at, rest, places)
        self._texts.tell(self._last.texts, at, rest)

    def look(self) -> None:
        """Look ahead once the hand rests for a moment, if there is a page that shows it."""
        self._answered_s = time.perf_counter()
        if self._asked:
            self._waiting.start(RUSH_REST_S if self._rushed else REST_S, self._begin)

    def _page_is_there(self) -> None:
        """A page has been opened or loaded anew, and knows of nothing but the present texts."""
        self._asked = True
        if self._last is not None:
            self._last = replace(self._last, places={self._last.at})
        self.look()

    def _begin(self) -> None:
        self._steps.start(self._work(), lambda: None, lambda error: None)

    def _at(self, job: Job) -> tuple[float, ...]:
        return tuple(round(number.spec.read(job), NOISE_PLACES) for number in self._numbers)

    def _moved(self, job: Job, at: Sequence[float]) -> Job:
        """The job with the sliders elsewhere; one that stands there already is not set."""
        pairs = [(n.spec, value) for n, value in zip(self._numbers, at, strict=True)]
        return reduce(
            lambda job, pair: job if pair[0].read(job) == pair[1] else pair[0].write(job, pair[1]), pairs, job
        )

    def _only_moved(self, before: Job, after: Job) -> bool:
        try:
            return self._moved(before, self._at(after)) == after
        except TakeoffError:
            return False

    def _note_move(self, before: Sequence[float], after: Sequence[float]) -> None:
        for index, (old, new) in enumerate(zip(before, after, strict=True)):
            if old != new:
                self._moving = (index, 1 if new > old else -1)

    def _places(self, at: tuple[float, ...]) -> Iterator[tuple[float, ...]]:
        """Where the sliders may come to next: the nearest first, twice as far in the way of the last move."""
        ways = [(index, way) for index in range(len(at)) for way in (1, -1)]
        reach = {way: REACH * (2 if way == self._moving else 1) for way in ways}
        steps = [(way, steps) for way in ways for steps in range(1, reach[way] + 1)]
        for (index, way), count in sorted(steps, key=lambda step: step[1] / reach[step[0]]):
            reached = stepped(self._numbers[index], at[index], way * count)
            if reached is not None:
                yield (*at[:index], reached, *at[index + 1 :])

    def _work(self) -> Iterator[bool | None]:
        last = self._last
        if last is None:
            return
        for at in self._places(last.at):
            if at in last.places:
                continue
            evaluate(last.result.job)  # the caches forget what was asked for longest ago: never what is shown
            began = time.thread_time()  # what others do on a busy machine is not this work
            last.places.add(at)
            try:
                texts = texts_of(evaluate(self._moved(last.result.job, at)), last.wall, last.client)
            except TakeoffError:  # it is said when the hand gets there
                continue
            self._texts.foretell(changed(last.texts, texts), at, over=last.at, rest=last.rest)
            if time.thread_time() - began > LONG_S:
                return
            yield True
