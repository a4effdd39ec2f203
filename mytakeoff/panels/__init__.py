"""The panels: controls, the live map and the cost table over one store."""

from mytakeoff.panels.budget import BudgetPanel, budget

__all__ = ["BudgetPanel", "budget"]
