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
`change_between`, `Change`, `FixedPlace`, `read_again`
    what a second survey of a wall says was put on, tied by places that the plaster did not move
`open_finished`, `save_finished`, `Finished`, `Delivered`, `HoursSpent`, `AgreedVariation`, `ReturnTrip`,
`FinishedWall`, `FixedAgain`, `NumberedSnag`, `SettledCoat`, `TapedWidth`
    what really happened on a job, beside its ``job.toml``
`read_after`, `measure_again`, `MeasuredAgain`, `measured_words`, `with_measured`
    the later surveys that it names, what they say was put on and how far it settled, and the record with that
`settle_up`, `Account`, `account_words`, `account_spread`, `cause_parts`, `CausePart`
    what was agreed against what it cost, and what made the difference
`shrinkage_seen`, `ShrinkageSeen`, `shrinkage_words`, `with_shrinkage`
    how much a mix shrank, by surveys after and later, and the job that is priced so
`learn_from`, `learn`, `FinishedJob`, `Lessons`, `lessons_words`, `Learnt`, `Prior`, `Evidence`
    what a folder of finished jobs says of one's own mixes, waste, hours and walls
`learnt_offers`, `LearntOffer`, `offer_words`, `with_learnt`, `LearntFigure`, `draw_learnt`
    what of that a job could use and why, the job with what was accepted, before and after as a picture
`promised_by`, `Promised`, `judge_finished`, `JudgedWall`, `Judged`, `AcceptanceRule`, `ReadingErrors`
    a finished wall held to what was promised of it: pass, fail, or too close to call
`judge_corner`, `judge_width`, `judge_in_room`, `InRoom`, `finished_words`
    the same for a corner and for a clear width; how it reads
`snag_list`, `SnagList`, `Snag`, `TouchUp`, `HandMark`, `write_snags`
    what is left to touch up, place by place, with marks made by hand
`snag_book`, `CheckRound`
    the same after every round of checking: open, done, checked, reopened
`check_wall`, `CheckedWall`, `write_verdicts`
    a finished wall by all that was written down of it: its verdict and its snags
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

if TYPE_CHECKING:
    from mytakeoff.acceptance.checked_wall import CheckedWall, check_wall
    from mytakeoff.acceptance.conformity import AcceptanceRule, Judged
    from mytakeoff.acceptance.in_room import InRoom, judge_in_room
    from mytakeoff.acceptance.in_words import finished_words
    from mytakeoff.acceptance.judge_finished import JudgedWall, judge_corner, judge_finished, judge_width
    from mytakeoff.acceptance.promised import Promised, promised_by
    from mytakeoff.acceptance.reading_errors import ReadingErrors
    from mytakeoff.acceptance.rounds import snag_book
    from mytakeoff.acceptance.snags import Snag, SnagList, TouchUp, snag_list
    from mytakeoff.account.account import Account
    from mytakeoff.account.measured_again import MeasuredAgain, measure_again, with_measured
    from mytakeoff.account.measured_words import measured_words
    from mytakeoff.account.settle import account_spread, settle_up
    from mytakeoff.account.settling import ShrinkageSeen, shrinkage_seen, with_shrinkage
    from mytakeoff.account.words import CausePart, account_words, cause_parts, shrinkage_words
    from mytakeoff.buying.order import Order, cheapest_order, order_as_priced, take_order
    from mytakeoff.chain import evaluate
    from mytakeoff.change.between import change_between
    from mytakeoff.change.change import Change
    from mytakeoff.change.fixed import read_again
    from mytakeoff.charts.learning.before_after import draw_learnt
    from mytakeoff.coats.build_up import BuildUp, full_coat
    from mytakeoff.coats.coats import Coat, Coats, split_coats
    from mytakeoff.corners.clear_width import ClearWidth
    from mytakeoff.corners.diagonals import Diagonals
    from mytakeoff.corners.room_corner import OffSquare, RoomCorner, Triangle
    from mytakeoff.cost.cost import Cost, CostLine
    from mytakeoff.documents.variation_written import write_variation
    from mytakeoff.documents.write import write_quotation
    from mytakeoff.errors import Mistake, TakeoffError
    from mytakeoff.figures.headline import Headline, headline
    from mytakeoff.finished.check_round import CheckRound
    from mytakeoff.finished.finished_wall import FinishedWall, FixedAgain, SettledCoat
    from mytakeoff.finished.hand_mark import HandMark
    from mytakeoff.finished.numbered_snag import NumberedSnag
    from mytakeoff.finished.record import AgreedVariation, Delivered, Finished, HoursSpent, ReturnTrip
    from mytakeoff.finished.taped_width import TapedWidth
    from mytakeoff.flatness.straightedge import straightedge_belly, straightedge_gap
    from mytakeoff.io.finished.after_surveys import read_after
    from mytakeoff.io.finished.finished_file import open_finished, save_finished
    from mytakeoff.io.finished.finished_jobs import learn_from
    from mytakeoff.io.job.open_job import open_job
    from mytakeoff.io.job.save_job import save_job
    from mytakeoff.io.job.scenarios import edits_between, with_scenario
    from mytakeoff.io.scan.find_walls import find_walls
    from mytakeoff.io.scan.found_wall import FoundWall
    from mytakeoff.io.signed.sign import sign_job
    from mytakeoff.io.signed.standing import variation
    from mytakeoff.io.survey.survey_file import read_survey
    from mytakeoff.io.tables.finished_walls import write_snags, write_verdicts
    from mytakeoff.job.backgrounds import likely_on
    from mytakeoff.job.calendar import Calendar
    from mytakeoff.job.choices import Extra, Margins, PlaneChoice, QuotationTerms, RailChoice, Room, Site
    from mytakeoff.job.confidence import Confidence, LikelyWall
    from mytakeoff.job.job import Job
    from mytakeoff.job.job_wall import Fitting, FixedPlace, JobWall
    from mytakeoff.job.mixes import Mix, Recipe, System
    from mytakeoff.job.packs import Buying, Chosen, Pack, PackList, Supplier
    from mytakeoff.job.prices import Price, PriceList
    from mytakeoff.job.ranges import LearntFigure, Range
    from mytakeoff.job.rates import LabourRates
    from mytakeoff.job.treatments import Compare, Edit, PlumbThing, Scenario, Treatment
    from mytakeoff.learning.evidence import FinishedJob
    from mytakeoff.learning.learn import Lessons, learn
    from mytakeoff.learning.learnt import Learnt
    from mytakeoff.learning.offers import LearntOffer, learnt_offers, with_learnt
    from mytakeoff.learning.priors import Evidence, Prior
    from mytakeoff.learning.words import lessons_words, offer_words
    from mytakeoff.options.compare import carry, compare, option_result, options_of, wall_by_wall
    from mytakeoff.options.price_curve import CurvePoint, price_curve
    from mytakeoff.options.result import OptionResult, Refused, best_of
    from mytakeoff.plane.best_cut import best_cut, cheapest_plane, cheapest_plane_bound
    from mytakeoff.plane.target_plane import PlaneRule, TargetPlane, target_plane
    from mytakeoff.programme.programme import Programme, work_programme
    from mytakeoff.rails.cut_list import CutList, Piece, cut_list
    from mytakeoff.ranges.drivers import Driver, price_drivers
    from mytakeoff.ranges.job_ranges import JobRanges, job_ranges
    from mytakeoff.repair.spot_repair import RepairBuildUp, skim, spot_repair
    from mytakeoff.result import Result
    from mytakeoff.rooms.planes import RoomPlanes
    from mytakeoff.settingout.fixings import Fixing
    from mytakeoff.settingout.rail_places import RailPlan, best_rails
    from mytakeoff.settingout.set_out import SettingOut, WallSetting, set_out
    from mytakeoff.simulation.wall_range import WallRange, wall_range
    from mytakeoff.surface.patches import Patch
    from mytakeoff.surface.surface import Surface, grid_surface
    from mytakeoff.survey.corner import Corner
    from mytakeoff.survey.laid_edge import LaidEdge
    from mytakeoff.survey.survey import Survey
    from mytakeoff.survey.wall import LooseArea, Opening, Wall
    from mytakeoff.treatment.left_open import option_walls
    from mytakeoff.treatment.room_planes import priced_tolerance, room_planes
    from mytakeoff.variations.client_lines import VariationLine
    from mytakeoff.variations.variation import SignedJob, Variation

__version__ = "0.1.0"

# Where each public name is: imported when it is first asked for, so that a command that prices nothing, and
# the process that only hands out work, starts without the numeric libraries.
_NAMES_IN = {
    "acceptance.checked_wall": "CheckedWall check_wall",
    "acceptance.conformity": "AcceptanceRule Judged",
    "acceptance.in_room": "InRoom judge_in_room",
    "acceptance.in_words": "finished_words",
    "acceptance.judge_finished": "JudgedWall judge_corner judge_finished judge_width",
    "acceptance.promised": "Promised promised_by",
    "acceptance.reading_errors": "ReadingErrors",
    "acceptance.rounds": "snag_book",
    "acceptance.snags": "Snag SnagList TouchUp snag_list",
    "account.account": "Account",
    "account.measured_again": "MeasuredAgain measure_again with_measured",
    "account.measured_words": "measured_words",
    "account.settle": "account_spread settle_up",
    "account.settling": "ShrinkageSeen shrinkage_seen with_shrinkage",
    "account.words": "CausePart account_words cause_parts shrinkage_words",
    "buying.order": "Order cheapest_order order_as_priced take_order",
    "chain": "evaluate",
    "change.between": "change_between",
    "change.change": "Change",
    "change.fixed": "read_again",
    "charts.learning.before_after": "draw_learnt",
    "coats.build_up": "BuildUp full_coat",
    "coats.coats": "Coat Coats split_coats",
    "corners.clear_width": "ClearWidth",
    "corners.diagonals": "Diagonals",
    "corners.room_corner": "OffSquare RoomCorner Triangle",
    "cost.cost": "Cost CostLine",
    "documents.variation_written": "write_variation",
    "documents.write": "write_quotation",
    "errors": "Mistake TakeoffError",
    "figures.headline": "Headline headline",
    "finished.check_round": "CheckRound",
    "finished.finished_wall": "FinishedWall FixedAgain SettledCoat",
    "finished.hand_mark": "HandMark",
    "finished.numbered_snag": "NumberedSnag",
    "finished.record": "AgreedVariation Delivered Finished HoursSpent ReturnTrip",
    "finished.taped_width": "TapedWidth",
    "flatness.straightedge": "straightedge_belly straightedge_gap",
    "io.finished.after_surveys": "read_after",
    "io.finished.finished_file": "open_finished save_finished",
    "io.finished.finished_jobs": "learn_from",
    "io.job.open_job": "open_job",
    "io.job.save_job": "save_job",
    "io.job.scenarios": "edits_between with_scenario",
    "io.scan.find_walls": "find_walls",
    "io.scan.found_wall": "FoundWall",
    "io.signed.sign": "sign_job",
    "io.signed.standing": "variation",
    "io.survey.survey_file": "read_survey",
    "io.tables.finished_walls": "write_snags write_verdicts",
    "job.backgrounds": "likely_on",
    "job.calendar": "Calendar",
    "job.choices": "Extra Margins PlaneChoice QuotationTerms RailChoice Room Site",
    "job.confidence": "Confidence LikelyWall",
    "job.job": "Job",
    "job.job_wall": "Fitting FixedPlace JobWall",
    "job.mixes": "Mix Recipe System",
    "job.packs": "Buying Chosen Pack PackList Supplier",
    "job.prices": "Price PriceList",
    "job.ranges": "LearntFigure Range",
    "job.rates": "LabourRates",
    "job.treatments": "Compare Edit PlumbThing Scenario Treatment",
    "learning.evidence": "FinishedJob",
    "learning.learn": "Lessons learn",
    "learning.learnt": "Learnt",
    "learning.offers": "LearntOffer learnt_offers with_learnt",
    "learning.priors": "Evidence Prior",
    "learning.words": "lessons_words offer_words",
    "options.compare": "carry compare option_result options_of wall_by_wall",
    "options.price_curve": "CurvePoint price_curve",
    "options.result": "OptionResult Refused best_of",
    "plane.best_cut": "best_cut cheapest_plane cheapest_plane_bound",
    "plane.target_plane": "PlaneRule TargetPlane target_plane",
    "programme.programme": "Programme work_programme",
    "rails.cut_list": "CutList Piece cut_list",
    "ranges.drivers": "Driver price_drivers",
    "ranges.job_ranges": "JobRanges job_ranges",
    "repair.spot_repair": "RepairBuildUp skim spot_repair",
    "result": "Result",
    "rooms.planes": "RoomPlanes",
    "settingout.fixings": "Fixing",
    "settingout.rail_places": "RailPlan best_rails",
    "settingout.set_out": "SettingOut WallSetting set_out",
    "simulation.wall_range": "WallRange wall_range",
    "surface.patches": "Patch",
    "surface.surface": "Surface grid_surface",
    "survey.corner": "Corner",
    "survey.laid_edge": "LaidEdge",
    "survey.survey": "Survey",
    "survey.wall": "LooseArea Opening Wall",
    "treatment.left_open": "option_walls",
    "treatment.room_planes": "priced_tolerance room_planes",
    "variations.client_lines": "VariationLine",
    "variations.variation": "SignedJob Variation",
}
_MODULES = {name: module for module, names in _NAMES_IN.items() for name in names.split()}

# Names of before, for scripts that have them.
_OLD_NAMES = {
    "Sureness": "Confidence",
    "Sweep": "LaidEdge",
    "JobSureness": "JobRanges",
    "job_sureness": "job_ranges",
}


def __getattr__(name: str) -> Any:
    new = _OLD_NAMES.get(name, name)
    if new not in _MODULES:
        raise AttributeError(f"module 'mytakeoff' has no attribute {name!r}")
    found = globals()[name] = getattr(import_module(f"mytakeoff.{_MODULES[new]}"), new)
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


__all__ = [
    "AcceptanceRule", "Account", "AgreedVariation", "BuildUp", "Buying", "Calendar", "CausePart",
    "Change", "CheckRound", "CheckedWall", "Chosen", "ClearWidth", "Coat", "Coats", "Compare",
    "Confidence", "Corner", "Cost", "CostLine", "CurvePoint", "CutList", "Delivered", "Diagonals",
    "Driver", "Edit", "Evidence", "Extra", "Finished", "FinishedJob", "FinishedWall", "Fitting",
    "FixedAgain", "FixedPlace", "Fixing", "FoundWall", "HandMark", "Headline", "HoursSpent",
    "InRoom", "Job", "JobRanges", "JobWall", "Judged", "JudgedWall", "LabourRates", "LaidEdge",
    "Learnt", "LearntFigure", "LearntOffer", "Lessons", "LikelyWall", "LooseArea", "Margins",
    "MeasuredAgain", "Mistake", "Mix", "NumberedSnag", "OffSquare", "Opening", "OptionResult",
    "Order", "Pack", "PackList", "Patch", "Piece", "PlaneChoice", "PlaneRule", "PlumbThing",
    "Price", "PriceList", "Prior", "Programme", "Promised", "QuotationTerms", "RailChoice",
    "RailPlan", "Range", "ReadingErrors", "Recipe", "Refused", "RepairBuildUp", "Result",
    "ReturnTrip", "Room", "RoomCorner", "RoomPlanes", "Scenario", "SettingOut", "SettledCoat",
    "ShrinkageSeen", "SignedJob", "Site", "Snag", "SnagList", "Supplier", "Surface", "Survey",
    "Sweep", "System", "TakeoffError", "TapedWidth", "TargetPlane", "TouchUp", "Treatment",
    "Triangle", "Variation", "VariationLine", "Wall", "WallRange", "WallSetting", "account_spread",
    "account_words", "best_cut", "best_of", "best_rails", "carry", "cause_parts", "change_between",
    "cheapest_order", "cheapest_plane", "cheapest_plane_bound", "check_wall", "compare", "cut_list",
    "draw_learnt", "edits_between", "evaluate", "find_walls", "finished_words", "full_coat",
    "grid_surface", "headline", "job_ranges", "job_sureness", "judge_corner", "judge_finished",
    "judge_in_room", "judge_width", "learn", "learn_from", "learnt_offers", "lessons_words",
    "likely_on", "measure_again", "measured_words", "offer_words", "open_finished", "open_job",
    "option_result", "option_walls", "options_of", "order_as_priced", "price_curve",
    "price_drivers", "priced_tolerance", "promised_by", "read_after", "read_again", "read_survey",
    "room_planes", "save_finished", "save_job", "set_out", "settle_up", "shrinkage_seen",
    "shrinkage_words", "sign_job", "skim", "snag_book", "snag_list", "split_coats", "spot_repair",
    "straightedge_belly", "straightedge_gap", "take_order", "target_plane", "variation",
    "wall_by_wall", "wall_range", "with_learnt", "with_measured", "with_scenario", "with_shrinkage",
    "work_programme", "write_quotation", "write_snags", "write_variation", "write_verdicts",
]  # fmt: skip
