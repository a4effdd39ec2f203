"""What each way's row says: what you get, what still shows, what moves; the words are the figures."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from demo import demo
from effort import examples
from example_job import example_folder
from hand import ONE_ROOM, SKIMMED, prices_of
from hypothesis import given
from hypothesis import strategies as st
from option_jobs import FALLEN, flat_job

import mytakeoff as mt
from mytakeoff.formats.formats import Formats, way
from mytakeoff.job.treatments import Compare
from mytakeoff.options import in_words
from mytakeoff.options.compare import OptionResult, compare, option_result
from mytakeoff.options.table import options_frame
from mytakeoff.panels.parts.words import facts

PLAIN = Formats()


def random_job(seed: int, walls: int) -> mt.Job:
    """Walls that lean, bow and are rough, of brick or old plaster, some with window, sockets, hole."""
    rng = np.random.default_rng(seed)
    entries = tuple(_random_wall(rng, f"wall {nth}") for nth in range(walls))
    compare = Compare(grade=str(rng.choice(["own", "DIN 18202 line 6"])), take_down=False)
    return mt.Job("random", ONE_ROOM, entries, SKIMMED, prices_of(SKIMMED), cell_m=0.3, compare=compare)


def _random_wall(rng: np.random.Generator, name: str) -> mt.JobWall:
    high_m = float(rng.choice([2.4, 2.6]))
    window = (mt.Opening("window", 1.0, 0.9, 0.8, 1.0),) if rng.integers(2) else ()
    wall = mt.Wall(name, 3.0, high_m, window)
    x, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 3, 7), np.linspace(0, high_m, 6)))
    bow = rng.uniform(-8, 8) * np.sin(np.pi * x / 3)
    proud = rng.uniform(-14, 14) * z / high_m + bow + rng.normal(0, 1, x.size)
    survey = mt.Survey.from_readings(wall, x, z, proud.round(), plumb=bool(rng.integers(6)), swept=True)
    loose = (mt.LooseArea(2.0, 0.4, 0.6, 0.5, 15.0, fallen=True),) if rng.integers(2) else ()
    background = "sound old plaster" if loose else str(rng.choice(["brick", "sound old plaster"]))
    return mt.JobWall(wall, "room", survey, background, sockets=int(rng.integers(3)), loose=loose)


@cache
def options_of_job(which: str | tuple[int, int]) -> tuple[OptionResult, ...]:
    job = (
        demo()
        if which == "demo"
        else mt.open_job(example_folder())
        if which == "starting job"
        else random_job(*which)
    )
    return tuple(option for option in compare(job) if isinstance(option, OptionResult))


def check_words(options: tuple[OptionResult, ...]) -> None:
    for option in options:
        check_sentence(option)
        check_room(option)
        check_reasons(option)
    for one, other in combinations(options, 2):
        if leans_of(one) != leans_of(other) and len(one.walls) <= in_words.MOST_NAMED:
            assert in_words.lean(one) != in_words.lean(other)
            assert in_words.sentence(one) != in_words.sentence(other)


def leans_of(option: OptionResult) -> list[str | None]:
    """Lean of each wall in whole millimetres and its sense, as a person tells them apart."""
    return [
        None if left.lean_mm is None else f"{PLAIN.number(abs(left.lean_mm))} {way(left.lean_mm)}"
        if PLAIN.number(abs(left.lean_mm)) != "0" else "plumb"
        for left in option.remains
    ]  # fmt: skip


def check_sentence(option: OptionResult) -> None:
    said = in_words.sentence(option)
    assert said.endswith(".")
    assert said.count(";") == 3 - 1
    gap, known = option.worst_gap_mm, [left.lean_mm for left in option.remains if left.lean_mm is not None]
    assert (f"gap of up to {PLAIN.mm(gap)} under" in said) == (gap >= 0.05)
    assert ("no gap under" in said) == (gap < 0.05)
    if len(known) < len(option.walls):
        assert "no lean is known of" in said or "has no known lean" in said
    worst = max(known, key=abs, default=0.0)
    if abs(worst) >= 0.5:
        assert f"leans {PLAIN.number(abs(worst))} mm {way(worst)} over its" in said
    elif known:
        assert "plumb" in said
    deepest = max((lining.greatest_mm for left in option.remains for lining in left.linings), default=0.0)
    assert (f"linings packed out by up to {PLAIN.fixed(deepest)} mm" in said) == (deepest >= 0.5)
    sockets = sum(wall.entry.sockets for wall in option.walls if wall.built_up)
    assert (f"{sockets} socket" in said) == (sockets > 0)
    assert ("the skirting" in said) == any(wall.built_up for wall in option.walls)
    moved = (wall.built_up or (wall.covered and wall.entry.radiators) for wall in option.walls)
    idle = deepest < 0.5 and not any(moved)
    assert ("nothing to move" in said) == idle


def check_room(option: OptionResult) -> None:
    said = in_words.room_lost(option)
    if option.room_lost_mm < 0.5:
        assert said.startswith("No room is lost")
        return
    assert f"gets {PLAIN.fixed(option.room_lost_mm)} mm narrower" in said
    lost = max(zip(option.walls, option.remains, strict=True), key=lambda pair: pair[1].narrower_mm)[0]
    assert lost.entry.name in said or len(option.walls) == 1
    mean, most = lost.build_up.mean_mm, lost.build_up.max_mm
    assert ("even coat" in said) == (most - mean < 0.5)
    if most - mean >= 0.5:
        back = f", up to {PLAIN.fixed(most)} mm where it lies back"
        assert (
            f"{PLAIN.fixed(mean)} mm on average{back if most - option.room_lost_mm >= 0.5 else ''}." in said
        )


def check_reasons(option: OptionResult) -> None:
    reasons, verdict = in_words.why_fails(option), in_words.verdict(option)
    assert (not reasons) == option.passes == (verdict == "passes")
    pairs = zip(option.walls, option.remains, strict=True)
    failing = [wall.entry.name for wall, left in pairs if not in_words.wall_passes(wall, left)]
    assert [reason.wall for reason in reasons] == failing
    if failing and len(option.walls) > 1:
        counted = f"fails on {len(failing)} of {len(option.walls)} walls"
        assert verdict == f"{counted}: {', '.join(failing)}"
    assert all(reason.why for reason in reasons)


@pytest.mark.parametrize("which", ["demo", "starting job"])
def test_each_row_of_the_package_s_own_jobs_says_what_its_figures_say(which: str) -> None:
    check_words(options_of_job(which))


@examples(6)
@given(st.integers(0, 10_000), st.integers(1, 3))
def test_each_row_of_any_job_says_what_its_figures_say(seed: int, walls: int) -> None:
    check_words(options_of_job((seed, walls)))


@pytest.mark.parametrize("which", ["demo", "starting job", (5, 2)])
def test_the_row_has_the_headline_s_figures_as_the_budget_says_them(which) -> None:
    """One figure, one place: litres are the priced ones, days the days' work, in table, row and budget."""
    for option in options_of_job(which):
        head, result = option.headline, mt.evaluate(option.result.job)
        assert (option.litres, option.days, option.total) == (head.litres, head.work_days, head.total)
        assert head == mt.headline(result)
        [row] = options_frame([option]).to_dict("records")
        assert (row["price"], row["bags"]) == (head.total, head.bags)
        assert row["litres"] == pytest.approx(head.litres, abs=0.005)
        assert facts(result)["litres"] == f"{result.job.formats.number(head.litres)} litres"


def test_following_the_lean_and_plumb_are_told_apart() -> None:
    """Both left no gap under the edge, and nothing else was said."""
    by_name = {option.name: option for option in options_of_job("demo")}
    lean, plumb = by_name["float following the lean"], by_name["float plumb"]
    assert in_words.gap(lean) == in_words.gap(plumb) == "no gap under a 2 m edge"
    assert "party wall leans 9 mm back over its 2.6 m" in in_words.lean(lean)
    assert in_words.lean(plumb) == "every wall stands plumb"


def test_why_a_cheaper_way_fails_stands_in_words() -> None:
    by_name = {option.name: option for option in options_of_job("demo")}
    patched = {reason.wall: reason.why for reason in in_words.why_fails(by_name["patch and skim"])}
    assert "brick takes no skim alone" in patched["window wall"]
    assert patched["party wall"].endswith("(it is not made plumb)")
    left = {reason.why for reason in in_words.why_fails(by_name["as it is"])}
    assert "chimney flue wall stays bare" in left


@pytest.mark.parametrize(
    ("allowed_mm", "why"),
    [(15.0, "gap of 20 mm under a 2 m edge, 15 allowed"), (25.0, "fallen plaster stays open")],
)
def test_a_hole_that_is_left_is_told(allowed_mm: float, why: str) -> None:
    """20 mm deep: first by its gap, and where that is allowed by what stays open."""
    job = replace(flat_job(loose=(FALLEN,)), compare=Compare(tolerance_mm=allowed_mm))
    bare = option_result(job, mt.Treatment("as it is", "as it is", skim=False))
    assert [reason.why for reason in in_words.why_fails(bare)] == [why]


def test_skirting_in_the_price_is_not_told_as_missing() -> None:
    job = flat_job(background="brick")
    way_of_it = mt.Treatment("plumb", "float plumb")
    assert "to move (skirting not in the price)" in in_words.moves(option_result(job, way_of_it))
    priced = replace(job, extras=(mt.Extra("skirting and architrave", 12.0),))
    assert in_words.moves(option_result(priced, way_of_it)) == "the skirting to move"


def test_lean_of_many_walls_names_those_that_lean_most() -> None:
    """Six walls: three by name, the others together."""
    [bare, *_] = options_of_job("demo")
    assert in_words.lean(bare) == (
        "party wall leans 13 mm back over its 2.6 m, breast left cheek 7 mm back, breast front 6 mm back, "
        "3 others up to 4 mm"
    )
