"""Where the package keeps its workbooks, its demo job and its starting job.

An installed package holds workbooks and demo job inside itself; a checkout (and an editable install of
one) has them beside the package, where they are edited.
"""

from __future__ import annotations

from pathlib import Path

from mytakeoff.errors import Mistake, TakeoffError

PACKAGE = Path(__file__).resolve().parent
JOB_FILE = "job.toml"
JOBS_WORKBOOK = "jobs"  # over a folder of job folders: it lies beside them, the others in each of them
# Each workbook by the name that it is opened with, and the module of its panel: in the order of the work.
WORKBOOK_PANELS = {
    JOBS_WORKBOOK: "mytakeoff.panels.jobs_panel.panel",
    "job": "mytakeoff.panels.job_sheet_panel.panel",
    "survey": "mytakeoff.panels.survey_panel.panel",
    "budget": "mytakeoff.panels.budget_panel.panel",
    "options": "mytakeoff.panels.options_panel.panel",
    "setting-out": "mytakeoff.panels.setting_panel.panel",
    "buying-and-days": "mytakeoff.panels.days_panel.panel",
    "finished-wall": "mytakeoff.panels.finished_panel.panel",
}
# What each is called where one leads to the others, and what it is for.
WORKBOOK_WORDS = {
    JOBS_WORKBOOK: ("All jobs", "every job of a folder: price, state, which are odd"),
    "job": ("The job", "rooms, walls, readings, prices"),
    "survey": ("Survey", "a wall's readings or scan, and what was found on it"),
    "budget": ("Budget", "what it costs"),
    "options": ("Options", "ways of treating the walls side by side, for the client"),
    "setting-out": ("Setting out", "where rails and screws stand"),
    "buying-and-days": ("Buying and days", "the order and the programme"),
    "finished-wall": ("Finished wall", "checked, made good, settled up, learnt from"),
}
JOB_WORKBOOKS = tuple(name for name in WORKBOOK_PANELS if name != JOBS_WORKBOOK)
JOBS_SHOWN = "MYTAKEOFF_JOBS_SHOWN"  # variable of the environment: folder of the jobs that a server shows
NEW_WORKBOOK = "job"  # what a job without readings is opened with, where there is one
FIRST_WORKBOOK = "budget"


def workbooks_folder() -> Path:
    """Folder of the package's own workbooks."""
    return _first_folder(PACKAGE / "_workbooks", PACKAGE.parent / "workbooks")


def demo_folder() -> Path:
    """Folder of the demo job."""
    return _first_folder(PACKAGE / "_demo", PACKAGE.parent / "data-demo")


def starting_job_folder() -> Path:
    """Folder of the job that a new job folder starts from."""
    return _first_folder(PACKAGE / "data" / "starting-job")


def lab_extensions_folder() -> Path:
    """Folder that holds the JupyterLab extension which runs the package's own workbooks."""
    return PACKAGE / "launch" / "autorun"


def app_templates_folder() -> Path:
    """Jupyter data folder that holds the page Voila shows the workbook in."""
    return PACKAGE / "launch" / "app"


def neutral_folder() -> Path:
    """A folder of the package without settings and modules, for what looks for them where it is started."""
    return PACKAGE / "data"


def _first_folder(*places: Path) -> Path:
    """First of `places` that is there; a damaged installation is said so."""
    for place in places:
        if place.is_dir():
            return place
    raise TakeoffError(
        Mistake(
            f"no folder {places[0]}",
            "the package brings it along",
            "install mytakeoff again",
        )
    )
