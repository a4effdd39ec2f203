"""The panels: controls, the live map and the cost table over one store."""

from mytakeoff.panels.budget import BudgetPanel, budget
from mytakeoff.panels.options import OptionsPanel, options

__all__ = ["BudgetPanel", "OptionsPanel", "budget", "options"]
