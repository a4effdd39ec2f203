"""The panels: controls, the live map and the tables over one store."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from mytakeoff.panels.budget_panel.panel import BudgetPanel, budget
    from mytakeoff.panels.days_panel.panel import DaysPanel, buying_and_days
    from mytakeoff.panels.finished_panel.panel import FinishedPanel, finished
    from mytakeoff.panels.job_sheet_panel.panel import JobSheetPanel, job_sheet
    from mytakeoff.panels.jobs_panel.panel import JobsPanel, jobs
    from mytakeoff.panels.options_panel.panel import OptionsPanel, options
    from mytakeoff.panels.setting_panel.panel import SettingPanel, setting_out
    from mytakeoff.panels.survey_panel.panel import SurveyPanel, survey

__all__ = [
    "BudgetPanel",
    "DaysPanel",
    "FinishedPanel",
    "JobSheetPanel",
    "JobsPanel",
    "OptionsPanel",
    "SettingPanel",
    "SurveyPanel",
    "budget",
    "buying_and_days",
    "finished",
    "job_sheet",
    "jobs",
    "options",
    "setting_out",
    "survey",
]

# A workbook waits only for the panel that it shows.
_HOMES = {
    "BudgetPanel": "budget_panel.panel",
    "budget": "budget_panel.panel",
    "DaysPanel": "days_panel.panel",
    "buying_and_days": "days_panel.panel",
    "FinishedPanel": "finished_panel.panel",
    "finished": "finished_panel.panel",
    "JobSheetPanel": "job_sheet_panel.panel",
    "job_sheet": "job_sheet_panel.panel",
    "JobsPanel": "jobs_panel.panel",
    "jobs": "jobs_panel.panel",
    "OptionsPanel": "options_panel.panel",
    "options": "options_panel.panel",
    "SettingPanel": "setting_panel.panel",
    "setting_out": "setting_panel.panel",
    "SurveyPanel": "survey_panel.panel",
    "survey": "survey_panel.panel",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'mytakeoff.panels' has no attribute {name!r}")
    return getattr(import_module(f"mytakeoff.panels.{_HOMES[name]}"), name)
