"""A file is named for whom it is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from mytakeoff import TakeoffError
from mytakeoff.audience import check_audience, check_name, headed, named_for


@pytest.mark.parametrize(
    ("name", "audience"),
    [
        ("costed-table.csv", "estimator"),
        ("costed-table-client.csv", "client"),
        ("client-list.csv", "estimator"),
    ],
)
def test_a_name_that_says_so_is_taken(name: str, audience: str) -> None:
    check_name(Path("somewhere") / name, audience)
    assert named_for(name, audience) == name


@pytest.mark.parametrize(
    ("name", "audience", "instead"),
    [
        ("costed-table.csv", "client", "costed-table-client.csv"),
        ("flat.csv", "client", "flat-client.csv"),
        ("costed-table-client.csv", "estimator", "costed-table.csv"),
        ("FLAT-CLIENT.CSV", "estimator", "FLAT.CSV"),
    ],
)
def test_a_file_named_for_the_other_is_refused_in_one_message(name: str, audience: str, instead: str) -> None:
    with pytest.raises(TakeoffError) as told:
        check_name(Path("somewhere") / name, audience)
    (mistake,) = told.value.mistakes
    assert repr(name) in mistake.found
    assert audience in mistake.found
    assert "-client" in mistake.rule
    assert repr(instead) in mistake.remedy
    assert mistake.place == str(Path("somewhere") / name)


def test_there_is_no_third_audience() -> None:
    with pytest.raises(TakeoffError, match="'estimator' or 'client'"):
        check_audience("boss")


def test_a_title_says_it_first() -> None:
    assert headed("client", "Flat 3") == "For the client: Flat 3"
