"""Which files of a job folder the survey workbook offers."""

from __future__ import annotations

from mytakeoff.io.forms.desk import survey_files
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
