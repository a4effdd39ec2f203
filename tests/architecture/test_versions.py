"""The lowest versions that the package says it works with are those that it is tried with."""

from __future__ import annotations

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.version import Version
from places import CHECKOUT

PROJECT = tomllib.loads((CHECKOUT / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
USED = ("app", "scan", "parquet", "cluster")
NEEDED = [
    Requirement(line)
    for line in (*PROJECT["dependencies"], *(line for name in USED for line in EXTRAS[name]))
]


def pinned(name: str) -> dict[str, Version]:
    """Versions of a file of pins, by the names that an index knows."""
    lines = (CHECKOUT / ".ci" / name).read_text("utf-8").splitlines()
    pairs = (line.split("==") for line in lines)
    return {plain(package): Version(version) for package, version in pairs}


def plain(package: str) -> str:
    """A package's name as an index writes it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", package).lower()


@pytest.mark.parametrize("needed", NEEDED, ids=lambda needed: needed.name)
def test_the_oldest_is_the_lower_bound_and_the_tested_is_not_older(needed: Requirement) -> None:
    (bound,) = needed.specifier
    assert bound.operator == ">="
    assert pinned("oldest-versions.txt")[plain(needed.name)] == Version(bound.version)
    assert pinned("tested-versions.txt")[plain(needed.name)] >= Version(bound.version)
