"""The panels: controls, the live map and the tables over one store."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from mytakeoff.panels.budgetpanel import BudgetPanel, budget
    from mytakeoff.panels.dayspanel import DaysPanel, buying_and_days
    from mytakeoff.panels.optionspanel import OptionsPanel, options
    from mytakeoff.panels.settingpanel import SettingPanel, setting_out
    from mytakeoff.panels.surveypanel import SurveyPanel, survey

__all__ = [
    "BudgetPanel",
    "DaysPanel",
    "OptionsPanel",
    "SettingPanel",
    "SurveyPanel",
    "budget",
    "buying_and_days",
    "options",
    "setting_out",
    "survey",
]

# A workbook waits only for the panel that it shows.
_HOMES = {
    "BudgetPanel": "budgetpanel",
    "budget": "budgetpanel",
    "DaysPanel": "dayspanel",
    "buying_and_days": "dayspanel",
    "OptionsPanel": "optionspanel",
    "options": "optionspanel",
    "SettingPanel": "settingpanel",
    "setting_out": "settingpanel",
    "SurveyPanel": "surveypanel",
    "survey": "surveypanel",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'mytakeoff.panels' has no attribute {name!r}")
    return getattr(import_module(f"mytakeoff.panels.{_HOMES[name]}"), name)
