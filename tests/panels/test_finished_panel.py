"""The panel of the finished wall, driven by hand; what it shows is what the core says of the same record."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from csv_back import read_back
from looked_at import AT, DAY, FILE, FIXED, chosen, hollow, looked_at, opened, read_again, write_face
from looked_at import NAME as WALL
from unread_jobs import bare, small

import mytakeoff as mt
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.formats.formats import HOUSE
from mytakeoff.io.finished.finished_file import FINISHED_FILE, open_finished, save_finished
from mytakeoff.job.edits import with_wall_name
from mytakeoff.panels import FinishedPanel, finished


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return looked_at(tmp_path / "job")


@pytest.fixture
def panel(folder: Path) -> FinishedPanel:
    return chosen(folder)


def words(widget: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", widget.value))


def add_mark(panel: FinishedPanel, **values: Any) -> Any:
    panel.rounds.marks.add_blank()
    row = panel.rounds.marks.used[-1]
    for name, value in values.items():
        row.boxes[name].value = value
    return row


# -- first -------------------------------------------------------------------------------------------


def test_a_job_with_nothing_written_down_says_what_to_do_first(folder):
    panel = opened(folder)
    assert "Nothing checked yet" in panel.headline.value
    assert "Nothing was written down of this wall yet." in panel.status.value
    assert "Add a round" in panel.status.value
    assert panel.found.verdicts.value == panel.found.snags.value == panel.problem.value == ""
    assert panel.unsaved == ()


def test_a_job_without_walls_stands_and_says_so():
    panel = finished(bare(small()))
    assert panel.problem.value == ""
    assert "job.ipynb" in panel.first.value
    panel.buttons["snags"].click()
    assert "no wall was looked at" in panel.problem.value


def test_nothing_is_written_before_a_wall_was_looked_at(folder):
    panel = opened(folder)
    with pytest.raises(mt.TakeoffError, match="no wall was looked at"):
        panel.write_verdicts()
    assert "Nothing was written" in panel.said.value
    assert not (folder / "verdicts.csv").exists()


# -- verdicts ----------------------------------------------------------------------------------------


def test_the_finished_face_is_judged_by_what_was_promised(panel):
    made = panel.checked
    result = panel.store.result
    survey = mt.read_survey(Path(result.job.folder) / FILE, result.walls[0].surface.wall)
    alone = mt.judge_finished(
        mt.promised_by(result.job, result.walls[0]), survey,
        cell_m=result.job.cell_m, reach_m=result.job.reach_m,
    )  # fmt: skip
    assert [each.outcome for each in made.judged] == [each.outcome for each in alone.judged] == ["fail"]
    assert made.judged[0].measured == pytest.approx(alone.judged[0].measured, abs=0.2)
    assert f"✗ {WALL} fails" in panel.headline.value
    assert "fails" in panel.found.verdicts.value
    assert "3 mm allowed" in panel.found.verdicts.value
    assert "guarded acceptance" in panel.found.verdicts.value
    assert [each.value.count("<svg") for each in panel.found.maps.values()] == [1, 1]


def test_pass_and_fail_are_decided_by_the_rule_that_is_chosen(folder):
    write_face(folder, FILE, lambda x, z: 0.28 * hollow(x, z))  # some 2.5 mm of 3: known to half a millimetre
    panel = opened(folder)
    panel.controls["after"].value = FILE
    assert panel.checked.outcome == "too close to call"
    assert f"? {WALL} is too close to call" in panel.headline.value
    kept = panel.checked.by_survey.between
    panel.controls["rule"].value = "simple acceptance"
    assert panel.checked.by_survey.between is kept, "nothing is measured anew for another rule"
    assert {each.rule.name for each in panel.checked.judged} == {"simple acceptance"}
    assert "simple acceptance" in panel.found.verdicts.value
    assert "guarded acceptance" not in panel.found.verdicts.value


def test_a_mark_by_hand_alone_never_passes_a_wall(folder):
    panel = opened(folder)
    panel.rounds.add()
    add_mark(panel, x_m=1.0, z_m=1.2, mm=0.0)
    assert [each.outcome for each in panel.checked.judged] == ["pass"]
    assert panel.checked.outcome == "too close to call"
    assert "looked at by hand alone" in panel.found.verdicts.value
    add_mark(panel, x_m=0.6, z_m=0.5, mm=9.0)
    assert panel.checked.outcome == "fail"


# -- what was put on ---------------------------------------------------------------------------------


def test_litres_are_told_once_the_fixed_places_were_read_again(panel):
    assert "Only the change of shape is told" in panel.put_on.value
    panel.controls["fixed_way"].value = "towards the room: bigger is prouder"
    for row, place in zip(panel.again.rows, FIXED, strict=True):
        row.boxes["after"].value = read_again()[place.name]
    assert panel.problem.value == ""
    (measured,) = panel.desk.measured
    assert measured.put_on_mm == pytest.approx(panel.store.result.walls[0].build_up.mean_mm, abs=1.0)
    assert "Put on: " in panel.put_on.value
    assert "door frame 0.0 mm" in panel.put_on.value
    panel.controls["fixed_way"].value = "off the line: bigger is hollower"
    assert [row.boxes["after"].value for row in panel.again.rows] == [-mm for mm in read_again().values()]
    assert panel.desk.wall(WALL).fixed_again[0].after_mm == read_again()["door frame"]


def test_a_wall_without_fixed_places_says_that_litres_cannot_be_told(tmp_path):
    panel = opened(looked_at(tmp_path / "job", fixed=False))
    assert "no fixed places" in panel.put_on.value
    assert "no fixed places" in panel.again.said.value
    panel.controls["after"].value = FILE
    assert "no fixed places" in panel.put_on.value
    assert panel.desk.measured[0].put_on_mm is None


# -- snags and rounds --------------------------------------------------------------------------------


def test_rounds_keep_the_numbers_of_snags_until_they_are_checked(panel, folder):
    panel.buttons["add-round"].click()
    assert panel.desk.wall(WALL).rounds[0].survey == FILE
    first = panel.checked.snags.snags
    assert [snag.number for snag in first] == [1]
    assert first[0].away_m(*AT) == 0.0
    write_face(folder, "surveys/again.csv")
    panel.buttons["add-round"].click()
    assert panel.controls["round"].value == 1
    assert "1: hollow" in panel.rounds.done.boxes[0].description
    panel.rounds.done.boxes[0].value = True
    assert panel.checked.snags.snags[0].state == "done"
    panel.controls["round_survey"].value = "surveys/again.csv"
    assert panel.problem.value == ""
    assert panel.checked.survey == "surveys/again.csv"
    assert [each.what for each in panel.checked.snags.snags[0].history] == ["found", "done", "checked"]
    assert "checked" in panel.found.snags.value
    assert panel.checked.outcome == "pass"
    panel.controls["stood"].value = 1
    assert (panel.checked.survey, panel.checked.outcome) == (FILE, "fail")
    assert panel.checked.snags.snags[0].state == "open"
    assert "round 2" not in panel.found.days.value
    assert f"as it stood on {HOUSE.day(DAY)}" in panel.headline.value
    assert panel.rounds.done.boxes[0].value, "what was ticked stays"
    panel.controls["stood"].value = 0
    assert "1 snag, all checked" in panel.headline.value


def test_a_mark_opens_a_snag_and_one_that_cannot_be_leaves_the_last_good_screen(panel):
    panel.rounds.add()
    before = panel.found.snags.value
    row = add_mark(panel, x_m=9.0, z_m=2.3, mm=6.0)
    assert "a mark is made on the wall" in panel.problem.value
    assert panel.found.snags.value == before
    assert row.boxes["x_m"].value == 9.0, "what was typed stays"
    with pytest.raises(mt.TakeoffError, match="a round that was not taken"):
        panel.save()
    assert not (Path(panel.store.job.folder) / FINISHED_FILE).exists()
    row.boxes["x_m"].value = "3,3"
    assert panel.problem.value == ""
    assert [snag.seen_by for snag in panel.checked.snags.snags] == [("readings",), ("edge",)]
    assert "x 3.30 m, z 2.30 m" in panel.found.snags.value


def test_looking_at_it_otherwise_drops_nothing_that_was_refused(panel):
    panel.rounds.add()
    row = add_mark(panel, x_m=9.0, z_m=2.3, mm=6.0)
    for who in ("client", "estimator"):
        panel.controls["view"].value = who
    assert row.boxes["x_m"].value == 9.0
    assert "a mark is made on the wall" in panel.problem.value


def test_rounds_stand_in_the_order_of_their_days_and_can_be_taken_out(panel):
    panel.rounds.add()
    panel.rounds.add()
    panel.controls["round_day"].value = date(2027, 3, 1)
    assert "in the order of their days" in panel.problem.value
    panel.controls["round_day"].value = date(2027, 3, 20)
    assert panel.problem.value == ""
    panel.buttons["drop-round"].click()
    assert [each.on for each in panel.desk.wall(WALL).rounds] == [DAY]
    panel.buttons["drop-round"].click()
    assert panel.desk.wall(WALL).rounds == ()
    assert "No round yet" in panel.rounds.said.value


def test_a_row_that_is_not_filled_in_stops_the_saving(panel):
    panel.rounds.add()
    panel.rounds.marks.add_blank()
    with pytest.raises(mt.TakeoffError, match="nothing typed"):
        panel.save()
    assert "Nothing was saved" in panel.said.value


# -- saved, and by others ----------------------------------------------------------------------------


def test_what_was_written_down_is_saved_with_the_job(panel, folder):
    panel.rounds.add()
    panel.controls["done"].value = True
    assert f"finished wall &#x27;{WALL}&#x27;" in panel.unsaved_line.value
    panel.save()
    assert panel.unsaved == ()
    assert mt.open_job(folder).state == "done"
    (kept,) = open_finished(folder).walls
    assert (kept.after, kept.rounds[0].on) == (FILE, DAY)
    again = opened(folder)
    assert again.headline.value == panel.headline.value
    again.controls["done"].value = False
    assert again.store.job.state == "signed"


def test_what_others_wrote_down_meanwhile_is_not_lost(panel, folder):
    panel.rounds.add()
    theirs = mt.Finished(walls=(FinishedWall(WALL, mean_mm=12.0),))
    save_finished(theirs, folder)
    with pytest.raises(mt.TakeoffError, match="changed meanwhile"):
        panel.save()
    panel.record.look(None, panel.record.watch.looks())
    assert "was changed by others" in panel.record.said.value
    assert panel.buttons["take-record"].layout.display != "none"
    panel.buttons["take-record"].click()
    assert panel.desk.finished == theirs
    assert panel.unsaved == ()
    assert panel.buttons["take-record"].layout.display == "none"


def test_a_survey_that_was_read_again_into_its_file_is_judged_anew(panel, folder):
    write_face(folder, FILE)
    panel.record.look(None, panel.record.watch.looks())
    assert panel.checked.outcome == "pass"
    assert f"✓ {WALL} passes" in panel.headline.value


def test_a_broken_record_is_told_and_the_panel_stands(folder):
    (folder / FINISHED_FILE).write_text('format = 1\n[[wall]]\nname = "no such wall"\nmean_mm = 3.0\n')
    panel = opened(folder)
    assert "no such wall" in panel.problem.value
    assert "Nothing checked yet" in panel.headline.value


def test_a_record_that_could_not_be_taken_is_once_the_job_has_its_wall(folder):
    theirs = Finished(walls=(FinishedWall("new name", mean_mm=3.0),))
    save_finished(theirs, folder)
    panel = opened(folder)
    assert "new name" in panel.problem.value
    assert panel.store.apply(lambda job: with_wall_name(job, WALL, "new name"))
    assert panel.desk.finished == theirs
    assert panel.problem.value == ""
    assert panel.desk.is_saved


# -- files and the client ----------------------------------------------------------------------------


def test_files_say_what_the_screen_says(panel, folder):
    panel.rounds.add()
    pdf, table = panel.write_snags()
    assert pdf.read_bytes().startswith(b"%PDF")
    assert read_back(table)["number"].tolist() == [1]
    verdicts = read_back(panel.write_verdicts())
    (judged,) = panel.checked.judged
    assert verdicts["verdict"].tolist() == [judged.outcome]
    assert float(verdicts["measured"][0]) == round(judged.measured, 2)
    assert verdicts["in_words"].str.contains("fails").all()
    assert "verdicts.csv" in panel.said.value
    assert panel._files() == (FILE,), "neither the job's own survey nor what was written is offered"


SECRETS = ("litres", " l,", " min", "minutes", "Put on")


def test_a_client_reads_verdicts_snags_and_days_and_nothing_of_work(panel, folder):
    panel.rounds.add()
    panel.controls["view"].value = "client"
    shown = [panel.headline, panel.found.verdicts, panel.found.snags, panel.found.days, panel.status]
    text = " ".join(map(words, shown))
    assert f"{WALL} fails" in text
    assert HOUSE.day(DAY) in text
    assert not [secret for secret in SECRETS if secret in text]
    assert all(part.layout.display == "none" for part in panel.estimators)
    pdf, table = panel.write_snags()
    assert (pdf.name, table.name) == ("snags-client.pdf", "snags-client.csv")
    assert not {"litres", "minutes"} & set(read_back(table))
    panel.controls["view"].value = "estimator"
    assert " min" in words(panel.found.snags)


def test_the_day_and_numbers_are_written_as_the_job_writes_them(folder):
    job = mt.open_job(folder)
    mt.save_job(replace(job, locale="de_AT"), folder, job)
    panel = opened(folder)
    panel.controls["after"].value = FILE
    panel.rounds.add()
    assert "12. März 2027" in panel.found.days.value or "12 März 2027" in panel.found.days.value
    assert re.search(r"\d,\d ± \d,\d mm", panel.found.verdicts.value)


# -- account and lessons -----------------------------------------------------------------------------


def test_account_and_lessons_stand_below_and_are_the_estimators(panel):
    _, lessons = panel.boxes
    assert {"write-account", "take-learnt"} <= set(panel.buttons)
    assert "lessons_folder" in panel.controls
    panel.controls["view"].value = "client"
    assert lessons.widget.layout.display == "none"
    panel.controls["view"].value = "estimator"
    assert lessons.widget.layout.display != "none"
