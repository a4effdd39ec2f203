"""What the budget panel tells in advance: what it would show there, and nothing that is out of date."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from demo import demo

import mytakeoff as mt
from mytakeoff.job.job import Job
from mytakeoff.panels import BudgetPanel, budget
from mytakeoff.panels.budget_panel import foresight
from mytakeoff.panels.budget_panel.foresight import stepped
from mytakeoff.panels.budget_panel.panel import FORESEEN
from mytakeoff.panels.budget_panel.texts import NAMES
from mytakeoff.panels.parts.bind import BoundNumber, Number
from mytakeoff.store import Store

Sent = dict[str, Any]


@pytest.fixture(scope="module")
def job() -> Job:
    return demo()


@pytest.fixture(autouse=True)
def _time_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a busy machine, or the first pass through new code, takes longer for is foreseen all the same."""
    monkeypatch.setattr(foresight, "LONG_S", 10.0)


def rested(job: Job, *hands: Callable[[BudgetPanel], None]) -> tuple[BudgetPanel, list[list[Sent]]]:
    """A panel that a loop runs under; what it sends in advance after each of some moves of the hand."""
    sent: list[list[Sent]] = []

    async def work() -> BudgetPanel:
        panel = budget(job)
        panel.texts.send = lambda content: sent[-1].append(content)
        for hand in hands:
            sent.append([])
            hand(panel)
            told = -1
            while told != len(sent[-1]):
                told = len(sent[-1])
                await asyncio.sleep(0.3)
        return panel

    return asyncio.run(work()), sent


def open_page(panel: BudgetPanel) -> None:
    """As a page does once it shows the texts."""
    panel.texts._handle_custom_msg({"ahead": True}, [])


def shown(panel: BudgetPanel) -> dict[str, str]:
    return {name: getattr(panel.texts, name) for name in NAMES}


def move(**places: float) -> Callable[[BudgetPanel], None]:
    def hand(panel: BudgetPanel) -> None:
        for name, value in places.items():
            panel.controls[name].value = value

    return hand


def opened(hand: Callable[[BudgetPanel], None]) -> Callable[[BudgetPanel], None]:
    """A move, and only then a page to see it."""
    return lambda panel: (hand(panel), open_page(panel))[0]


def put(panel: BudgetPanel, at: list[float]) -> dict[str, str]:
    """What a panel shows once its sliders stand there."""
    for name, value in zip(FORESEEN, at, strict=True):
        panel.controls[name].value = value
    return shown(panel)


def test_what_is_told_in_advance_is_what_the_panel_shows_there(job: Job) -> None:
    panel, (ahead,) = rested(job, opened(move(max_coat_mm=17.0)))
    other = budget(job)
    here = shown(panel)
    assert len({tuple(told["at"]) for told in ahead}) == len(ahead) >= 12
    for told in ahead:
        assert told["over"] == panel.texts.at == [17.0, 0.8, 0.1]
        assert told["rest"] == panel.texts.rest
        assert here | told["texts"] == put(other, told["at"])


def test_the_way_that_the_hand_goes_comes_first_and_goes_further(job: Job) -> None:
    _, (up, down) = rested(job, opened(move(max_coat_mm=25.0)), move(max_coat_mm=20.0))
    depths = [told["at"][0] for told in up if told["at"][1:] == [0.8, 0.1]]
    assert up[0]["at"][0] == 25.5
    assert set(depths) == {24.0, 24.5, 25.5, 26.0, 26.5, 27.0}
    assert down[0]["at"][0] == 19.5
    assert min(told["at"][0] for told in down) == 18.0


@pytest.mark.parametrize(
    "hand",
    [
        lambda panel: panel.table.set_price("angle bead", "9.99"),
        lambda panel: setattr(panel.wall, "value", panel.wall.options[1]),
        lambda panel: setattr(panel.view, "value", "client"),
        move(least_mm=12.0),
        move(tax_share=0.11),
    ],
    ids=["a price", "another wall", "the client's view", "the rule", "tax"],
)
def test_anything_else_makes_it_void_and_is_in_what_is_told_next(
    job: Job, hand: Callable[[BudgetPanel], None]
) -> None:
    job = replace(job, missed_high_spot_mm=4.0)  # so that another rule has nothing to work out later
    panel, (before, after) = rested(job, open_page, hand)
    assert {told["rest"] for told in before} == {panel.texts.rest - 1}
    assert {told["rest"] for told in after} == {panel.texts.rest}
    other = budget(job)
    hand(other)
    told = after[0]
    assert shown(panel) | told["texts"] == put(other, told["at"])


def test_it_holds_while_only_these_sliders_move_also_by_undo_and_is_told_once(job: Job) -> None:
    panel, (first, second, back) = rested(job, open_page, move(waste_share=0.11), lambda panel: panel.undo())
    assert {told["rest"] for told in first + second + back} == {panel.texts.rest}
    places = [tuple(told["at"]) for told in first + second + back]
    assert len(set(places)) == len(places)
    assert (15.0, 0.8, 0.11) in places


def test_a_move_drops_what_was_being_looked_at(job: Job) -> None:
    sent: list[Sent] = []

    async def work() -> None:
        panel = budget(job)
        panel.texts.send = sent.append
        open_page(panel)
        while not sent:
            await asyncio.sleep(0.001)
        panel.controls["max_coat_mm"].value = 20.0
        sent.clear()
        await asyncio.sleep(1.0)

    asyncio.run(work())
    assert sent
    assert all(told["over"][0] == 20.0 for told in sent)


def test_what_would_be_refused_is_not_told(job: Job) -> None:
    panel, (ahead,) = rested(job, opened(move(max_coat_mm=8.0)))
    least = job.system.backing.least_coat_mm
    assert panel.store.job.system.backing.max_coat_mm == least == 8.0
    assert min(told["at"][0] for told in ahead) == 8.0
    assert panel.problem.value == ""


def test_nothing_is_worked_out_where_it_would_take_long(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(foresight, "LONG_S", 0.0)
    _, (ahead,) = rested(job, open_page)
    assert len(ahead) == 1


def large(job: Job) -> Job:
    """A flat of four times as many walls."""
    walls = []
    for number, entry in product(range(4), job.walls):
        wall = replace(entry.wall, name=entry.wall.name + " again" * number)
        walls.append(replace(entry, wall=wall, survey=replace(entry.survey, wall=wall)))
    return replace(job, walls=tuple(walls))


def test_looking_ahead_leaves_what_is_shown_remembered(job: Job) -> None:
    panel, (ahead,) = rested(large(job), opened(move(max_coat_mm=17.5)))
    assert len(ahead) >= 12
    shown, again = panel.store.result, mt.evaluate(panel.store.job)
    assert len(shown.walls) == 24
    assert all(a is b for a, b in zip(again.walls, shown.walls, strict=True))


def test_a_page_that_is_loaded_anew_is_told_again(job: Job) -> None:
    _, (first, again) = rested(job, open_page, open_page)
    assert first
    assert first == again


def test_nothing_is_looked_at_without_a_page_or_without_a_loop(job: Job) -> None:
    _, (unseen,) = rested(job, move(max_coat_mm=17.0))
    assert unseen == []
    panel = budget(job)
    sent: list[Sent] = []
    panel.texts.send = sent.append
    open_page(panel)
    panel.controls["max_coat_mm"].value = 17.0
    assert sent == []
    assert panel.texts.at == [17.0, 0.8, 0.1]


@pytest.mark.parametrize(
    ("value", "steps", "reached"),
    [
        (5.0, 1, 5.5),
        (5.0, -2, 4.0),
        (5.2, 1, 5.5),  # a slider goes on to its next step
        (5.2, -1, 5.0),
        (5.2, 2, 6.0),
        (5.0000000001, 1, 5.5),
        (10.0, 1, None),
        (2.0, -1, None),
    ],
)
def test_where_a_key_leads(job: Job, value: float, steps: int, reached: float | None) -> None:
    spec = Number("n", "n, mm", 2.0, 10.0, 0.5, lambda job: value, lambda job, value: job)
    assert stepped(BoundNumber(Store(job), spec), value, steps) == reached
