"""Signing that is cut off at each of its file operations: the job is as it was, or signed and kept whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from cut_off_saves import DONE, REFUSED, cut_off

import mytakeoff as mt
from mytakeoff.io.files.journal import STAGE
from mytakeoff.io.files.turn import LOCK_FILE
from mytakeoff.io.signed.kept import last_signed
from mytakeoff.resources import demo_folder


@pytest.fixture
def template(folder: Path) -> Path:
    """A folder with the job folder in it, every item of it priced and soon worked out."""
    prices = (demo_folder() / "prices.csv").read_text("utf-8")
    (folder / "prices.csv").write_text(f"{prices.rstrip()}\nour plaster,bag,12.50,\n", "utf-8")
    text = (folder / "job.toml").read_text("utf-8")
    quick = "cell_m = 0.1\nmissed_high_spot_mm = 2.0\nwaste_share"
    (folder / "job.toml").write_text(text.replace("waste_share", quick, 1), "utf-8")
    return folder.parent


def state_of(job: Path) -> str:
    """Whether a job is as it was or signed: what is kept of it is whole then."""
    state = mt.open_job(job).state
    assert (last_signed(job) is not None) == (state == "signed")
    return state


SLOW = [pytest.param(name, marks=pytest.mark.slow) for name in ("killed", "once")]


@pytest.mark.parametrize("how", ["on", *SLOW])
def test_it_is_signed_or_not(template, how, files):
    before = files(template)
    found = cut_off(template, template.parent / f"{template.name}-{how}", "sign", how)
    codes = [code for _, code in found]
    assert codes[-1] == DONE
    assert len(codes) > 10
    assert set(codes[:-1]) <= ({-9} if how == "killed" else {DONE, REFUSED})
    states = [state_of(place / "job") for place, _ in found]
    assert set(states) == {"draft", "signed"}
    assert all(state == "signed" for state, code in zip(states, codes, strict=True) if code == DONE)
    if how == "once":
        assert all(files(place) == before for place, code in found if code == REFUSED)
    kept = last_signed(found[-1][0] / "job")
    assert mt.evaluate(kept.job).cost.total == kept.total
    cut = next(place / "job" for place, _ in reversed(found) if state_of(place / "job") == "draft")
    assert mt.sign_job(cut).total == kept.total  # whoever comes next signs it
    assert [path.name for path in cut.rglob("*") if path.name in (STAGE, LOCK_FILE)] == []
