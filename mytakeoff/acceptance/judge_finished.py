"""A finished wall held to what was promised of it: gap under the edge, lean; corners and clear widths."""

from __future__ import annotations

import math
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mytakeoff.acceptance.between_readings import BetweenReadings, between_steps
from mytakeoff.acceptance.conformity import FAIL, PASS, TOO_CLOSE, AcceptanceRule, Judged, Outcome
from mytakeoff.acceptance.promised import Promised
from mytakeoff.acceptance.read_stance import ReadStance, read_stance
from mytakeoff.acceptance.reading_errors import ReadingErrors, standard_of
from mytakeoff.acceptance.resting_edge import Flags, RestingEdge, worst_bulge, worst_hollow
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.corners.measuring import MM_PER_M, MeasuredCorner
from mytakeoff.errors import Check
from mytakeoff.flatness.judging import BELLY, HOLLOW
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.rooms.planes import KEPT_MM
from mytakeoff.steps import run
from mytakeoff.surface.guessed_ground import not_read
from mytakeoff.surface.surface import Surface, grid_surface
from mytakeoff.survey.edges import from_edge_m
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

LAID, LEAN, CORNER, WIDTH = "gap under a laid edge", "lean", "corner", "clear width"
UNDER_IT_M = 0.1  # a laid edge tells of the wall a hand to each side
SAME_WALL_M = 0.05  # a wall that was measured again is no more larger or smaller than this
WORST_FIRST: tuple[Outcome, ...] = (FAIL, TOO_CLOSE, PASS)


@dataclass(frozen=True, eq=False)
class JudgedWall:
    """A finished wall, judged.

    Parameters
    ----------
    promised : Promised
    survey : Survey
        Of the finished wall.
    surface : Surface
        Its height field.
    judged : tuple of Judged
        The hollow gap first; what could not be judged is in `notices`.
    between : BetweenReadings or None
        What its readings leave open; None: nothing, as of a scan.
    stance : ReadStance
        How it stands.
    notices : tuple of str
        What was not judged and why.
    """

    promised: Promised
    survey: Survey
    surface: Surface
    judged: tuple[Judged, ...]
    between: BetweenReadings | None
    stance: ReadStance
    notices: tuple[str, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """Of all that was judged the worst."""
        return worst_outcome(self.judged)


def worst_outcome(judged: Sequence[Judged]) -> Outcome:
    """Fail if anything fails, too close to call if anything is, else pass; nothing judged: too close.

    Examples
    --------
    >>> worst_outcome([])
    'too close to call'
    """
    found = {each.outcome for each in judged} or {TOO_CLOSE}
    return next(each for each in WORST_FIRST if each in found)


def judge_finished(
    promised: Promised,
    survey: Survey,
    *,
    errors: ReadingErrors | None = None,
    rule: AcceptanceRule | None = None,
    cell_m: float = 0.05,
    reach_m: float = 0.5,
    formats: Formats = HOUSE,
) -> JudgedWall:
    """Hold a finished wall to what was promised of it.

    Parameters
    ----------
    promised : Promised
        By the job: `promised_by`.
    survey : Survey
        Of the finished wall, straightedges laid on it among it.
    errors : ReadingErrors or None
        How exact it was read; None: what is usual.
    rule : AcceptanceRule or None
        How pass and fail are decided; None: guarded acceptance.
    cell_m : float
        Greatest cell of its height field [m].
    reach_m : float
        How far it is trusted beyond its readings [m].
    formats : Formats
        Of its notices.

    Returns
    -------
    JudgedWall

    Raises
    ------
    TakeoffError
        Too few readings to make a plane, or a survey of a wall of another size.

    Notes
    -----
    Of many gaps the worst is judged as what it is at its place. It is never smaller than that at the place
    where the wall is truly worst, so a wall that does not conform passes no more often than the guard band
    says; chance makes the worst look worse, though, so more of good walls are left too close to call. Where
    an edge was laid, what it showed counts, not the readings under it.

    A wall passes only where what lies between its readings is likely enough to conform too, and where no
    place half as wide as the edge has no reading in it: both are told in `between`, and `Judged.left_between`
    says where they alone keep it from passing.

    Examples
    --------
    A wall that is read to a millimetre cannot pass 1 mm under 2 m, however flat it is.

    >>> from mytakeoff.flatness.edge_lines import EdgeRule
    >>> x, z = np.meshgrid(np.arange(0.25, 3, 0.5), np.arange(0.25, 2.5, 0.5))
    >>> flat = Survey.from_readings(Wall("A", 3.0, 2.5), x, z, 0.0 * x)
    >>> [judge_finished(Promised(flat.wall, (EdgeRule(2.0, mm),)), flat).outcome for mm in (1.0, 3.0)]
    ['too close to call', 'pass']
    """
    return run(judge_finished_steps(promised, survey, errors, rule, cell_m, reach_m, formats))


def judge_finished_steps(
    promised: Promised,
    survey: Survey,
    errors: ReadingErrors | None = None,
    rule: AcceptanceRule | None = None,
    cell_m: float = 0.05,
    reach_m: float = 0.5,
    formats: Formats = HOUSE,
) -> Generator[None, None, JudgedWall]:
    """The same in steps, for a screen."""
    errors, rule = errors or ReadingErrors(), rule or AcceptanceRule()
    _check(promised.wall, survey)
    surface = grid_surface(survey, cell_m, reach_m, formats=formats)
    yield
    between = yield from between_steps(promised, survey, surface, errors.reading_mm, reach_m)
    stands = read_stance(survey, surface, errors.reading_mm)
    judged = [
        *_flat(promised, survey, surface, errors, rule, between),
        *_laid(promised, survey, errors, rule),
    ]
    lean, why = _lean(promised, survey, stands, errors, rule)
    notices = [why] if why else []
    if guessed := not_read(surface.guessed_area_m2, surface.net_area_m2, formats):
        notices.append(f"{guessed[0].upper()}{guessed[1:]}: nothing is known there.")
    notices += _untold(promised, survey, formats)
    return JudgedWall(promised, survey, surface, (*judged, *lean), between, stands, tuple(notices))


def _check(wall: Wall, survey: Survey) -> None:
    check = Check(survey.source or f"survey of finished wall {wall.name!r}")
    check.that(
        survey.is_enough,
        f"{survey.x_m.size} readings",
        "a plane takes at least three, not on one straight line",
        "read the finished wall on a grid, closer than the edge is long",
    )
    sizes = ((survey.wall.width_m, wall.width_m), (survey.wall.height_m, wall.height_m))
    check.that(
        all(abs(now - before) <= SAME_WALL_M for now, before in sizes),
        f"a wall of {survey.wall.width_m:g} × {survey.wall.height_m:g} m",
        f"what was promised is of one of {wall.width_m:g} × {wall.height_m:g} m",
        "choose the survey of that wall, or measure its width and height again",
    )
    check.done()


# -- flat ----------------------------------------------------------------------------------------------


def _flat(
    promised: Promised,
    survey: Survey,
    surface: Surface,
    errors: ReadingErrors,
    rule: AcceptanceRule,
    between: BetweenReadings | None,
) -> Iterator[Judged]:
    """Hollow gap and, where it counts, bulge, by the face through the readings."""
    told = _told(promised, survey, surface)
    known_mm = surface.noise_mm if survey.layout == "scan" else errors.reading_mm
    found = [(HOLLOW, worst_hollow(surface, promised.edges, told))]
    if promised.both_ways:
        found.append((BELLY, worst_bulge(surface, promised.edges[0], told)))
    for what, edge in found:
        sd = math.hypot(edge.uncertainty_mm(known_mm), standard_of(abs(surface.bow_mm)))
        judged = _gap(what, edge, sd, rule)
        yield (
            judged
            if between is None
            else replace(judged, unseen_m=between.unseen_m(promised), chance_between=between.chance)
        )


def _gap(what: str, edge: RestingEdge, sd: float, rule: AcceptanceRule) -> Judged:
    return Judged(
        what, "mm", 0.0, edge.rule.tolerance_mm, edge.gap_mm, sd, "at most", rule,
        edge.x_m, edge.z_m, edge.rule.length_m, edge.ends_m,
    )  # fmt: skip


def _told(promised: Promised, survey: Survey, surface: Surface) -> Flags | None:
    """Cells under straightedges that are as long as was promised: what they showed counts there."""
    told = np.zeros(surface.proud_mm.shape, dtype=bool)
    x, z = np.meshgrid(surface.x_m, surface.z_m)
    longest = max(rule.length_m for rule in promised.edges)
    reach = min(longest, max(surface.wall.width_m, surface.wall.height_m))
    for sweep in survey.sweeps:
        if sweep.length_m >= reach - 1e-9 and promised.gap_limit_mm(_reach(sweep)) is not None:
            told |= from_edge_m(sweep, x, z) <= UNDER_IT_M
    return told if told.any() else None


def _reach(sweep: LaidEdge) -> float:
    """From the first to the last place that an edge touches, its length where these are not known [m]."""
    touches = sweep.touches_m
    return max(touches) - min(touches) if len(touches) >= 2 else sweep.length_m


def _laid(
    promised: Promised, survey: Survey, errors: ReadingErrors, rule: AcceptanceRule
) -> Iterator[Judged]:
    """The worst gap under the straightedges that were laid on the finished wall."""
    limits = ((sweep, promised.gap_limit_mm(_reach(sweep))) for sweep in survey.sweeps)
    held = [(sweep.gap_mm - limit, sweep, limit) for sweep, limit in limits if limit is not None]
    if held:
        _, sweep, limit = max(held, key=lambda each: each[0])
        place = sweep.place(sweep.length_m / 2 if sweep.gap_at_m is None else sweep.gap_at_m)
        yield Judged(
            LAID, "mm", 0.0, limit, sweep.gap_mm, errors.wedge_mm, "at most", rule, *place, sweep.length_m
        )  # fmt: skip


def _untold(promised: Promised, survey: Survey, formats: Formats) -> Iterator[str]:
    """Edges that were laid and tell nothing of what was promised."""
    for sweep in survey.sweeps:
        if promised.gap_limit_mm(_reach(sweep)) is None:
            longest = formats.length(max(rule.length_m for rule in promised.edges))
            yield (
                f"The edge of {formats.length(sweep.length_m)} at {formats.place(*sweep.place(0.0))} is "
                f"longer than the {longest} of what was promised: its gap is not judged."
            )


# -- plumb, square, wide enough ------------------------------------------------------------------------


def _lean(
    promised: Promised, survey: Survey, stands: ReadStance, errors: ReadingErrors, rule: AcceptanceRule
) -> tuple[list[Judged], str]:
    """The lean over the wall's height against the promised plane, or why it is not judged."""
    if promised.lean_limit_mm is None:
        return [], "Lean is not judged: no limit was agreed."
    if not survey.plumb:
        return [], "Lean is not judged: what the finished wall was measured from was not plumb."
    if math.isnan(stands.lean_sd_mm_per_m):
        return [], "Lean is not judged: too little of the finished wall was read."
    height_m = promised.wall.height_m
    sd = math.hypot(stands.lean_sd_mm_per_m, errors.plumb_mm_per_m)
    mm = [each * height_m for each in (promised.lean_mm_per_m, stands.lean_mm_per_m, sd)]
    return [Judged(LEAN, "mm", mm[0], promised.lean_limit_mm, mm[1], mm[2], "either way", rule)], ""


def judge_corner(
    corner: MeasuredCorner,
    stances: tuple[ReadStance, ReadStance],
    limit_mm_per_m: float,
    rule: AcceptanceRule | None = None,
) -> Judged | None:
    """A finished corner against the angle that was promised.

    Parameters
    ----------
    corner : MeasuredCorner
        Between the planes that the two finished walls were measured off.
    stances : (ReadStance, ReadStance)
        Of its wall and of the next one, finished.
    limit_mm_per_m : float
        By how much it may be wider or narrower, more than 0 [mm/m].
    rule : AcceptanceRule or None

    Returns
    -------
    Judged or None
        In mm/m, wider positive; None where the corner was not measured, or a face is not known well enough.

    Raises
    ------
    TakeoffError
        A limit that is not more than 0.

    Examples
    --------
    Planes 2 mm/m wider than a right angle, the next wall's face turned 5 mm/m back:

    >>> from mytakeoff.corners.room_corner import RoomCorner
    >>> found = MeasuredCorner(RoomCorner("A", "B"), 90.0 + math.degrees(0.002), 1.0)
    >>> faces = ReadStance(0.0, 0.0, 0.2, 0.3), ReadStance(0.0, -5.0, 0.2, 0.3)
    >>> judged = judge_corner(found, faces, 5.0)
    >>> round(judged.measured, 2), round(judged.uncertainty, 2), judged.outcome
    (7.0, 1.09, 'too close to call')
    """
    off, sds = corner.off_mm_per_m, [each.turn_sd_mm_per_m for each in stances]
    if off is None or any(math.isnan(sd) for sd in sds):
        return None
    turn, next_turn = (MM_PER_M * math.atan(each.turn_mm_per_m / MM_PER_M) for each in stances)
    sd = math.sqrt(corner.sd_mm_per_m**2 + sum(each**2 for each in sds))
    judged = Judged(CORNER, "mm/m", 0.0, limit_mm_per_m, off - (next_turn - turn), sd, "either way")
    return judged if rule is None else replace(judged, rule=rule)


def judge_width(
    asked: ClearWidth, measured_mm: float, known_mm: float, rule: AcceptanceRule | None = None
) -> Judged:
    """A clear width between finished faces against what must remain.

    Parameters
    ----------
    asked : ClearWidth
    measured_mm : float
        Between the finished faces, there [mm].
    known_mm : float
        It is known to ± this and no more, more than 0 [mm].
    rule : AcceptanceRule or None

    Returns
    -------
    Judged
        At least what is needed; its limit is what rounding may take of that.

    Raises
    ------
    TakeoffError
        A width or an uncertainty that is no number.

    Examples
    --------
    >>> bath = ClearWidth("bath", "A", "C", 1700.0, 0.5)
    >>> [judge_width(bath, mm, 2.0).outcome for mm in (1704.0, 1701.0, 1690.0)]
    ['pass', 'too close to call', 'fail']
    """
    judged = Judged(
        f"{WIDTH} for {asked.name}",
        "mm",
        asked.needs_mm,
        KEPT_MM,
        measured_mm,
        standard_of(known_mm),
        "at least",
    )
    return judged if rule is None else replace(judged, rule=rule)
