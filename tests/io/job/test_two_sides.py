"""Any edits of one job from two sides, saved in turn: the folder opens, nothing is doubled, nothing is lost
without a word, and the price is that of the job in which both worked.

What is to come out is said by a model of its own, which knows each wall by its number and never by its name.
"""

from __future__ import annotations

import shutil
import tempfile
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from demo import coarse_demo, copy_of_demo
from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff.job.edits import with_compare, with_price, with_reading, with_wall_name
from mytakeoff.job.treatments import PlumbThing

NAMES = ["window wall", "breast front", "door wall"]
NEW_NAMES = ["street side", "hall side", "gable"]
ITEMS = ["plasterer", "angle bead", "primer"]
SPOTS = [(0.5, 0.5), (0.5, 1.5), (1.0, 2.0)]


@cache
def start() -> Path:
    """Three walls of the demo job on coarse cells; what readings miss is said, not worked out."""
    made = Path(tempfile.mkdtemp())
    folder = copy_of_demo(made)
    job = replace(
        coarse_demo(),
        walls=tuple(wall for wall in coarse_demo().walls if wall.name in NAMES),
        missed_high_spot_mm=4.0,
        compare=replace(coarse_demo().compare, beside=()),
        rooms=tuple(room.of_walls(()) for room in coarse_demo().rooms),
    )
    mt.save_job(job, folder)
    return folder


@dataclass
class Side:
    """One session: the job, and what was done to which wall."""

    job: mt.Job
    names: dict[int, str] = field(default_factory=lambda: dict(enumerate(NAMES)))
    done: dict[tuple, object] = field(default_factory=dict)


Edit = Callable[[Side], None]


def on_wall(side: Side, number: int, change: Callable[[mt.JobWall], mt.JobWall]) -> None:
    entry = side.job.wall(side.names[number])
    walls = tuple(change(each) if each is entry else each for each in side.job.walls)
    side.job = replace(side.job, walls=walls)


def rename(number: int, name: str) -> Edit:
    def edit(side: Side) -> None:
        if number in side.names and name not in [wall.name for wall in side.job.walls]:
            side.job = with_wall_name(side.job, side.names[number], name)
            side.names[number] = name
            side.done["name", number] = name

    return edit


def take_out(number: int) -> Edit:
    def edit(side: Side) -> None:
        if number in side.names and len(side.job.walls) > 1:
            name = side.names.pop(number)
            walls = tuple(wall for wall in side.job.walls if wall.name != name)
            beside = tuple(thing for thing in side.job.compare.beside if thing.wall != name)
            side.job = replace(side.job, walls=walls, compare=replace(side.job.compare, beside=beside))
            side.done["out", number] = True

    return edit


def add(name: str) -> Edit:
    def edit(side: Side) -> None:
        if name not in [wall.name for wall in side.job.walls]:
            entry = mt.open_job(start()).wall("door wall")
            wall = replace(entry.wall, name=name)
            more = replace(entry, wall=wall, survey=mt.Survey.none(wall), sockets=7)
            side.job = replace(side.job, walls=(*side.job.walls, more))
            side.done["added", name] = True

    return edit


def count_sockets(number: int, sockets: int) -> Edit:
    def edit(side: Side) -> None:
        if number in side.names:
            on_wall(side, number, lambda entry: replace(entry, sockets=sockets))
            side.done["sockets", number] = sockets

    return edit


def find_spot(number: int, place: int, mm: float | None) -> Edit:
    """A high spot entered or corrected; None: taken out."""

    def edit(side: Side) -> None:
        if number not in side.names:
            return
        survey = side.job.wall(side.names[number]).survey
        x_m, z_m = SPOTS[place]
        there = zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True)
        spots = [spot for spot in there if spot[:2] != (x_m, z_m)]
        spots += [(x_m, z_m, mm)] if mm is not None else []
        on_wall(side, number, lambda entry: replace(entry, survey=survey.with_high_spots(spots)))

    return edit


def read_once_more(number: int, x_m: float) -> Edit:
    def edit(side: Side) -> None:
        if number in side.names:
            proud_mm = float(side.job.wall(side.names[number]).survey.proud_mm.mean())
            side.job = with_reading(side.job, side.names[number], x_m, 1.234, proud_mm)
            side.done["survey", number] = True

    return edit


def price(item: str, amount: str) -> Edit:
    def edit(side: Side) -> None:
        side.job = with_price(side.job, item, Decimal(amount))
        side.done["price", item] = True

    return edit


def waste(share: float) -> Edit:
    def edit(side: Side) -> None:
        side.job = replace(side.job, waste_share=share)
        side.done["waste_share",] = share

    return edit


def stand_beside(number: int, x_m: float) -> Edit:
    def edit(side: Side) -> None:
        if number in side.names:
            things = (*side.job.compare.beside, PlumbThing("frame", side.names[number], x_m))
            side.job = with_compare(side.job, beside=tuple(dict.fromkeys(things)))

    return edit


NUMBERS = st.integers(0, 2)
EDITS = st.one_of(
    st.builds(rename, NUMBERS, st.sampled_from(NEW_NAMES)),
    st.builds(take_out, NUMBERS),
    st.builds(add, st.sampled_from(NEW_NAMES)),
    st.builds(count_sockets, NUMBERS, st.integers(3, 5)),
    st.builds(find_spot, NUMBERS, st.integers(0, 2), st.sampled_from([None, -25.0, -24.0])),
    st.builds(read_once_more, NUMBERS, st.sampled_from([0.777, 0.888])),
    st.builds(price, st.sampled_from(ITEMS), st.sampled_from(["30.00", "40.00"])),
    st.builds(waste, st.sampled_from([0.12, 0.15])),
    st.builds(stand_beside, NUMBERS, st.sampled_from([0.1, 0.2])),
)
SIDES = st.lists(EDITS, min_size=1, max_size=4)


def saved_in_turn(folder: Path, first: list[Edit], second: list[Edit]) -> tuple:
    """Both sides, and what the second save came to, or why it was refused."""
    opened = mt.open_job(folder)
    sides = [Side(opened), Side(opened)]
    for side, edits in zip(sides, (first, second), strict=True):
        for edit in edits:
            edit(side)
    mt.save_job(sides[0].job, folder, opened)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    try:
        saved = mt.save_job(sides[1].job, folder, opened)
    except mt.TakeoffError as refused:
        saved = refused
    after = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    assert before == after or not isinstance(saved, mt.TakeoffError)
    return *sides, saved


def check_opens(folder: Path, saved) -> None:
    """The folder says what the save says it does, by another reader too, and it is priced alike."""
    again = mt.open_job(folder)
    assert again == saved.job
    document = tomllib.loads((folder / "job.toml").read_text())
    names = [wall["name"] for wall in document["wall"]]
    assert len(names) == len(set(names))
    assert names == [wall.name for wall in saved.job.walls]
    assert mt.evaluate(again).cost.total == mt.evaluate(saved.job).cost.total
    for wall in document["wall"]:
        places = [(spot["x_m"], spot["z_m"]) for spot in wall.get("high_spot", [])]
        assert len(places) == len(set(places))


def wanted(one: Side, other: Side, key: tuple, was: object) -> set:
    """What may come out where nothing is told: the edit of whoever made one."""
    said = {side.done[key] for side in (one, other) if key in side.done} - {was}
    return said or {was}


def check_nothing_lost(first: Side, second: Side, saved) -> None:
    """Each edit is in the job, or the words name where it was."""
    job, told = saved.job, " ".join(saved.told)
    opened = mt.open_job(start())
    if "waste_share" not in told:
        assert {job.waste_share} == wanted(first, second, ("waste_share",), opened.waste_share)
    for number, was in enumerate(NAMES):
        if ("out", number) in {**first.done, **second.done}:
            continue
        names = wanted(first, second, ("name", number), was)
        assert ", name: " in told or len(names) == 1
        name = second.done.get(("name", number), first.done.get(("name", number), was))
        if "sockets" not in told:
            assert {job.wall(name).sockets} == wanted(
                first, second, ("sockets", number), opened.wall(was).sockets
            )
        for side in (first, second):
            mine = side.job.wall(side.names[number]).survey
            added = set(zip(mine.high_x_m, mine.high_z_m, mine.high_mm, strict=True))
            before = opened.wall(was).survey
            added -= set(zip(before.high_x_m, before.high_z_m, before.high_mm, strict=True))
            there = job.wall(name).survey
            lost = added - set(zip(there.high_x_m, there.high_z_m, there.high_mm, strict=True))
            assert not lost or "high spot" in told
    outs = {key[1] for side in (first, second) for key in side.done if key[0] == "out"}
    new = {key[1] for side in (first, second) for key in side.done if key[0] == "added"}
    assert len(job.walls) == len(NAMES) - len(outs) + len(
        [name for name in new if job.wall(name).sockets == 7]
    )
    for item in ITEMS:
        prices = {side.job.prices.of(item).price for side in (first, second)}
        changed = prices - {opened.prices.of(item).price}
        assert f"{item!r}" in told or not changed or job.prices.of(item).price in changed


def told_alike(job: mt.Job) -> tuple:
    """All that a job says whatever order it says it in, surveys by their readings."""
    walls = sorted(
        (replace(wall, survey=replace(wall.survey, source="")) for wall in job.walls), key=lambda w: w.name
    )
    prices = sorted((row.item, row.price) for row in job.prices.rows)
    beside = sorted((thing.wall, thing.x_m) for thing in job.compare.beside)
    return walls, prices, beside, job.waste_share, sorted(job.packs.rows, key=str)


@examples(25, suppress_health_check=list(HealthCheck))
@given(first=SIDES, second=SIDES)
def test_edits_of_two_sides(first, second):
    place = Path(tempfile.mkdtemp())
    try:
        both = []
        for nth, turn in enumerate(((first, second), (second, first))):
            folder = Path(shutil.copytree(start(), place / str(nth)))
            *sides, saved = saved_in_turn(folder, *turn)
            mt.open_job(folder)
            both.append(saved)
            if not isinstance(saved, mt.TakeoffError):
                check_opens(folder, saved)
                check_nothing_lost(*sides, saved)
        refused = [isinstance(saved, mt.TakeoffError) for saved in both]
        clashes = [saved.clashes for saved in both if not isinstance(saved, mt.TakeoffError)]
        if not any(clashes):  # else the later one's wins, and that may not go with another of the former's
            assert refused[0] == refused[1]
        assert any(refused) or bool(clashes[0]) == bool(clashes[1])
        if not any(refused) and not any(clashes):
            assert told_alike(both[0].job) == told_alike(both[1].job)
            totals = [mt.evaluate(saved.job).cost.total for saved in both]
            assert totals[0] == totals[1]
    finally:
        shutil.rmtree(place)


@pytest.fixture(scope="module", autouse=True)
def cleared():
    yield
    shutil.rmtree(start().parent)
