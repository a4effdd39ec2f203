"""Which files of a job folder the survey workbook offers."""

from __future__ import annotations

from mytakeoff.io.forms.desk import survey_files
from mytakeoff.io.forms.form import write_forms
from mytakeoff.launch.folder import new_job_folder
from mytakeoff.panels import budget, buying_and_days, setting_out


def test_what_the_program_itself_wrote_is_not_offered_as_a_survey(tmp_path):
    """A patched list of names once offered packs.csv and our own exports."""
    import mytakeoff as mt

    folder = new_job_folder(tmp_path / "job", demo=True)
    before = survey_files(folder)
    assert before
    assert all(name.startswith("surveys/") for name in before)
    job = mt.open_job(folder)
    budget(job).export_csv()
    days = buying_and_days(job)
    days.write_order()
    days.write_programme()
    setting_out(job).write()
    assert {"costed-table.csv", "costed-table.txt", "order.csv"} <= {path.name for path in folder.iterdir()}
    assert survey_files(folder) == before


def test_no_name_makes_a_survey_of_what_is_none(tmp_path):
    """Exports, lists and blank forms are told by how they begin; anything else is offered, wrong or not."""
    import mytakeoff as mt

    folder = new_job_folder(tmp_path / "job", demo=True)
    before = survey_files(folder)
    panel = budget(mt.open_job(folder))
    panel.export_csv(folder / "quote of May.csv")
    panel.controls["view"].value = "client"
    panel.export_csv(folder / "flat-client.csv")
    for name in ("prices.csv", "packs.csv"):
        (folder / f"old {name}").write_bytes((folder / name).read_bytes())
    sheets = [path for path in write_forms(folder) if path.suffix == ".csv"]
    assert {path.suffix for path in folder.glob("quote*")} == {".csv", ".txt"}
    assert survey_files(folder) == before
    sheets[0].write_text(sheets[0].read_text("utf-8-sig").replace(";;", ";12;", 1), encoding="utf-8")
    (folder / "notes.csv").write_text("height / along;10;20\n200;12;14\n", encoding="utf-8")
    filled = sheets[0].relative_to(folder).as_posix()
    assert set(survey_files(folder)) == {*before, filled, "notes.csv"}
