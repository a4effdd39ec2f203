"""What was signed: kept whole, read back to the cent, told when it is not as it was, each from the last."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from demo import coarse_copy_of_demo

import mytakeoff as mt
from mytakeoff.io.files import atomic
from mytakeoff.io.files.journal import STAGE
from mytakeoff.io.forms.desk import survey_files
from mytakeoff.io.signed.kept import last_signed, times_signed
from mytakeoff.launch.command import main
from mytakeoff.quotation.fingerprint import fingerprint_of

DAY = date(2027, 2, 20)


@pytest.fixture
def flat(tmp_path: Path) -> Path:
    """A copy of the demo job, on coarse cells so that it is worked out at once."""
    return coarse_copy_of_demo(tmp_path)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def change(folder: Path, edit: Callable[[mt.Job], mt.Job]) -> mt.Job:
    """Save an edit of a folder's job."""
    job = mt.open_job(folder)
    return mt.save_job(edit(job), folder, job).job


def thicker(job: mt.Job) -> mt.Job:
    return replace(job, plane=replace(job.plane, least_mm=12.0))


def dearer(job: mt.Job) -> mt.Job:
    return replace(job, prices=job.prices.with_price("plasterer", Decimal(99)), waste_share=0.3)


def less(job: mt.Job) -> mt.Job:
    return replace(job, only=tuple(wall.name for wall in job.walls if wall.name != "door wall"))


def test_it_is_kept_whole_and_comes_to_what_was_signed(flat):
    before, total = contents(flat), mt.evaluate(mt.open_job(flat)).cost.total
    mark = fingerprint_of(mt.open_job(flat))
    signed = mt.sign_job(flat, DAY)
    assert (signed.total, signed.number, signed.signed_on, signed.fingerprint) == (total, 0, DAY, mark)
    kept = last_signed(flat)
    assert mt.evaluate(kept.job).cost.total == kept.total == total
    after = contents(flat)
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"job.toml"}
    assert mt.open_job(flat).state == "signed"
    added = set(after) - set(before)
    assert all(name.startswith("signed/quotation/") for name in added)
    for name in ("prices.csv", "packs.csv", "surveys/party-wall.csv"):
        assert after[f"signed/quotation/{name}"] == before[name]
    assert sum(len(after[name]) for name in added) < 100_000
    assert mt.open_job(flat / "signed/quotation").state == "signed"  # plain files, a job folder of its own


def test_what_is_kept_does_not_follow_the_job(flat):
    total = mt.sign_job(flat, DAY).total
    change(flat, dearer)
    (flat / "surveys/door-wall.csv").write_bytes(b"off_line_mm,0,3\n0.1,9,12\n2.5,20,30\n")
    change(
        flat,
        lambda job: replace(
            job,
            walls=job.walls[1:],
            compare=mt.Compare(),
            rooms=tuple(
                replace(room, corners=(), clear_widths=(), parallel=(), diagonals=None) for room in job.rooms
            ),
        ),
    )
    assert mt.evaluate(last_signed(flat).job).cost.total == total


def test_several_variations_in_a_row_each_from_the_one_before(flat):
    first = mt.sign_job(flat, DAY)
    change(flat, lambda job: dearer(thicker(job)))
    made = mt.variation(flat)
    assert (made.number, made.signed.total) == (1, first.total)
    second = mt.sign_job(flat, date(2027, 3, 1))
    assert second.total == first.total + made.gross
    change(flat, less)
    more = mt.variation(mt.open_job(flat))
    assert (more.number, more.base.cost.total) == (2, second.total)
    assert more.gross < 0
    third = mt.sign_job(flat, date(2027, 3, 8))
    assert third.total == first.total + made.gross + more.gross
    assert times_signed(flat) == 3
    kept = last_signed(flat)
    assert (kept.number, kept.signed_on, kept.total) == (2, date(2027, 3, 8), third.total)
    assert mt.evaluate(kept.job).cost.total == third.total
    assert kept.job.prices.of("plasterer").price == Decimal(34)  # as signed at first
    assert mt.open_job(flat).prices.of("plasterer").price == Decimal(99)  # the user's own list stays


def test_a_job_that_is_saved_elsewhere_takes_along_what_was_signed(flat, tmp_path):
    mt.sign_job(flat, DAY)
    there = tmp_path / "revised"
    mt.save_job(thicker(mt.open_job(flat)), there)
    kept = {name: content for name, content in contents(flat).items() if name.startswith("signed/")}
    assert {name: content for name, content in contents(there).items() if name.startswith("signed/")} == kept
    assert mt.variation(there).gross == mt.variation(thicker(mt.open_job(flat))).gross
    mt.sign_job(there, DAY)
    mt.save_job(mt.open_job(flat), there)  # what is kept there stays
    assert times_signed(there) == 2


def test_not_signed_yet_is_told(flat):
    with pytest.raises(mt.TakeoffError, match=r"nothing is signed yet.*mytakeoff sign"):
        mt.variation(flat)
    with pytest.raises(mt.TakeoffError, match="nothing is signed yet"):
        mt.variation(replace(mt.open_job(flat), folder=""))


def test_said_to_be_signed_and_nothing_kept_is_told_and_can_be_kept(flat):
    change(flat, lambda job: replace(job, state="signed"))
    with pytest.raises(mt.TakeoffError, match="nothing of that is kept"):
        mt.variation(flat)
    before = contents(flat)
    mt.sign_job(flat, DAY)
    assert {name: content for name, content in contents(flat).items() if name in before} == before
    assert times_signed(flat) == 1


def test_signed_twice_is_refused(flat):
    mt.sign_job(flat, DAY)
    before = contents(flat)
    for when in ("nothing has changed since the job was signed on 20 Feb 2027", "only prices and rates"):
        with pytest.raises(mt.TakeoffError, match=when):
            mt.sign_job(flat, DAY)
        assert contents(flat) == before
        change(flat, dearer)
        before = contents(flat)


def test_nothing_to_sign_is_told(flat):
    change(flat, lambda job: replace(job, walls=tuple(
        replace(wall, survey=mt.Survey.none(wall.wall)) for wall in job.walls)))  # fmt: skip
    before = contents(flat)
    with pytest.raises(mt.TakeoffError, match="no wall is priced"):
        mt.sign_job(flat, DAY)
    assert contents(flat) == before
    with pytest.raises(mt.TakeoffError, match=r"no job\.toml|no such folder"):
        mt.sign_job(flat / "surveys", DAY)
    with pytest.raises(mt.TakeoffError, match="no such folder"):
        mt.sign_job(flat / "elsewhere", DAY)
    assert contents(flat) == before


def test_the_page_that_was_handed_over_is_what_is_signed(flat):
    mt.write_quotation(mt.evaluate(mt.open_job(flat)), flat, DAY)
    change(flat, thicker)
    before = contents(flat)
    with pytest.raises(mt.TakeoffError, match=r"quotation\.html and quotation\.pdf say another job"):
        mt.sign_job(flat, DAY)
    assert contents(flat) == before
    change(flat, lambda job: replace(job, plane=replace(job.plane, least_mm=None), state="quoted"))
    signed = mt.sign_job(flat, DAY)  # how far it is stands on no page
    assert signed.fingerprint.encode() in (flat / "quotation.html").read_bytes()


def test_a_variation_that_was_written_is_what_is_signed(flat):
    mt.sign_job(flat, DAY)
    change(flat, thicker)
    mt.write_variation(mt.variation(flat), flat, DAY)
    change(flat, less)
    with pytest.raises(mt.TakeoffError, match=r"variation-1\.html and variation-1\.pdf say another job"):
        mt.sign_job(flat, DAY)
    mt.write_variation(mt.variation(flat), flat, DAY)
    assert mt.sign_job(flat, DAY).number == 1


SPOILT: dict[str, tuple[str, bytes | None, str]] = {
    "a price": (
        "quotation/prices.csv",
        b"item,unit,price\nplasterer,h,1\n",
        "prices.csv is not as it was signed",
    ),
    "the job": ("quotation/job.toml", b"format = 1\n", "job.toml is not as it was signed"),
    "a survey": (
        "quotation/surveys/door-wall.csv",
        b"off_line_mm,0\n0,1\n",
        "door-wall.csv is not as it was",
    ),
    "a survey gone": ("quotation/surveys/door-wall.csv", None, "surveys/door-wall.csv is missing"),
    "the note": ("quotation/signed.json", b"{", "signed.json cannot be read"),
    "a strange note": ("quotation/signed.json", b'{"format": 1, "files": 3}', "signed.json cannot be read"),
    "the note gone": ("quotation/signed.json", None, "signed.json is missing"),
}


@pytest.mark.parametrize("name", SPOILT)
def test_what_is_not_as_it_was_signed_is_told(flat, name):
    mt.sign_job(flat, DAY)
    change(flat, thicker)
    file, content, found = SPOILT[name]
    path = flat / "signed" / file
    path.unlink() if content is None else path.write_bytes(content)
    for act in (lambda: mt.variation(flat), lambda: mt.sign_job(flat, DAY)):
        with pytest.raises(mt.TakeoffError) as told:
            act()
        assert found in str(told.value)
        assert "from a copy of the job folder" in str(told.value)


def test_every_file_that_was_changed_is_told_at_once(flat):
    mt.sign_job(flat, DAY)
    for name in ("prices.csv", "packs.csv"):
        (flat / "signed/quotation" / name).write_bytes(b"")
    with pytest.raises(mt.TakeoffError) as told:
        last_signed(flat)
    assert len(told.value.mistakes) == 2


def _note(flat: Path, **said: object) -> None:
    path = flat / "signed/quotation/signed.json"
    path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), **said}), "utf-8")


def test_a_note_that_was_made_to_fit_is_told_by_fingerprint_and_total(flat):
    signed = mt.sign_job(flat, DAY)
    change(flat, thicker)
    _note(flat, total=str(signed.total - 100))
    with pytest.raises(mt.TakeoffError, match="were signed, and a variation is reckoned from that"):
        mt.variation(flat)
    _note(flat, total=str(signed.total), fingerprint="0" * 16)
    with pytest.raises(
        mt.TakeoffError, match=f"the fingerprint {signed.fingerprint} is kept, and 0{{16}} was"
    ):
        mt.variation(flat)


def test_a_variation_of_something_else_or_a_gap_is_told(flat):
    mt.sign_job(flat, DAY)
    for edit in (thicker, less):
        change(flat, edit)
        mt.sign_job(flat, DAY)
    gone = flat / "signed/variation-1"
    aside = shutil.move(gone, flat.parent / "aside")
    with pytest.raises(mt.TakeoffError, match="no variation-1"):
        mt.variation(flat)
    shutil.copytree(flat / "signed/variation-2", gone)
    with pytest.raises(mt.TakeoffError, match="variation-1 is no variation of quotation"):
        mt.variation(flat)
    shutil.rmtree(gone)
    shutil.move(aside, gone)
    assert last_signed(flat).number == 2


def test_a_link_out_of_the_folder_is_not_read(flat, tmp_path):
    mt.sign_job(flat, DAY)
    path = flat / "signed/quotation/prices.csv"
    elsewhere = tmp_path / "prices.csv"
    shutil.move(path, elsewhere)
    path.symlink_to(elsewhere)
    with pytest.raises(mt.TakeoffError, match="only files in its own folder"):
        last_signed(flat)


def test_the_currency_that_was_signed_is_kept(flat):
    mt.sign_job(flat, DAY)
    change(flat, lambda job: replace(job, currency="CHF"))
    with pytest.raises(mt.TakeoffError, match="the job is in CHF, and was signed in EUR"):
        mt.variation(flat)


def test_a_full_disk_changes_nothing(flat, monkeypatch):
    before = contents(flat)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device", str(flat / "job.toml"))

    monkeypatch.setattr(atomic, "put_together", full)
    with pytest.raises(mt.TakeoffError, match="No space left"):
        mt.sign_job(flat, DAY)
    assert contents(flat) == before


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the administrator")
def test_a_folder_that_may_not_be_written_to_is_told(flat):
    flat.chmod(0o555)
    try:
        with pytest.raises(mt.TakeoffError, match="could not be written"):
            mt.sign_job(flat, DAY)
    finally:
        flat.chmod(0o755)


def test_a_folder_that_refuses_to_be_written_to_is_told(flat, monkeypatch):
    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied", str(flat))

    monkeypatch.setattr(atomic, "turn_in", refused)
    before = contents(flat)
    with pytest.raises(mt.TakeoffError, match="Permission denied"):
        mt.sign_job(flat, DAY)
    assert contents(flat) == before
    assert not (flat / STAGE).exists()


def test_what_is_kept_is_no_survey_to_choose_from(flat):
    before = survey_files(flat)
    mt.sign_job(flat, DAY)
    change(flat, thicker)
    mt.write_variation(mt.variation(flat), flat, DAY)
    assert survey_files(flat) == before


def test_the_commands_say_where_it_is_and_what_it_comes_to(flat, capsys):
    assert main(["variation", str(flat)]) == 2
    assert "nothing is signed yet" in capsys.readouterr().err
    assert main(["sign", str(flat)]) == 0
    assert f"Kept in {flat / 'signed/quotation'}." in capsys.readouterr().out
    assert main(["sign", str(flat)]) == 2
    capsys.readouterr()
    change(flat, thicker)
    assert main(["variation", str(flat)]) == 0
    first, *files = capsys.readouterr().out.splitlines()
    assert first.startswith("+")
    assert files == [str(flat / name) for name in (
        "variation-1.pdf", "variation-1.html", "variation-1.xlsx", "variation-1-estimator.pdf",
        "variation-1-estimator.xlsx")]  # fmt: skip
    assert main(["sign", str(flat)]) == 0
    assert "variation 1" in capsys.readouterr().out
