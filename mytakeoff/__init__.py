"""Takeoff for levelling interior walls: from hand readings to litres, bags, coats, days and money.

The chain: survey → surface → plane → build-up → coats → materials → cost. `open_job` reads a job folder,
`evaluate` computes every stage of it; `mytakeoff.panels` (imported apart) has the live panels.

::

    import mytakeoff as mt

    job = mt.open_job("my-flat")
    result = mt.evaluate(job)
    print(result.cost.total)
    result.cost.to_frame()

What there is
-------------
`open_job`, `save_job`, `read_survey`
    files to a job or a survey, and back
`Job`, `JobWall`, `Room`, `PlaneChoice`, `RailChoice`, `Margins`, `LabourRates`, `Extra`, `Site`,
`QuotationTerms`
    what you entered
`find_walls`, `FoundWall`
    the walls in a scan, to choose from
`Wall`, `Opening`, `LooseArea`, `Survey`, `LaidEdge`, `Corner`, `Fitting`
    the wall, its readings, what else was found and what is fixed to it
`RoomCorner`, `OffSquare`, `Triangle`, `Diagonals`, `ClearWidth`
    how the walls of a room join, how that was measured, what must remain between them
`grid_surface`, `Surface`
    the height field
`PlaneRule`, `target_plane`, `TargetPlane`
    the finished face
`room_planes`, `RoomPlanes`, `priced_tolerance`
    the walls of a room on planes that are square to one another, and what a tolerance saves
`full_coat`, `BuildUp`
    the plaster on it
`cheapest_plane`, `cheapest_plane_bound`, `best_cut`
    the finished face that costs least in filling and taking down, what any costs at least, its deepest cut
`straightedge_gap`, `straightedge_belly`
    what a straightedge shows
`spot_repair`, `skim`, `RepairBuildUp`, `Patch`
    spots filled until it passes, and a coat over them
`split_coats`, `Coat`, `Coats`
    its coats
`Mix`, `Recipe`, `System`
    the products
`Price`, `PriceList`, `Cost`, `CostLine`
    the money
`evaluate`, `Result`
    the whole chain
`headline`, `Headline`
    the figures that a job is known by, as every screen and file says them
`Treatment`, `Compare`, `PlumbThing`, `options_of`
    ways of treating the walls, and what they are judged by
`compare`, `option_result`, `OptionResult`, `Refused`, `best_of`, `wall_by_wall`
    the ways side by side: price, days, what still shows
`option_walls`, `carry`
    one way's walls; the job whose budget it is
`Scenario`, `Edit`, `edits_between`, `with_scenario`
    what-ifs kept with a job: the edits from one job to another, and the job with them
`price_curve`, `CurvePoint`
    money against the gap that is left
`Range`, `price_drivers`, `Driver`
    what drives the price
`set_out`, `SettingOut`, `WallSetting`, `Fixing`
    rails, bays, fixings, screws and checks of every wall
`best_rails`, `RailPlan`
    rails where the plane sits lowest, and what that saves
`cut_list`, `CutList`, `Piece`
    the fewest stock lengths that give all rails
`work_programme`, `Programme`, `Calendar`
    which day what is done, when walls are dry; working days and waits
`order_as_priced`, `cheapest_order`, `take_order`, `Order`
    what the price buys where, what is over and to carry; what would cost less, and the job that buys so
`Pack`, `PackList`, `Supplier`, `Buying`, `Chosen`
    what things are sold in, by whom, and who each product is bought from
`job_ranges`, `JobRanges`, `Confidence`
    ranges, bags to order, where to measure next
`wall_range`, `WallRange`, `LikelyWall`, `likely_on`
    how sure one wall's litres are, by what is likely on its background
`write_quotation`
    the page that is handed over, with the estimator's edition: PDF, page and workbook
`sign_job`, `SignedJob`, `variation`, `Variation`, `VariationLine`, `write_variation`
    what was signed, kept; a change of it at the signed rates, line by line, and the page to sign
`TakeoffError`, `Mistake`
    every mistake in your data: value, rule, remedy, place
`Sweep`, `Sureness`, `JobSureness`, `job_sureness`
    names of before for `LaidEdge`, `Confidence`, `JobRanges`, `job_ranges`
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from mytakeoff.chain import evaluate
from mytakeoff.coats.build_up import BuildUp, full_coat
from mytakeoff.coats.coats import Coat, Coats, split_coats
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.diagonals import Diagonals
from mytakeoff.corners.room_corner import OffSquare, RoomCorner, Triangle
from mytakeoff.cost.cost import Cost, CostLine
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.flatness.straightedge import straightedge_belly, straightedge_gap
from mytakeoff.io.job.open_job import open_job
from mytakeoff.io.survey.survey_file import read_survey
from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.calendar import Calendar
from mytakeoff.job.choices import Extra, Margins, PlaneChoice, QuotationTerms, RailChoice, Room, Site
from mytakeoff.job.confidence import Confidence, LikelyWall
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import Fitting, JobWall
from mytakeoff.job.mixes import Mix, Recipe, System
from mytakeoff.job.packs import Buying, Chosen, Pack, PackList, Supplier
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.job.ranges import Range
from mytakeoff.job.rates import LabourRates
from mytakeoff.job.treatments import Compare, Edit, PlumbThing, Scenario, Treatment
from mytakeoff.plane.best_cut import best_cut, cheapest_plane, cheapest_plane_bound
from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
from mytakeoff.repair.spot_repair import RepairBuildUp, skim, spot_repair
from mytakeoff.result import Result
from mytakeoff.simulation.wall_range import WallRange, wall_range
from mytakeoff.surface.patches import Patch
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.corner import Corner
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import LooseArea, Opening, Wall
from mytakeoff.treatment.left_open import option_walls

if TYPE_CHECKING:
    from mytakeoff.buying.order import Order, cheapest_order, order_as_priced, take_order
    from mytakeoff.documents.variation_written import write_variation
    from mytakeoff.documents.write import write_quotation
    from mytakeoff.figures.headline import Headline, headline
    from mytakeoff.io.job.save_job import save_job
    from mytakeoff.io.job.scenarios import edits_between, with_scenario
    from mytakeoff.io.scan.find_walls import find_walls
    from mytakeoff.io.scan.found_wall import FoundWall
    from mytakeoff.io.signed.sign import sign_job
    from mytakeoff.io.signed.standing import variation
    from mytakeoff.options.compare import carry, compare, option_result, options_of, wall_by_wall
    from mytakeoff.options.price_curve import CurvePoint, price_curve
    from mytakeoff.options.result import OptionResult, Refused, best_of
    from mytakeoff.programme.programme import Programme, work_programme
    from mytakeoff.rails.cut_list import CutList, Piece, cut_list
    from mytakeoff.ranges.drivers import Driver, price_drivers
    from mytakeoff.ranges.job_ranges import JobRanges, job_ranges
    from mytakeoff.rooms.planes import RoomPlanes
    from mytakeoff.settingout.fixings import Fixing
    from mytakeoff.settingout.rail_places import RailPlan, best_rails
    from mytakeoff.settingout.set_out import SettingOut, WallSetting, set_out
    from mytakeoff.treatment.room_planes import priced_tolerance, room_planes
    from mytakeoff.variations.client_lines import VariationLine
    from mytakeoff.variations.variation import SignedJob, Variation

__version__ = "0.1.0"

# What the chain itself does not need is imported when it is first asked for.
_LATER = {
    "save_job": "io.job.save_job",
    "write_quotation": "documents.write",
    "write_variation": "documents.variation_written",
    "sign_job": "io.signed.sign",
    "variation": "io.signed.standing",
    "VariationLine": "variations.client_lines",
    **dict.fromkeys(("SignedJob", "Variation"), "variations.variation"),
    **dict.fromkeys(("edits_between", "with_scenario"), "io.job.scenarios"),
    "FoundWall": "io.scan.found_wall",
    "find_walls": "io.scan.find_walls",
    **dict.fromkeys(("CutList", "Piece", "cut_list"), "rails.cut_list"),
    **dict.fromkeys(("RailPlan", "best_rails"), "settingout.rail_places"),
    **dict.fromkeys(("SettingOut", "WallSetting", "set_out"), "settingout.set_out"),
    "Fixing": "settingout.fixings",
    **dict.fromkeys(("Driver", "price_drivers"), "ranges.drivers"),
    **dict.fromkeys(("OptionResult", "Refused", "best_of"), "options.result"),
    **dict.fromkeys(("carry", "compare", "option_result", "options_of", "wall_by_wall"), "options.compare"),
    **dict.fromkeys(("CurvePoint", "price_curve"), "options.price_curve"),
    **dict.fromkeys(("Programme", "work_programme"), "programme.programme"),
    **dict.fromkeys(("Headline", "headline"), "figures.headline"),
    **dict.fromkeys(("Order", "cheapest_order", "order_as_priced", "take_order"), "buying.order"),
    **dict.fromkeys(("JobRanges", "job_ranges"), "ranges.job_ranges"),
    "RoomPlanes": "rooms.planes",
    **dict.fromkeys(("priced_tolerance", "room_planes"), "treatment.room_planes"),
}

# Names of before, for scripts that have them.
Sureness, Sweep = Confidence, LaidEdge
_OLD_NAMES = {"JobSureness": "JobRanges", "job_sureness": "job_ranges"}


def __getattr__(name: str) -> Any:
    name = _OLD_NAMES.get(name, name)
    if name not in _LATER:
        raise AttributeError(f"module 'mytakeoff' has no attribute {name!r}")
    return getattr(import_module(f"mytakeoff.{_LATER[name]}"), name)


__all__ = [
    "BuildUp",
    "Buying",
    "Calendar",
    "Chosen",
    "ClearWidth",
    "Coat",
    "Coats",
    "Compare",
    "Confidence",
    "Corner",
    "Cost",
    "CostLine",
    "CurvePoint",
    "CutList",
    "Diagonals",
    "Driver",
    "Edit",
    "Extra",
    "Fitting",
    "Fixing",
    "FoundWall",
    "Headline",
    "Job",
    "JobRanges",
    "JobWall",
    "LabourRates",
    "LaidEdge",
    "LikelyWall",
    "LooseArea",
    "Margins",
    "Mistake",
    "Mix",
    "OffSquare",
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
    "QuotationTerms",
    "RailChoice",
    "RailPlan",
    "Range",
    "Recipe",
    "Refused",
    "RepairBuildUp",
    "Result",
    "Room",
    "RoomCorner",
    "RoomPlanes",
    "Scenario",
    "SettingOut",
    "SignedJob",
    "Site",
    "Supplier",
    "Surface",
    "Survey",
    "Sweep",
    "System",
    "TakeoffError",
    "TargetPlane",
    "Treatment",
    "Triangle",
    "Variation",
    "VariationLine",
    "Wall",
    "WallRange",
    "WallSetting",
    "best_cut",
    "best_of",
    "best_rails",
    "carry",
    "cheapest_order",
    "cheapest_plane",
    "cheapest_plane_bound",
    "compare",
    "cut_list",
    "edits_between",
    "evaluate",
    "find_walls",
    "full_coat",
    "grid_surface",
    "headline",
    "job_ranges",
    "job_sureness",
    "likely_on",
    "open_job",
    "option_result",
    "option_walls",
    "options_of",
    "order_as_priced",
    "price_curve",
    "price_drivers",
    "priced_tolerance",
    "read_survey",
    "room_planes",
    "save_job",
    "set_out",
    "sign_job",
    "skim",
    "split_coats",
    "spot_repair",
    "straightedge_belly",
    "straightedge_gap",
    "take_order",
    "target_plane",
    "variation",
    "wall_by_wall",
    "wall_range",
    "with_scenario",
    "work_programme",
    "write_quotation",
    "write_variation",
]
