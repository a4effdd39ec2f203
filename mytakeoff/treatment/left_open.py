"""What lies between a wall's readings, in litres, for every way of treating it, and what is priced for it.

Notes
-----
A floated wall takes what exact planes over its drawn faces take; a straightened one what the same work takes
on them. A wall that is patched or left, and one whose readings leave nothing between them, takes what was
measured. Quantiles of single walls do not add up, so the price holds a quantile of their sum, the walls taken
as independent of one another.

What was worked out is known by a fingerprint of survey, rule and way. Mix density, waste, coats and prices
are not in it, so those sliders never wait.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import blake2b

import numpy as np

from mytakeoff.coats.coats import PATCH_ROLES, Layer
from mytakeoff.job.backgrounds import likely_on
from mytakeoff.job.confidence import LeftOpen, LikelyWall
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.treatments import FLOAT_LEANING, FLOAT_PLUMB, Compare, Treatment
from mytakeoff.simulation.planes_over_faces import Drawn, quantile
from mytakeoff.simulation.wall_range import Measured, drawn_of_steps, faces_steps
from mytakeoff.steps import Cache, run
from mytakeoff.survey.edges import missed_mm
from mytakeoff.survey.survey import Floats
from mytakeoff.treatment.drawn_fills import Fills, drawn_fills_steps
from mytakeoff.treatment.floated import lifted
from mytakeoff.treatment.treat import edge_rules_of
from mytakeoff.treatment.wall_result import MixPart, WallResult
from mytakeoff.treatment.ways import straightens, treated_wall

MODEL = "2"  # changes where the same readings would give other litres: what was worked out before is void
SHARES = np.linspace(0.0, 1.0, 101)  # at which a wall's litres are kept
NOTHING = (0.0,)
SAMPLES = 2000
MARKED_MM = 4.0  # where nothing was worked out yet (common practice, no source)
CACHE_SIZE = 256


def measured_of(job: Job, wall: WallResult) -> Measured:
    """What a wall's faces are drawn from."""
    entry = wall.entry
    return Measured(entry.survey, entry.loose, job.reach_m, job.loose_growth_share, likely_of(job, entry))


@lru_cache(maxsize=CACHE_SIZE)
def _likely(
    background: str, likely: LikelyWall, nibs_per_m2: float | None, nib_mm: float | None
) -> LikelyWall:
    own = {"nibs_per_m2": nibs_per_m2, "nib_mm": nib_mm}
    return likely_on(background, replace(likely, **{name: mm for name, mm in own.items() if mm is not None}))


def likely_of(job: Job, entry: JobWall) -> LikelyWall:
    """What is taken for likely on a wall: its own figures, else the job's, else its background's."""
    return _likely(entry.background, job.sureness.likely, entry.nibs_per_m2, entry.nib_mm)


def is_open(job: Job, wall: WallResult) -> bool:
    """Whether what lies between a wall's readings moves what it takes in its way."""
    return (wall.floated or straightens(wall)) and measured_of(job, wall).is_uncertain


# -- one wall ----------------------------------------------------------------------------------------


def left_open_steps(job: Job, wall: WallResult) -> Generator[None, None, LeftOpen]:
    """What lies between the readings of a treated wall, step by step: as it is known, else worked out."""
    name, way = wall.entry.name, way_name(wall)
    if not is_open(job, wall):
        return LeftOpen(name, way, "", NOTHING)
    mark = fingerprint(job, wall)
    known = job.worked_out.known(mark)
    if known is not None:
        return replace(known, wall=name, way=way)  # walls alike share an entry, and nothing else
    more_l = yield from _kept.steps(mark, lambda: _more_l(job, wall))
    return LeftOpen(name, way, mark, more_l)


_kept: Cache[str, tuple[float, ...]] = Cache(CACHE_SIZE)


def way_name(wall: WallResult) -> str:
    """How a wall is treated, by the name of the way."""
    if wall.treatment is not None:
        return wall.treatment.kind
    return FLOAT_PLUMB if wall.rule.plumb else FLOAT_LEANING


def fingerprint(job: Job, wall: WallResult) -> str:
    """Of the survey, the rule and the way that what is left open belongs to: the same in every process."""
    compare = job.compare if straightens(wall) else None
    likely, ratio = likely_of(job, wall.entry), job.sureness.strayed_ratio
    return _fingerprint(wall, job.reach_m, job.loose_growth_share, job.cell_m, likely, compare, ratio)


@lru_cache(maxsize=CACHE_SIZE)
def _fingerprint(
    wall: WallResult,
    reach_m: float,
    growth_share: float,
    cell_m: float,
    likely: LikelyWall,
    compare: Compare | None,
    strayed_ratio: float,
) -> str:
    rule: object = wall.rule
    if compare is not None:
        cut = np.nan_to_num(wall.build_up.cut_mm) if wall.build_up.cut_l > 0 else np.zeros(0)
        rule = edge_rules_of(compare, wall.entry.wall), compare.left_mm, blake2b(cut.tobytes()).hexdigest()
    entry = wall.entry
    parts = MODEL, entry.survey.fingerprint, entry.loose, reach_m, growth_share, cell_m, likely, rule
    strayed = () if strayed_ratio == 1.0 else (strayed_ratio,)
    return blake2b(repr((*parts, *strayed)).encode(), digest_size=16).hexdigest()


def _more_l(job: Job, wall: WallResult) -> Generator[None, None, tuple[float, ...]]:
    """Litres beyond those through the readings, at `SHARES`."""
    drawn = yield from drawn_more_steps(job, wall)
    return tuple(round(drawn.at(float(share)), 3) for share in SHARES)


def drawn_more_steps(job: Job, wall: WallResult) -> Generator[None, None, Drawn]:
    """What a wall takes beyond the face through its readings, for each drawn face, step by step [l]."""
    measured, build_up = measured_of(job, wall), wall.build_up
    if not is_open(job, wall):
        return Drawn(np.zeros(1), np.ones(1))
    if wall.floated:
        drawn = yield from drawn_of_steps(measured, wall.rule)
        drawn_faces = yield from faces_steps(measured)
        mean_mm = drawn.litres / drawn_faces.surface.net_area_m2
        more_l = (mean_mm - build_up.mean_mm) * build_up.area_m2
        return Drawn(more_l, drawn.weights).spread_by(job.sureness.strayed_ratio)
    drawn_faces = yield from faces_steps(measured)
    fills = yield from fills_of_steps(job, wall)
    filled_l = Drawn(np.array([fill.volume_l for fill in fills.faces]), fills.weights)
    more = filled_l.spread_by(job.sureness.strayed_ratio).litres - fills.plain.volume_l
    holes = float((drawn_faces.lowering_mm * drawn_faces.surface.known_area_m2).sum())
    filled = build_up.volume_l - sum(coat.thickness_mm for coat in wall.skim) * build_up.area_m2
    return Drawn(np.maximum(more, min(holes - filled, 0.0)), fills.weights)  # holes are filled in any case


def fills_of_steps(job: Job, wall: WallResult) -> Generator[None, None, Fills]:
    """What fills the drawn faces of a straightened wall, step by step; kept."""
    cut = wall.build_up if wall.build_up.cut_l > 0 else None
    rules, left = edge_rules_of(job.compare, wall.entry.wall), job.compare.left_mm
    return (yield from drawn_fills_steps(measured_of(job, wall), rules, left, cut))


# -- the walls of a job together ---------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Together:
    """What lies between the readings of several walls together.

    Parameters
    ----------
    walls : (n, k) float
        Litres beyond those through the readings of each wall, in k cases of the same weight [l].
    """

    walls: Floats

    @classmethod
    def of(cls, opens: Sequence[LeftOpen]) -> Together:
        """Walls that are independent of one another; the same whatever order they stand in."""
        return cls(np.array([_cases(each) for each in opens]).reshape(len(opens), SAMPLES))

    @property
    def litres(self) -> Floats:
        """Of all walls (k,) [l]."""
        return np.asarray(self.walls.sum(axis=0))

    def at(self, share: float) -> float:
        """Litres that a share [-] of such jobs stay within [l]."""
        return quantile(self.litres, np.full(SAMPLES, 1 / SAMPLES), share)

    def enough_share(self, litres: float) -> float:
        """In how many such jobs of one so many litres [l] are enough [-]."""
        return float((self.litres <= litres + 1e-9).mean())

    def shared(self, share: float) -> tuple[float, ...]:
        """`at` that share, shared out: to each wall its own mean, and the rest by how far its litres spread.

        Examples
        --------
        Two walls alike, which take up to 10 l more: four jobs in five stay within some 14 l for both, so each
        is priced with 7 l, not with the 8 l that one wall alone would need.

        >>> walls = [LeftOpen(name, "float plumb", name, (0.0, 10.0)) for name in "ab"]
        >>> [round(litres) for litres in Together.of(walls).shared(0.8)]
        [7, 7]
        >>> [round(litres) for litres in Together.of(walls[:1]).shared(0.8)]
        [8]
        """
        means, spreads = self.walls.mean(axis=1), self.walls.std(axis=1)
        rest = self.at(share) - float(means.sum())
        by = spreads / spreads.sum() if spreads.sum() > 0 else spreads
        return tuple(float(litres) for litres in means + rest * by)


@lru_cache(maxsize=CACHE_SIZE)
def _cases(each: LeftOpen) -> Floats:
    """A wall's litres in as many cases, evenly over its range, in an order that goes by its name alone.

    So a slider moves every case a little, and no case to another place.
    """
    seed = int.from_bytes(blake2b(each.wall.encode(), digest_size=8).digest(), "big")
    even = (np.random.default_rng(seed).permutation(SAMPLES) + 0.5) / SAMPLES
    return each.at(even)


@lru_cache(maxsize=CACHE_SIZE)
def _shared(opens: tuple[LeftOpen, ...], confidence_share: float) -> tuple[float, ...]:
    return Together.of(opens).shared(confidence_share)


def with_allowances(job: Job, walls: Sequence[WallResult]) -> tuple[WallResult, ...]:
    """The treated walls of a job with what is priced for what lies between their readings.

    Parameters
    ----------
    job : Job
        At whose confidence it is priced, or whose millimetres.
    walls : sequence of WallResult
        All that are priced, without it.

    Notes
    -----
    Millimetres that the user entered are for the high spots of floated walls; other ways hold none then.
    """
    found = [_found(job, wall) for wall in walls]
    opens = tuple(each for each, _ in found if isinstance(each, LeftOpen))
    shares = iter(_shared(opens, job.sureness.confidence_share))
    return tuple(
        _allowed(wall, next(shares), each, held)
        if isinstance(each, LeftOpen)
        else _allowed(wall, each, None, held)
        for wall, (each, held) in zip(walls, found, strict=True)
    )


def _found(job: Job, wall: WallResult) -> tuple[LeftOpen | float, bool]:
    """What is left open on a wall, or litres that stand for it [l]; whether it is yet to be worked out."""
    entered = entered_mm(job, wall)
    if entered is not None:
        return entered * wall.build_up.area_m2, False
    if not job.worked_out.held or not is_open(job, wall):
        return run(left_open_steps(job, wall)), False
    if job.worked_out.known(fingerprint(job, wall)) is not None:
        return run(left_open_steps(job, wall)), False
    last = job.worked_out.last(wall.entry.name, way_name(wall))
    marked = missed_mm(wall.entry.survey, MARKED_MM) if wall.floated else 0.0
    return last if last is not None else marked * wall.build_up.area_m2, True


def entered_mm(job: Job, wall: WallResult) -> float | None:
    """What the user has entered for the high spots that the readings missed: its own, or the job's [mm].

    None where what the readings leave open is worked out instead.
    """
    own = wall.entry.missed_high_spot_mm
    if wall.floated and own is not None:
        return own
    if job.missed_high_spot_mm is None:
        return None
    return missed_mm(wall.entry.survey, job.missed_high_spot_mm) if wall.floated else 0.0


@lru_cache(maxsize=CACHE_SIZE)
def _allowed(wall: WallResult, litres: float, left_open: LeftOpen | None, held: bool) -> WallResult:
    """Cached, so that an unchanged wall is the same object."""
    return replace(wall, allowance=_by_mix(wall, litres), left_open=left_open, held=held)


def _by_mix(wall: WallResult, litres: float) -> tuple[MixPart, ...]:
    """The mixes that more litres take: those of a plane further out, or those that fill its patches."""
    if litres == 0:
        return ()
    more = _litres_by_role(wall.layers)
    if wall.floated:
        out = _litres_by_role(lifted(wall, litres / wall.build_up.area_m2).layers)
        more = {key: each - more.get(key, 0.0) for key, each in out.items()}
    else:
        more = {key: each for key, each in more.items() if key[1] in PATCH_ROLES}
    whole = sum(more.values())
    if whole == 0:
        return (MixPart(wall.first_mix, PATCH_ROLES[0], litres),)
    return tuple(MixPart(mix, role, litres * each / whole) for (mix, role), each in more.items() if each)


def with_more(wall: WallResult, litres: float) -> WallResult:
    """A treated wall with so much more plaster on it than through its readings, as it was measured later.

    Parameters
    ----------
    wall : WallResult
    litres : float
        Below 0 where it took less; no less than it has [l].
    """
    litres = max(litres, -wall.build_up.volume_l)
    had, more = _litres_by_role(wall.layers), _by_mix(wall, litres)
    if any(had.get((part.mix, part.role), 0.0) + part.litres < 0 for part in more):
        thinner = litres / wall.build_up.volume_l
        more = tuple(MixPart(mix, role, each * thinner) for (mix, role), each in had.items())
    return replace(wall, allowance=more, left_open=None, held=False)


def _litres_by_role(layers: Sequence[Layer]) -> dict[tuple[Mix, str], float]:
    return {(layer.mix, layer.role): layer.volume_l for layer in layers}


def option_walls(job: Job, treatment: Treatment) -> tuple[WallResult, ...]:
    """Each priced wall of a job, treated in one way.

    Raises
    ------
    TakeoffError
        Whatever a stage finds wrong with what was entered.
    """
    return with_allowances(job, [treated_wall(job, entry, treatment) for entry in job.priced_walls])
