"""Takeoff for levelling interior walls: from hand readings to litres, bags, coats, days and money.

The chain: survey → surface → plane → build-up → coats → materials → cost. `open_job` reads a job folder,
`evaluate` computes every stage of it; `mytakeoff.panels` (imported apart) has the live panels.
"""

from mytakeoff.bestcut import best_cut
from mytakeoff.buildup import BuildUp, full_coat
from mytakeoff.chain import Result, evaluate
from mytakeoff.coats import Coat, Coats, split_coats
from mytakeoff.cost import Cost, CostLine
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.jobfile import open_job
from mytakeoff.io.jobsave import save_job
from mytakeoff.io.surveyfile import read_survey
from mytakeoff.job import Extra, Job, JobWall, Margins, PlaneChoice, RailChoice, Room
from mytakeoff.labour import LabourRates
from mytakeoff.mixes import Mix, Recipe, System
from mytakeoff.patches import Patch
from mytakeoff.plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.prices import Price, PriceList
from mytakeoff.spotrepair import RepairBuildUp, skim, spot_repair
from mytakeoff.straightedge import straightedge_belly, straightedge_gap
from mytakeoff.surface import Surface, grid_surface
from mytakeoff.survey import Survey
from mytakeoff.wall import LooseArea, Opening, Wall

__version__ = "0.1.0"

__all__ = [
    "BuildUp",
    "Coat",
    "Coats",
    "Cost",
    "CostLine",
    "Extra",
    "Job",
    "JobWall",
    "LabourRates",
    "LooseArea",
    "Margins",
    "Mistake",
    "Mix",
    "Opening",
    "Patch",
    "PlaneChoice",
    "PlaneRule",
    "Price",
    "PriceList",
    "RailChoice",
    "Recipe",
    "RepairBuildUp",
    "Result",
    "Room",
    "Surface",
    "Survey",
    "System",
    "TakeoffError",
    "TargetPlane",
    "Wall",
    "best_cut",
    "evaluate",
    "full_coat",
    "grid_surface",
    "open_job",
    "read_survey",
    "save_job",
    "skim",
    "split_coats",
    "spot_repair",
    "straightedge_belly",
    "straightedge_gap",
    "target_plane",
]
