"""What finished jobs say, offered to a job on a panel: looked at, taken, taken back, left, told why not."""

from __future__ import annotations

import asyncio
import re
import shutil
import socket
from dataclasses import replace
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from done_jobs import BACKING, lay_out, small_job

import mytakeoff as mt
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.formats.formats import HOUSE
from mytakeoff.formats.inches import NBSP
from mytakeoff.io.finished.finished_file import FINISHED_FILE, save_finished
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.learning.offers import with_learnt
from mytakeoff.panels import job_sheet, jobs
from mytakeoff.panels.jobs_panel import book
from mytakeoff.panels.lessons import reading, words
from mytakeoff.panels.lessons.box import LessonsBox
from mytakeoff.panels.lessons.fold import LessonsFold
from mytakeoff.ranges.inputs import ranges_of
from mytakeoff.store import Store

HOW = {"denser": 1.06, "wasted": 0.15, "slower": 1.2}
DENSITY = f"mix density: {BACKING}"
HOURS = ["hours: rails", "hours: float backing", "hours: finish coat"]


def failed(error: Exception) -> None:
    raise error


def plain(text: str) -> str:
    return re.sub(r"[\s\xa0\u202f]+", " ", unescape(re.sub(r"<[^>]+>", " ", text))).strip()


def next_job(place: Path) -> mt.Job:
    """A job that is not done yet, in a folder beside the others."""
    mt.save_job(replace(small_job(7), state="draft", title="next job"), place / "next")
    return mt.open_job(place / "next")


def opened(job: mt.Job) -> LessonsBox:
    """The box over a store, its fold opened as a hand does."""
    box = LessonsBox(Store(job), failed)
    box.store.observe(lambda _: box.refresh(), "result")
    box.fold.widget.head.opened = True
    return box


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """Three done jobs."""
    return lay_out(tmp_path / "jobs", 1, 2, 3, **HOW)


@pytest.fixture
def box(place: Path) -> LessonsBox:
    return opened(next_job(place))


def names(box: LessonsBox) -> list[str]:
    return [offer.name for offer in box.offers]


def shown(box: LessonsBox, name: str) -> bool:
    return box.buttons[name].layout.display != "none"


class TestOffers:
    def test_nothing_is_read_before_it_is_opened(self, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        def refused(_: Path) -> None:
            raise AssertionError("a job was opened")

        monkeypatch.setattr(reading, "finished_job", refused)
        box = LessonsBox(Store(next_job(place)), failed)
        box.refresh()
        assert box.fold.lessons is None
        assert "3 finished jobs lie beside this one" in plain(box.reasons.value)

    def test_each_says_what_it_changes_and_why_and_how_sure(self, box: LessonsBox) -> None:
        assert plain(box.fold.said.value) == "Learnt from 3 finished jobs: job 1, job 2 and job 3."
        assert names(box) == [DENSITY, "waste", *HOURS]
        rows = box.list.children
        title = rows[0].children[0].description.replace(NBSP, " ")
        assert title == f"density of {BACKING}: 0.80 kg/l here, 0.83 kg/l offered"
        why = plain(rows[0].children[1].value)
        assert "came out 6 % denser over 3 jobs" in why
        assert re.search(r"10, 50 and 90 % of jobs: 0\.\d\d kg/l, 0\.80 kg/l, 0\.\d\d kg/l before; ", why)
        assert all(row.children[0].value for row in rows), "ticked to begin with"

    def test_what_is_ticked_is_taken_in_one_step_and_the_reason_stays(
        self, box: LessonsBox, place: Path
    ) -> None:
        before = box.store.job
        box.controls["take waste"].value = False
        box.buttons["take-learnt"].click()
        lessons, taken = box.fold.lessons, [DENSITY, *HOURS]
        assert lessons is not None
        wanted = with_learnt(before, lessons, [*taken, "hours: all tasks"])
        assert replace(box.store.job, learnt=()) == wanted
        assert box.store.job.waste_share == before.waste_share
        assert {r.source for r in ranges_of(box.store.job)} == {
            "your own 3 jobs", "common practice, no source",
        }  # fmt: skip
        assert names(box) == ["waste"]
        assert "Taken: density of" in plain(box.done.value)
        assert (
            f"From 3 finished jobs of your own since 2 Mar 2027: density of {BACKING} 0.80 kg/l → 0.83 kg/l; "
            in plain(box.reasons.value)
        )
        mt.save_job(box.store.job, place / "next", before)
        again = LessonsBox(Store(mt.open_job(place / "next")), failed)
        assert again.reasons.value == box.reasons.value, "on a fresh page too, with nothing read"
        box.store.undo()
        assert box.store.job == before
        assert names(box) == [DENSITY, "waste", *HOURS]
        assert box.done.value == ""
        assert not box.controls["take waste"].value

    def test_nothing_ticked_takes_nothing(self, box: LessonsBox) -> None:
        before = box.store.job
        for name in names(box):
            box.controls[f"take {name}"].value = False
        box.buttons["take-learnt"].click()
        assert box.store.job == before
        assert "Tick first" in box.done.value

    def test_what_is_left_stays_left_as_long_as_the_jobs_say_the_same(
        self, box: LessonsBox, place: Path
    ) -> None:
        before = box.store.job
        box.buttons["leave-learnt"].click()
        assert names(box) == []
        assert replace(box.store.job, learnt=()) == before
        assert box.both.layout.display == "none"
        assert words.LEFT in plain(box.done.value)
        assert "5 figures left as they are" in plain(box.left.value)
        mt.save_job(box.store.job, place / "next", before)
        again = opened(mt.open_job(place / "next"))
        assert names(again) == []
        lay_out(place, 4, **HOW)
        again.buttons["look-again"].click()
        assert DENSITY in names(again), "a fourth job says something else"

    def test_what_was_left_is_offered_again_when_that_is_asked_for(self, box: LessonsBox) -> None:
        offered = names(box)
        assert not shown(box, "offer-again")
        box.buttons["leave-learnt"].click()
        assert shown(box, "offer-again")
        box.buttons["offer-again"].click()
        assert names(box) == offered
        assert not shown(box, "offer-again")

    def test_a_client_sees_none_of_it(self, box: LessonsBox) -> None:
        box.refresh(client=True)
        assert box.widget.layout.display == "none"
        assert box.reasons.value == ""
        box.refresh(client=False)
        assert box.widget.layout.display != "none"

    def test_a_job_that_was_signed_is_told_that_it_stays(self, place: Path) -> None:
        box = opened(replace(next_job(place), state="signed"))
        assert words.SIGNED in plain(box.left.value)


class TestFolders:
    def test_without_finished_jobs_that_is_said_plainly(self, tmp_path: Path) -> None:
        box = opened(next_job(tmp_path))
        assert plain(box.fold.said.value) == words.NONE_YET
        assert names(box) == []
        assert box.reasons.value == ""

    def test_another_folder_is_named_and_read(self, tmp_path: Path) -> None:
        lay_out(tmp_path / "elsewhere", 1, 2, **HOW)
        box = opened(next_job(tmp_path / "here"))
        box.controls["lessons_folder"].value = "../elsewhere"
        assert "Learnt from 2 finished jobs" in plain(box.fold.said.value)
        assert DENSITY in names(box)
        box.controls["lessons_folder"].value = "../nowhere"
        assert "Nothing was read." in plain(box.fold.said.value)
        assert "cannot be read" in plain(box.fold.said.value)
        assert names(box) == []
        box.controls["lessons_folder"].value = ""
        assert plain(box.fold.said.value) == words.NONE_YET

    def test_a_job_in_no_folder_asks_for_one(self, place: Path) -> None:
        box = opened(replace(next_job(place), folder=""))
        assert plain(box.fold.said.value) == words.NOWHERE
        box.controls["lessons_folder"].value = str(place)
        assert DENSITY in names(box)

    def test_what_cannot_be_learnt_from_is_told_with_why(self, place: Path) -> None:
        (place / "job 1" / FINISHED_FILE).write_bytes(b"format = 1\n[[delivery]]\n")
        shutil.copytree(place / "job 2", place / "job 2 (copy)")
        mt.save_job(replace(mt.open_job(place / "job 3"), state="quoted"), place / "job 3")
        box = opened(next_job(place))
        told = plain(box.fold.left_out.value)
        assert told.startswith("Not learnt from, 3 jobs:")
        assert "job 1, finished.toml" in told
        assert "job 2 (copy): the same readings as job 2, which counts once" in told
        assert "job 3: its state is 'quoted'" in told
        assert "Learnt from 1 finished job: job 2." in plain(box.fold.said.value)

    def test_only_jobs_that_lie_otherwise_are_worked_out_again(
        self, box: LessonsBox, place: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        read: list[str] = []

        def noting(folder: Path) -> object:
            read.append(folder.name)
            return known(folder)

        known = reading.finished_job
        monkeypatch.setattr(reading, "finished_job", noting)
        box.buttons["look-again"].click()
        assert read == []
        finished = mt.open_finished(place / "job 2")
        save_finished(replace(finished, hours=finished.hours[:1]), place / "job 2")
        box.buttons["look-again"].click()
        assert read == ["job 2"]
        shutil.rmtree(place / "job 1")
        box.buttons["look-again"].click()
        assert read == ["job 2"]
        assert "Learnt from 2 finished jobs: job 2 and job 3." in plain(box.fold.said.value)

    def test_a_survey_of_a_round_that_is_another_one_is_read_again(
        self, box: LessonsBox, place: Path
    ) -> None:
        folder = place / "job 2"
        survey = folder / "surveys" / "checked.csv"
        shutil.copy(folder / str(mt.open_job(folder).walls[0].survey.source), survey)
        finished = mt.open_finished(folder)
        checked = (CheckRound(date(2027, 6, 1), "surveys/checked.csv"),)
        walls = tuple(replace(wall, rounds=checked) for wall in finished.walls)
        save_finished(replace(finished, walls=walls), folder)
        box.buttons["look-again"].click()
        assert "job 2" in plain(box.fold.said.value)
        survey.write_text("nothing that is a survey", "utf-8")
        box.buttons["look-again"].click()
        assert "job 2" not in plain(box.fold.said.value)
        assert "job 2, " in plain(box.fold.left_out.value)

    def test_no_network_is_asked_and_nothing_is_written(
        self, place: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refused(*_args: object, **_more: object) -> None:
            raise AssertionError("a socket was opened")

        job = next_job(place)
        before = {path: path.read_bytes() for path in sorted(place.rglob("*")) if path.is_file()}
        monkeypatch.setattr(socket, "socket", refused)
        assert names(opened(job))
        assert {path: path.read_bytes() for path in sorted(place.rglob("*")) if path.is_file()} == before

    def test_a_new_finished_job_is_seen_while_the_fold_is_open(self, place: Path) -> None:
        async def seen() -> bool:
            box = opened(next_job(place))
            for _ in range(200):
                await asyncio.sleep(0.05)
                if box.fold.lessons is not None:
                    break
            assert box.fold.lessons is not None
            lay_out(place, 4, **HOW)
            for _ in range(200):
                await asyncio.sleep(0.05)
                if "job 4" in box.fold.said.value:
                    return True
            return False

        assert asyncio.run(seen())

    def test_many_jobs_are_read_in_slices(self, place: Path) -> None:
        async def longest() -> tuple[str, ...]:
            box = LessonsBox(Store(next_job(place)), failed)
            said: list[str] = []
            box.fold.said.observe(lambda change: said.append(plain(change["new"])), "value")
            box.fold.widget.head.opened = True
            assert box.fold.lessons is None, "the page is not kept waiting for all of them"
            while box.fold.lessons is None or "Learnt" not in box.fold.said.value:
                await asyncio.sleep(0.01)
            return tuple(said)

        said = asyncio.run(longest())
        assert "Reading job 2; 1 of 3 jobs read." in said


class TestDone:
    def test_a_job_that_is_done_says_what_it_adds_and_is_offered_nothing(self, place: Path) -> None:
        box = opened(mt.open_job(place / "job 2"))
        assert names(box) == []
        assert not shown(box, "offer-again")
        own = plain(box.own.value)
        assert "What this job adds" in own
        without = 0.8 * 1.06**0.5  # two jobs of two and two parts: by hand
        assert (
            f"density of {BACKING}: 0.85 kg/l here; {without:.2f} kg/l without it, 0.83 kg/l with it" in own
        )
        assert words.NEXT_JOB in own

    def test_one_of_which_nothing_was_written_down_is_told_so(self, place: Path) -> None:
        (place / "job 2" / FINISHED_FILE).unlink()
        box = opened(mt.open_job(place / "job 2"))
        assert words.SAYS_NOTHING in plain(box.own.value)


class TestPictures:
    def test_they_are_drawn_when_they_are_looked_at_wide_and_narrow(self, box: LessonsBox) -> None:
        assert box.fold.picture.value == ""
        box.fold.drawn.head.opened = True
        lessons = box.fold.lessons
        assert lessons is not None
        drawn = box.fold.picture.value
        assert drawn.count("<svg") == 2 * len(lessons.learnt)
        assert drawn.count("mt-narrow-drawing") == len(lessons.learnt)
        assert "came out 6 % denser over 3 jobs" in unescape(drawn).replace(NBSP, " ")

    def test_one_that_says_the_same_is_not_drawn_again(
        self, box: LessonsBox, place: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        from mytakeoff.panels.lessons import pictures

        box.fold.drawn.head.opened = True
        monkeypatch.setattr(pictures, "_drawings", lambda *_: pytest.fail("drawn again"))
        box.buttons["look-again"].click()
        box.fold.drawn.head.opened = False
        box.fold.drawn.head.opened = True


def test_over_a_folder_alone_every_sentence_stands(place: Path) -> None:
    fold = LessonsFold(place, lambda: small_job(1).formats, failed)
    fold.widget.head.opened = True
    assert "came out 6 % denser over 3 jobs" in plain(fold.text.value)
    assert "Your waste came to" in plain(fold.text.value)


class TestMounted:
    def test_on_the_job_sheet_it_is_saved_as_it_is_taken_and_undone(self, place: Path) -> None:
        sheet = job_sheet(next_job(place))
        before = mt.open_job(place / "next")
        sheet.lessons.fold.widget.head.opened = True
        sheet.lessons.buttons["take-learnt"].click()
        saved = mt.open_job(place / "next")
        assert saved.waste_share > before.waste_share
        assert [each.name for each in saved.learnt] == [DENSITY, "waste", *HOURS]
        assert "From 3 finished jobs" in plain(sheet.lessons.reasons.value)
        sheet.undo()
        assert mt.open_job(place / "next") == before
        assert "From 3" not in plain(sheet.lessons.reasons.value)
        sheet.lessons.buttons["leave-learnt"].click()
        assert {each.taken for each in mt.open_job(place / "next").learnt} == {False}

    def test_taken_by_another_workbook_it_is_taken_over(self, place: Path) -> None:
        """Two sheets of one job: what one takes and what the other types go together."""
        job = next_job(place)
        one, other = job_sheet(job), job_sheet(job)
        assert other.store.apply(lambda job: replace(job, title="another title"))
        one.lessons.fold.widget.head.opened = True
        one.lessons.buttons["take-learnt"].click()
        saved = mt.open_job(place / "next")
        assert saved.title == "another title"
        assert [each.name for each in saved.learnt] == [DENSITY, "waste", *HOURS]

    def test_over_all_jobs_it_is_read_when_it_is_opened(
        self, place: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(book, "shared_out_steps", lambda *_: iter(()))
        panel = jobs(place)
        assert panel.lessons.lessons is None
        panel.lessons.widget.head.opened = True
        assert "Learnt from 3 finished jobs" in plain(panel.lessons.said.value)
        assert "came out 6 % denser over 3 jobs" in plain(panel.lessons.text.value)


def test_what_a_job_does_not_move_is_said_to_stay_and_not_to_four_places(tmp_path: Path) -> None:
    lessons = mt.learn_from(new_job_folder(tmp_path / "flat", demo=True).parent)
    own = plain(words.own_part(lessons, "flat", HOUSE))
    assert "hours for set up: × 1.00 here; it stays at × 1.00" in own
    assert "waste: 16.4 % here; 10.0 % without it, 12.1 % with it" in own
