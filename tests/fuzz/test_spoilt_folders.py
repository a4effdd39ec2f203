"""Job folders spoilt by a seed: each is a sound result or its mistakes are told, and nothing else."""

from __future__ import annotations

import sys
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest
from demo import coarse_demo
from fuzz import FAILED, REFUSED, RESULT, Outcome, outcomes, tried
from fuzz_folders import spoilt_folder
from sound_result import check_result

import mytakeoff as mt

BEFORE_A_LANDING, MANY = 300, 5000


def check_cases(first: int, count: int) -> None:
    """Try cases; each failure says what was changed and how it is had again."""
    found = list(outcomes(first, count))
    assert [each.case for each in found] == list(range(first, first + count))
    failed = [each for each in found if each.way == FAILED]
    said = (f"python tests/helpers/fuzz.py --case {each.case}\n{each.why}" for each in failed)
    assert not failed, f"{len(failed)} of {count} cases:\n" + "\n".join(said)
    share = sum(each.way == RESULT for each in found) / count
    assert 0.1 < share < 0.9  # else half of the program is not reached


@pytest.mark.slow
def test_before_a_landing() -> None:
    check_cases(1, BEFORE_A_LANDING)


@pytest.mark.long
def test_many_more() -> None:
    check_cases(1 + BEFORE_A_LANDING, MANY - BEFORE_A_LANDING)


def files_in(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*")}


def test_a_case_hangs_on_its_number_alone(tmp_path: Path) -> None:
    for name in ("one", "other"):
        spoilt_folder(Random(8), tmp_path / name)
    assert files_in(tmp_path / "one") == files_in(tmp_path / "other")
    spoilt_folder(Random(9), tmp_path / "third")
    assert files_in(tmp_path / "third") != files_in(tmp_path / "one")


@pytest.mark.parametrize(
    "error", [ZeroDivisionError("by hand"), mt.TakeoffError(mt.Mistake("found", "", ""))]
)
def test_a_crash_and_a_mistake_that_says_no_place_are_failures(tmp_path, monkeypatch, error) -> None:
    def crash(folder: Path) -> None:
        raise error

    monkeypatch.setattr(mt, "open_job", crash)
    outcome = tried(1, tmp_path)
    assert outcome.way == FAILED
    assert "in crash" in outcome.why


ENDS_AT_2 = """
import json, os, sys
for case in range(int(sys.argv[3]), int(sys.argv[3]) + int(sys.argv[1])):
    if case == 2:
        sys.stderr.write("out of room")
        os._exit(3)
    print(json.dumps({"case": case, "way": "refused"}), flush=True)
"""


def test_a_case_that_takes_the_process_down_is_a_failure_and_the_rest_go_on() -> None:
    found = list(outcomes(1, 4, (sys.executable, "-c", ENDS_AT_2)))
    assert [each.way for each in found] == [REFUSED, FAILED, REFUSED, REFUSED]
    assert found[1] == Outcome(2, FAILED, "the process ended with 3\nout of room")


TALKS_AT_2 = ENDS_AT_2.replace('sys.stderr.write("out of room")', 'print("Hello")').replace("os._exit(3)", "")


def test_a_case_in_which_anything_prints_is_a_failure_and_the_rest_go_on() -> None:
    found = list(outcomes(1, 3, (sys.executable, "-c", TALKS_AT_2)))
    assert [each.way for each in found] == [REFUSED, FAILED, REFUSED]
    assert "'Hello\\n'" in found[1].why


def test_cases_of_one_cause_are_known_by_it() -> None:
    assert Outcome(1, FAILED, 'x\n  File "a/mytakeoff/b.py", line 3, in c\nKeyError: 1').cause == (
        "KeyError at b.py, line 3, in c"
    )


def test_a_result_that_does_not_add_up_is_noticed() -> None:
    result = mt.evaluate(replace(coarse_demo(), only=("breast front",)))
    check_result(result)
    line = result.cost.lines[0]
    wrong = (
        replace(line, amount=line.amount + Decimal("0.01")),
        replace(line, quantity=-line.quantity, amount=-line.amount),
    )
    for other in wrong:
        cost = replace(result.cost, lines=(other, *result.cost.lines[1:]))
        with pytest.raises(AssertionError):
            check_result(replace(result, cost=cost))
    need = replace(result.needs[0], bags=result.needs[0].bags - 1)
    with pytest.raises(AssertionError):
        check_result(replace(result, needs=(need, *result.needs[1:])))
