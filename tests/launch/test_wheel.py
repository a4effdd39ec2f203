"""The wheel in a clean environment: made, priced, exported and opened from a folder with any name.

It needs a package index, and takes as long as installing what the package stands on.
"""

from __future__ import annotations

import csv
import os
import subprocess
import sys
import urllib.request
from decimal import Decimal
from pathlib import Path

import pytest
from driving import ADDRESS, waited_for_address
from places import CHECKOUT

pytestmark = pytest.mark.long

INSTALL_S = 1200
NAME = "Квартира 3 — été"
TOTAL = Decimal("6125.98")  # the demo job's, as the checkout prices it
PRICE = """
import mytakeoff as mt
from mytakeoff.io.tables.costs import export_costs
result = mt.evaluate(mt.open_job())
export_costs(result, "costed table — été.csv")
print(result.cost.total, mt.__file__)
"""


def clean_environment() -> dict[str, str]:
    """This one without what leads back to the checkout."""
    ours = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
    return {name: value for name, value in os.environ.items() if name not in ours}


def run(command: list[str | Path], cwd: Path, limit_s: int = 300) -> str:
    """What a command prints; it must end well."""
    done = subprocess.run(
        list(map(str, command)), cwd=cwd, env=clean_environment(), capture_output=True, text=True,
        encoding="utf-8", timeout=limit_s, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def python(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Python of a fresh virtual environment that the wheel is installed in, and nothing else."""
    place = tmp_path_factory.mktemp("wheel")
    asked = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", place / "asked", "hatchling"]
    if subprocess.run(list(map(str, asked)), capture_output=True, check=False, timeout=INSTALL_S).returncode:
        pytest.skip("no package index can be reached: a wheel is neither built nor installed without one")
    run([sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", place, CHECKOUT], place, INSTALL_S)
    (wheel,) = place.glob("mytakeoff-*.whl")
    run([sys.executable, "-m", "venv", place / "venv"], place, INSTALL_S)
    scripts = place / "venv" / ("Scripts" if os.name == "nt" else "bin")
    run([scripts / "python", "-m", "pip", "install", "-q", f"{wheel}[app]"], place, INSTALL_S)
    return scripts / "python"


@pytest.fixture(scope="module")
def folder(python: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo job in a folder made by the installed command."""
    around = tmp_path_factory.mktemp("jobs of a year")
    said = run([python.with_name("mytakeoff"), "new", "--demo", NAME], around)
    assert f'mytakeoff open "{NAME}"' in said, "what comes next can be pasted as it stands"
    return around / NAME


def test_it_prices_and_exports(python: Path, folder: Path) -> None:
    total, place = run([python, "-c", PRICE], folder).split(maxsplit=1)
    assert Decimal(total) == TOTAL
    assert not Path(place.strip()).is_relative_to(CHECKOUT)
    with (folder / "costed table — été.csv").open(encoding="utf-8-sig", newline="") as file:
        assert len(list(csv.reader(file))) > 20


def test_a_new_job_of_its_own_opens(python: Path, folder: Path) -> None:
    run([python.with_name("mytakeoff"), "new", "другая"], folder.parent)
    job = "import mytakeoff as mt; print(len(mt.evaluate(mt.open_job()).walls))"
    assert int(run([python, "-c", job], folder.parent / "другая")) == 0


def test_its_forms_are_written(python: Path, folder: Path) -> None:
    run([python.with_name("mytakeoff"), "form", "."], folder)
    assert len(list((folder / "forms").glob("*.html"))) == 6


@pytest.mark.parametrize("flags", [[], ["--app"]], ids=["JupyterLab", "app"])
def test_it_opens(python: Path, folder: Path, tmp_path: Path, flags: list[str]) -> None:
    log = tmp_path / "server.log"
    command = [python.with_name("mytakeoff"), "open", ".", "--no-browser", *flags]
    with log.open("wb") as written:
        server = subprocess.Popen(
            list(map(str, command)), cwd=folder, env=clean_environment(), stdout=written, stderr=written
        )
    try:
        address = waited_for_address(server, log)
        assert ADDRESS.fullmatch(address)
        with urllib.request.urlopen(address, timeout=INSTALL_S) as answer:
            page = answer.read().decode()
    finally:
        server.terminate()
        server.wait(timeout=60)
    # the panel is there only where its cell ran
    assert ("jupyter.widget-view+json" if flags else "mytakeoffOwnWorkbooks") in page
