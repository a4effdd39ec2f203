"""What is measured on one wall for labour and materials: areas, metres and pieces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import NO_TREATMENT, pair_for
from mytakeoff.job.job import Job
from mytakeoff.measure.materials import reveal_area_m2
from mytakeoff.rails.rails import fixing_heights
from mytakeoff.survey.wall import Wall
from mytakeoff.treatment.loose_areas import (
    deducted_area_m2,
    fallen_plaster,
    hacked_off,
    hollows,
    measured_reveal_m,
)
from mytakeoff.treatment.wall_result import WallResult

STOREY_OF_STREET = 0
CACHE_SIZE = 256  # walls: price, schedule and gaugings ask for the same ones


@dataclass(frozen=True)
class Measures:
    """Quantities of one wall; the last part of each name is its unit: [m], [m²], [l], [mm], else pieces [-].

    `coated_m2` is the exact net area that gets plaster, `paid_m2` the same by the job's opening rule, for
    labour; `fallen` is old plaster on the floor already; `hollows` are the patches left where old plaster
    came off or had fallen, a hole within a loose area counted with it, and of a wall that is not brought to
    a plane all its patches; `reveal_m` are built up, `reveal_skim_m2` only skimmed.
    """

    name: str
    room: str
    storey: int
    coated_m2: float
    paid_m2: float
    hacked_m2: float
    hacked_l: float
    fallen_m2: float
    fallen_l: float
    hollows: int
    hollows_m2: float
    hollows_l: float
    cut_m2: float
    cut_l: float
    treatment: str
    treated_m2: float
    mesh_m2: float
    mesh_above_mm: float
    rails: int
    rail_m: float
    fixings: int
    angle_bead_m: float
    stop_bead_m: float
    reveal_m: float
    reveal_skim_m2: float
    sockets: int
    radiators: int


@lru_cache(maxsize=CACHE_SIZE)
def measure_wall(job: Job, wall: WallResult) -> Measures:
    """Everything on one wall that is priced by area, metre or piece."""
    entry, build_up = wall.entry, wall.build_up
    pair = pair_for(entry.background, wall.first_mix)
    exact_m2 = deducted_area_m2(entry.wall)
    reveals_m2 = reveal_area_m2([wall]) if wall.covered else 0.0
    count, hollows_m2, hollows_l = _patches(job, wall)
    hacked_m2, hacked_l = hacked_off(entry, job.loose_growth_share)
    fallen_m2, fallen_l = fallen_plaster(entry)
    coated, built = build_up.covered_area_m2, wall.built_up
    rule_m2 = exact_m2 - deducted_area_m2(entry.wall, job.opening_rule) if wall.covered else 0.0
    edge_m = edges_m(entry.wall)
    angle_m = entry.angle_bead_m + sum(o.reveal_m for o in entry.wall.openings)
    angle_m += edge_m if entry.edge_bead == catalogue.ANGLE_BEAD else 0.0
    stop_m = entry.stop_bead_m + (edge_m if entry.edge_bead == catalogue.STOP_BEAD else 0.0)
    return Measures(
        name=entry.name,
        room=entry.room,
        storey=storey_of(job, entry.room),
        coated_m2=coated,
        paid_m2=coated + rule_m2 if coated else 0.0,
        hacked_m2=hacked_m2,
        hacked_l=hacked_l,
        fallen_m2=fallen_m2,
        fallen_l=fallen_l,
        hollows=count,
        hollows_m2=hollows_m2,
        hollows_l=hollows_l,
        cut_m2=build_up.cut_area_m2,
        cut_l=build_up.cut_l,
        treatment=pair.treatment,
        treated_m2=coated + reveals_m2 if pair.treatment != NO_TREATMENT else 0.0,
        mesh_m2=build_up.depths.area_above(pair.mesh_above_mm),
        mesh_above_mm=pair.mesh_above_mm,
        rails=len(wall.rails),
        rail_m=wall.rail_m,
        fixings=sum(len(fixing_heights(rail, job.rails)) for rail in wall.rails),
        angle_bead_m=angle_m if built else 0.0,
        stop_bead_m=stop_m if built else 0.0,
        reveal_m=measured_reveal_m(entry.wall, job.opening_rule) if built else 0.0,
        reveal_skim_m2=0.0 if built else reveals_m2,
        sockets=entry.sockets_to_move if built else 0,
        radiators=entry.radiators_to_move if wall.covered else 0,
    )


def _patches(job: Job, wall: WallResult) -> tuple[int, float, float]:
    """How many patches, their area and litres [-, m², l]."""
    if wall.floated:
        return hollows(wall.entry, job.loose_growth_share)
    patches = wall.patches
    return len(patches), sum(p.area_m2 for p in patches), sum(p.volume_l for p in patches)


def edges_m(wall: Wall) -> float:
    """Edges of openings and fitted units where plaster ends without a reveal [m]."""
    return sum(opening.edge_m for opening in (*wall.openings, *wall.fitted))


def storey_of(job: Job, room: str) -> int:
    """Floors to carry up or down to a room [-]."""
    return next((abs(r.storey) for r in job.rooms if r.name == room), STOREY_OF_STREET)
