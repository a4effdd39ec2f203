"""Takeoff for levelling interior walls: from hand readings to litres, bags, coats, days and money.

The chain: survey → surface → plane → build-up → coats → materials → cost. `open_job` reads a job folder,
`evaluate` computes every stage of it; `mytakeoff.panels` (imported apart) has the live panels.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from mytakeoff.bestcut import best_cut
from mytakeoff.buildup import BuildUp, full_coat
from mytakeoff.chain import Result, evaluate
from mytakeoff.choices import Extra, Margins, PlaneChoice, RailChoice, Room
from mytakeoff.coats import Coat, Coats, split_coats
from mytakeoff.corner import Corner
from mytakeoff.cost import Cost, CostLine
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.fittings import Fitting
from mytakeoff.io.jobfile import open_job
from mytakeoff.io.surveyfile import read_survey
from mytakeoff.job import Job, JobWall
from mytakeoff.labour import LabourRates
from mytakeoff.mixes import Mix, Recipe, System
from mytakeoff.optionwalls import option_walls
from mytakeoff.packs import Buying, Pack, PackList, Supplier
from mytakeoff.patches import Patch
from mytakeoff.plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.prices import Price, PriceList
from mytakeoff.spotrepair import RepairBuildUp, skim, spot_repair
from mytakeoff.straightedge import straightedge_belly, straightedge_gap
from mytakeoff.surechoice import LikelyWall, Sureness
from mytakeoff.surface import Surface, grid_surface
from mytakeoff.survey import Survey
from mytakeoff.sweep import Sweep
from mytakeoff.treatments import Compare, PlumbThing, Range, Treatment
from mytakeoff.wall import LooseArea, Opening, Wall
from mytakeoff.workdays import Calendar

if TYPE_CHECKING:
    from mytakeoff.buying import Order, cheapest_order
    from mytakeoff.cutlist import CutList, Piece, cut_list
    from mytakeoff.drivers import Driver, price_drivers
    from mytakeoff.fixings import Fixing
    from mytakeoff.io.jobsave import save_job
    from mytakeoff.io.scanwalls import FoundWall, find_walls
    from mytakeoff.optionresult import OptionResult, Refused, best_of
    from mytakeoff.options import carry, compare, option_result, options_of, wall_by_wall
    from mytakeoff.pricecurve import CurvePoint, price_curve
    from mytakeoff.programme import Programme, work_programme
    from mytakeoff.railchoice import RailPlan, best_rails
    from mytakeoff.settingout import SettingOut, WallSetting, set_out
    from mytakeoff.sureness import JobSureness, job_sureness

__version__ = "0.1.0"

# What the chain itself does not need is imported when it is first asked for.
_LATER = {
    "save_job": "io.jobsave",
    **dict.fromkeys(("FoundWall", "find_walls"), "io.scanwalls"),
    **dict.fromkeys(("CutList", "Piece", "cut_list"), "cutlist"),
    **dict.fromkeys(("RailPlan", "best_rails"), "railchoice"),
    **dict.fromkeys(("SettingOut", "WallSetting", "set_out"), "settingout"),
    "Fixing": "fixings",
    **dict.fromkeys(("Driver", "price_drivers"), "drivers"),
    **dict.fromkeys(("OptionResult", "Refused", "best_of"), "optionresult"),
    **dict.fromkeys(("carry", "compare", "option_result", "options_of", "wall_by_wall"), "options"),
    **dict.fromkeys(("CurvePoint", "price_curve"), "pricecurve"),
    **dict.fromkeys(("Programme", "work_programme"), "programme"),
    **dict.fromkeys(("Order", "cheapest_order"), "buying"),
    **dict.fromkeys(("JobSureness", "job_sureness"), "sureness"),
}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module 'mytakeoff' has no attribute {name!r}")
    return getattr(import_module(f"mytakeoff.{_LATER[name]}"), name)


__all__ = [
    "BuildUp",
    "Buying",
    "Calendar",
    "Coat",
    "Coats",
    "Compare",
    "Corner",
    "Cost",
    "CostLine",
    "CurvePoint",
    "CutList",
    "Driver",
    "Extra",
    "Fitting",
    "Fixing",
    "FoundWall",
    "Job",
    "JobSureness",
    "JobWall",
    "LabourRates",
    "LikelyWall",
    "LooseArea",
    "Margins",
    "Mistake",
    "Mix",
    "Opening",
    "OptionResult",
    "Order",
    "Pack",
    "PackList",
    "Patch",
    "Piece",
    "PlaneChoice",
    "PlaneRule",
    "PlumbThing",
    "Price",
    "PriceList",
    "Programme",
    "RailChoice",
    "RailPlan",
    "Range",
    "Recipe",
    "Refused",
    "RepairBuildUp",
    "Result",
    "Room",
    "SettingOut",
    "Supplier",
    "Sureness",
    "Surface",
    "Survey",
    "Sweep",
    "System",
    "TakeoffError",
    "TargetPlane",
    "Treatment",
    "Wall",
    "WallSetting",
    "best_cut",
    "best_of",
    "best_rails",
    "carry",
    "cheapest_order",
    "compare",
    "cut_list",
    "evaluate",
    "find_walls",
    "full_coat",
    "grid_surface",
    "job_sureness",
    "open_job",
    "option_result",
    "option_walls",
    "options_of",
    "price_curve",
    "price_drivers",
    "read_survey",
    "save_job",
    "set_out",
    "skim",
    "split_coats",
    "spot_repair",
    "straightedge_belly",
    "straightedge_gap",
    "target_plane",
    "wall_by_wall",
    "work_programme",
]
