"""The pieces of work on one wall and the hours they take: what the rates of `labour` make of its measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mytakeoff.coats.coats import Coat
from mytakeoff.formats import Formats
from mytakeoff.job.job import Job, JobWall
from mytakeoff.job.rates import LabourRates
from mytakeoff.measure.materials import CRUMB_L
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.treatment.loose_areas import deducted_area_m2
from mytakeoff.treatment.wall_result import WallResult

HACK_OFF = "hack off and bag"
TAKE_DOWN = "take down high spots"
PRIME = "prime"
RAILS = "rails"
PATCHES = "patches"
DUB_OUT = "dub out"
MESH = "mesh"
BEADS = "beads"
FLOAT = "float backing"
REVEALS = "reveals"
MAKE_GOOD = "make good rail channels"
FINISH = "finish coat"
FITTINGS = "sockets and radiators"
# in the order of the work
TASKS = (
    HACK_OFF, TAKE_DOWN, PRIME, RAILS, PATCHES, DUB_OUT, MESH, BEADS, FLOAT, REVEALS, MAKE_GOOD, FINISH,
    FITTINGS,
)  # fmt: skip


@dataclass(frozen=True)
class WorkPiece:
    """Part of a task on one wall, before the wall's factor: quantity [unit], hours [h], the rate in words."""

    task: str
    quantity: float
    unit: str
    hours: float
    rate: str


def float_h_per_m2(mean_mm: float, rates: LabourRates) -> float:
    """Hours to float one square metre of a coat of that mean thickness [h/m²].

    Examples
    --------
    0.5 to 15 mm and 0.1 for each further 5 mm:

    >>> float_h_per_m2(12, LabourRates()), float_h_per_m2(20, LabourRates())
    (0.5, 0.6)
    """
    more_mm = max(0.0, mean_mm - rates.float_to_mm)
    return rates.float_h_per_m2 + rates.float_more_h_per_m2_per_5_mm * more_mm / 5


def patch_hours(count: int, area_m2: float, rates: LabourRates) -> float:
    """Hours for patches: a least charge for each and the area of all [h].

    Examples
    --------
    >>> patch_hours(1, 0.5, LabourRates())
    1.0
    """
    return count * rates.patch_h_each + area_m2 * rates.patch_h_per_m2


def wall_factor(entry: JobWall, storey: int, rates: LabourRates) -> float:
    """How much slower a wall goes than a large one at the ground: small or narrow, high, up the stairs [-].

    A narrow wall is a small one for the same reason, so the greater of these two factors counts, not both.
    """
    wall = entry.wall
    small = wall.width_m * wall.height_m - deducted_area_m2(wall) < rates.small_wall_m2
    narrow = wall.width_m < rates.narrow_m
    size = max(rates.small_wall_factor if small else 1.0, rates.narrow_factor if narrow else 1.0)
    height = rates.high_wall_factor if wall.height_m > rates.high_wall_m else 1.0
    return float(size * height * rates.storey_factor**storey)


def wall_pieces(job: Job, wall: WallResult, measures: Measures) -> tuple[WorkPiece, ...]:
    """Every piece of work on one wall; those that there is nothing of have no hours."""
    plastering = _plastering(measures, wall, job)
    return (*_preparation(measures, job), *plastering, *_last(measures, wall, job))


def _by_rate(task: str, quantity: float, unit: str, rate_h: float, formats: Formats) -> WorkPiece:
    return WorkPiece(task, quantity, unit, quantity * rate_h, f"{formats.short(rate_h)} h/{unit}")


def _preparation(measures: Measures, job: Job) -> list[WorkPiece]:
    rates, formats = job.rates, job.formats
    return [
        _by_rate(HACK_OFF, measures.hacked_m2, "m²", rates.hack_off_h_per_m2, formats),
        _by_rate(TAKE_DOWN, measures.cut_m2, "m²", rates.take_down_h_per_m2, formats),
        _by_rate(PRIME, measures.treated_m2, "m²", rates.prime_h_per_m2, formats),
        _by_rate(RAILS, measures.rail_m, "m", rates.rails_h_per_m, formats),
        _by_rate(MESH, measures.mesh_m2, "m²", rates.mesh_h_per_m2, formats),
        _by_rate(BEADS, measures.angle_bead_m + measures.stop_bead_m, "m", rates.beads_h_per_m, formats),
    ]


def _plastering(measures: Measures, wall: WallResult, job: Job) -> list[WorkPiece]:
    rates, formats = job.rates, job.formats
    backing = [coat for layer in wall.layers if layer.role == "backing" for coat in layer.coats]
    deep = [*backing[1:], *(c for layer in wall.layers if layer.role == "dubbing out" for c in layer.coats)]
    patches = WorkPiece(
        PATCHES,
        measures.hollows_m2,
        "m²",
        patch_hours(measures.hollows, measures.hollows_m2, rates),
        f"{formats.short(rates.patch_h_each)} h each and {formats.short(rates.patch_h_per_m2)} h/m²",
    )
    dubbed_out = _dub_out(deep, measures, rates, formats)
    return [patches, dubbed_out, *_float(backing[:1], wall.allowance_l, measures, job)]


def _dub_out(deep: Sequence[Coat], measures: Measures, rates: LabourRates, formats: Formats) -> WorkPiece:
    """Coats under the one that covers the wall; what fills patches is paid with the patches."""
    litres = max(0.0, sum(coat.volume_l for coat in deep if coat.volume_l >= CRUMB_L) - measures.hollows_l)
    rate = rates.dub_out_h_per_m2_per_10_mm
    return WorkPiece(
        DUB_OUT, litres, "l", litres * rate / 10, f"{formats.short(rate)} h/m² for each 10 mm, patches apart"
    )


def _float(face: Sequence[Coat], allowance_l: float, measures: Measures, job: Job) -> list[WorkPiece]:
    """The backing coat that covers the wall, by its mean thickness with what is allowed on top [l]."""
    rates, formats = job.rates, job.formats
    rate = (
        f"{formats.short(rates.float_h_per_m2)} h/m² to {formats.short(rates.float_to_mm)} mm and "
        f"{formats.short(rates.float_more_h_per_m2_per_5_mm)} for each further 5 mm"
    )
    more_m2 = measures.paid_m2 - measures.coated_m2
    return [
        WorkPiece(
            FLOAT,
            coat.area_m2 + more_m2,
            "m²",
            (coat.area_m2 + more_m2) * float_h_per_m2((coat.volume_l + allowance_l) / coat.area_m2, rates),
            rate,
        )
        for coat in face
        if coat.area_m2 > 0
    ]


def _last(measures: Measures, wall: WallResult, job: Job) -> list[WorkPiece]:
    rates, formats = job.rates, job.formats
    short = formats.short
    skimmed = measures.paid_m2 + measures.reveal_skim_m2
    finished = skimmed if any(layer.role == "finish" for layer in wall.layers) else 0.0
    channels = 0.0 if job.rails.left_in else measures.rail_m
    sockets, radiators = measures.sockets, measures.radiators
    fitting = sockets * rates.fitting_h_each + radiators * rates.radiator_h_each
    fitting_rate = f"sockets {short(rates.fitting_h_each)} h, radiators {short(rates.radiator_h_each)} h each"
    return [
        _by_rate(REVEALS, measures.reveal_m, "m", rates.reveals_h_per_m, formats),
        _by_rate(MAKE_GOOD, channels, "m", rates.make_good_h_per_m, formats),
        _by_rate(FINISH, finished, "m²", rates.skim_h_per_m2, formats),
        WorkPiece(FITTINGS, sockets + radiators, "piece", fitting, fitting_rate),
    ]
