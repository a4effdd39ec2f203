"""The options of the demonstration job: table, ranges, curve and an edited price, as ratios in one run.

    python tests/benchmarks/bench_options.py

Times are the processor's; each is set against one evaluation of the whole job from its survey on.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import _lru_cache_wrapper
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parents[2]))

import mytakeoff as mt
from mytakeoff.job.edits import with_price
from mytakeoff.options.compare import compare, option_result, options_of
from mytakeoff.options.price_curve import price_curve
from mytakeoff.ranges import job_ranges as sureness
from mytakeoff.ranges.job_ranges import job_ranges, ranges_steps
from mytakeoff.resources import demo_folder
from mytakeoff.simulation import wall_range as wallrange
from mytakeoff.treatment import drawn_fills as fillrange
from mytakeoff.treatment import left_open as leftopen


def forget() -> None:
    """Empty every cache of every stage."""
    for cached in [each for each in gc.get_objects() if isinstance(each, _lru_cache_wrapper)]:
        if cached.__module__.startswith("mytakeoff"):
            cached.cache_clear()


def seconds(work: Callable[[], object], fresh: bool = True, rounds: int = 2) -> float:
    """Shortest processor time of some runs; `fresh`: nothing remembered from before [s]."""
    times = []
    for _ in range(rounds):
        if fresh:
            forget()
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def after_an_edit(job: mt.Job) -> float:
    """All options once more after the price of a bag has moved a little: nothing is placed anew [s]."""
    ways = options_of(job)
    for way in ways:
        option_result(job, way)
    dearer = with_price(job, "light gypsum backing", Decimal("13.42"))
    return seconds(lambda: [option_result(dearer, way) for way in ways], fresh=False, rounds=1)


def main() -> None:
    job = mt.open_job(demo_folder())
    plain, cut = (replace(job, compare=replace(job.compare, take_down=down)) for down in (False, True))
    mt.evaluate(plain)  # imports what is imported late
    once = seconds(lambda: mt.evaluate(plain))
    rows = [
        ("evaluation, floated plumb", once),
        ("table of options", seconds(lambda: compare(plain))),
        ("table of options, high spots taken down", seconds(lambda: compare(cut))),
        ("prices of all options after an edit", after_an_edit(plain)),
        ("the same, high spots taken down", after_an_edit(cut)),
        *ranges(plain),
        ("curve over tolerances", seconds(lambda: list(price_curve(plain)), rounds=1)),
        ("curve again after an edit", _curve_again(plain)),
    ]
    print("| what | time | ÷ one evaluation |\n|---|---|---|")
    for what, took in rows:
        print(f"| {what} | {1000 * took:.0f} ms | {took / once:.2f} |")


def ranges(job: mt.Job) -> list[tuple[str, float]]:
    """The range of each option in turn, with what those before left; after an edit; the longest step."""
    ways = options_of(job)
    done = [option_result(job, way).result for way in ways]
    redraw()
    took = [_once(job_ranges, result) for result in done]
    rows = [(f"range, {way.name}", seconds_) for way, seconds_ in zip(ways, took, strict=True)]
    again = mt.evaluate(with_price(done[2].job, "light gypsum backing", Decimal("13.42")))
    rows.append(("range of the straightened option after an edit", _once(job_ranges, again)))
    redraw()
    return [*rows, ("longest step of any range", max(_longest_step(result) for result in done))]


def redraw() -> None:
    """Forget every wall's faces and what they take."""
    for kept in (wallrange._kept, wallrange._drawn_kept, sureness._kept, fillrange._kept, leftopen._kept):
        kept.clear()


def _once(work: Callable[[mt.Result], object], result: mt.Result) -> float:
    return seconds(lambda: work(result), fresh=False, rounds=1)


def _longest_step(result: mt.Result) -> float:
    """The longest step of a range, over which a screen waits [s]."""
    longest, start = 0.0, process_time()
    for _ in ranges_steps(result):
        longest, start = max(longest, process_time() - start), process_time()
    return longest


def _curve_again(job: mt.Job) -> float:
    list(price_curve(job))
    dearer = with_price(job, "light gypsum backing", Decimal("15"))
    return seconds(lambda: list(price_curve(dearer)), fresh=False, rounds=1)


if __name__ == "__main__":
    main()
