"""One way of treating the walls in words: what is got, what still shows, what moves, and why it fails.

Every figure in them is one of the option's own. The same words stand on the screen, on the sheet and in the
file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from mytakeoff.flatness.grades import OWN
from mytakeoff.flatness.judging import BELLY, HOLLOW, PLUMB, PLUMB_APART, Finding
from mytakeoff.formats.formats import Formats, counted, way
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.catalogue import SKIRTING
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import Treatment
from mytakeoff.options.result import OptionResult, left_open
from mytakeoff.options.what_is_left import Remains
from mytakeoff.treatment.treat import chosen_grade
from mytakeoff.treatment.wall_result import WallResult
from mytakeoff.treatment.ways import straightens, way_of

LEAST_MM = 0.5  # what rounds to no millimetre is not told
MOST_NAMED = 4  # walls whose lean is told one by one
FOUND = {
    HOLLOW: "gap of {found} under a {edge} edge, {allowed} allowed",
    BELLY: "bulge of {found} under a {edge} edge, {allowed} allowed",
    PLUMB: "{found} out of plumb where it leans most, {allowed} allowed",
    PLUMB_APART: "{found} out of plumb where it leans most, {allowed} allowed",
}


def sentence(option: OptionResult) -> str:
    """What you get, what you will still see, what moves."""
    got = gets(option)
    return f"{got[0].upper()}{got[1:]}: {gap(option)}; {lean(option)}; {moves(option)}."


def gets(option: OptionResult) -> str:
    """What is done to the walls."""
    treatment = option.treatment
    done = "each wall in a way of its own" if treatment is None else _done(treatment, option)
    cut = any(wall.build_up.cut_l >= 0.05 for wall in option.walls)
    return f"{done}, high spots taken down" if cut else done


def _done(treatment: Treatment, option: OptionResult) -> str:
    chosen = way_of(treatment)
    given = chosen.gives or treatment.name
    if chosen.plane is not None:
        if treatment.in_room:
            return f"{given}, square in the room"
        return f"{given}, square to the corner" if treatment.square else given
    skimmed = treatment.skim and any(wall.skim for wall in option.walls)
    if not skimmed:
        return given
    if any(wall.patches for wall in option.walls):
        return f"{given}, all is skimmed"
    return "no hollow needs filling, all is skimmed" if chosen.straightens else "all is skimmed"


def _pairs(option: OptionResult) -> list[tuple[WallResult, Remains]]:
    return list(zip(option.walls, option.remains, strict=True))


def gap(option: OptionResult) -> str:
    """The greatest gap under the edge, and on which wall."""
    formats = option.result.job.formats
    edge = formats.length(option.result.job.compare.straightedge_m)
    wall, left = max(_pairs(option), key=lambda pair: pair[1].worst_gap_mm)
    if left.worst_gap_mm < 0.05:
        return f"no gap under a {edge} edge"
    where = f", on {wall.entry.name}" if len(option.walls) > 1 else ""
    return f"gap of up to {formats.mm(left.worst_gap_mm)} under a {edge} edge{where}"


def lean(option: OptionResult) -> str:
    """How each wall leans against plumb, the one that leans most first."""
    formats, pairs = option.result.job.formats, _pairs(option)
    if len(pairs) == 1:
        [(wall, left)] = pairs
        return f"the wall {formats.lean(left.lean_mm, wall.entry.wall.height_m)}"
    leans = [
        (wall, left.lean_mm)
        for wall, left in pairs
        if left.lean_mm is not None and abs(left.lean_mm) >= LEAST_MM
    ]
    leans.sort(key=lambda each: -abs(each[1]))
    unknown = [wall.entry.name for wall, left in pairs if left.lean_mm is None]
    plumb = len(pairs) - len(leans) - len(unknown)
    said = _named_leans(leans, formats)
    if plumb:
        others = "the other stands" if plumb == 1 else "the others stand"
        said.append(f"{others} plumb" if leans or unknown else "every wall stands plumb")
    if unknown:
        said.append(f"no lean is known of {', '.join(unknown)}")
    return ", ".join(said)


def _named_leans(leans: list[tuple[WallResult, float]], formats: Formats) -> list[str]:
    """The walls that lean most by name, the further ones together."""
    shown = leans if len(leans) <= MOST_NAMED else leans[: MOST_NAMED - 1]
    first_m = leans[0][0].entry.wall.height_m if leans else 0.0
    said = []
    for nth, (wall, mm) in enumerate(shown):
        height_m = wall.entry.wall.height_m
        if nth == 0:
            words = formats.lean(mm, height_m)
        else:
            over = f" over {formats.length(height_m)}" if height_m != first_m else ""
            words = f"{formats.depth(abs(mm), places=0)} {way(mm)}{over}"
        said.append(f"{wall.entry.name} {words}")
    if len(shown) < len(leans):
        most = formats.depth(abs(leans[len(shown)][1]), places=0)
        said.append(f"{len(leans) - len(shown)} others up to {most}")
    return said


def moves(option: OptionResult) -> str:
    """What has to be packed out or moved, and what of it is not in the price."""
    formats, walls = option.result.job.formats, option.walls
    sockets = sum(wall.entry.sockets_to_move for wall in walls if wall.built_up)
    radiators = sum(wall.entry.radiators_to_move for wall in walls if wall.covered)
    skirting = any(wall.built_up for wall in walls)
    moved = [counted(sockets, "socket")] if sockets else []
    moved += [counted(radiators, "radiator")] if radiators else []
    moved += ["the skirting"] if skirting else []
    linings = [lining.greatest_mm for left in option.remains for lining in left.linings]
    deepest = max((mm for mm in linings if mm >= LEAST_MM), default=0.0)
    said = (
        [f"linings packed out by up to {formats.depth(deepest, places=0, grouped=False)}"] if deepest else []
    )
    if moved:
        unpriced = skirting and not any(line.item == SKIRTING for line in option.cost.lines)
        said.append(f"{_listed(moved)} to move{' (skirting not in the price)' if unpriced else ''}")
    return ", ".join(said) if said else "nothing to move"


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def room_lost(option: OptionResult) -> str:
    """How much narrower the room gets, where, and how that goes with the plaster's thickness there."""
    whole = partial(option.result.job.formats.depth, places=0, grouped=False)
    wall, left = max(_pairs(option), key=lambda pair: pair[1].narrower_mm)
    deepest = max(each.build_up.max_mm for each in option.walls)
    if left.narrower_mm < LEAST_MM:
        filled = f": plaster of up to {whole(deepest)} fills what lies back" if deepest >= LEAST_MM else ""
        return f"No room is lost{filled}."
    at, many = wall.entry.name, len(option.walls) > 1
    mean, most = wall.build_up.mean_mm, wall.build_up.max_mm
    where = f" at {at}" if many else ""
    said = f"The room gets {whole(left.narrower_mm)} narrower{where}, counted from its proudest place"
    if most - mean < LEAST_MM:
        return f"{said}, under an even coat."
    back = "" if most - left.narrower_mm < LEAST_MM else f", up to {whole(most)} where it lies back"
    return f"{said}; plaster there is {whole(mean)} on average{back}."


@dataclass(frozen=True)
class Reason:
    """Why one wall fails: its number among those priced, its name, and the reason in words."""

    number: int
    wall: str
    why: str


def wall_passes(wall: WallResult, left: Remains) -> bool:
    """Whether one wall is finished and passes the grade."""
    return left.passes and not left_open(wall)


def wall_untold(wall: WallResult, left: Remains) -> bool:
    """Whether one wall is finished and neither passes the grade nor fails it."""
    return left.untold and not left_open(wall)


def why_fails(option: OptionResult) -> tuple[Reason, ...]:
    """The walls that fail or cannot be judged, each with its reason."""
    formats = option.result.job.formats
    return tuple(
        Reason(at, wall.entry.name, _why(wall, left, formats))
        for at, (wall, left) in enumerate(_pairs(option), start=1)
        if not wall_passes(wall, left)
    )


def _why(wall: WallResult, left: Remains, formats: Formats) -> str:
    if left.passes or (left.untold and left_open(wall)):
        return _open_words(wall)
    worst = left.verdict.worst
    if left.untold:
        own = formats.mm(worst.untold_mm)
        return f"{finding(worst, formats)}: not judged, {own} may be the instrument's own bow"
    cause = _cause(wall, worst)
    return f"{finding(worst, formats)} ({cause})" if cause else finding(worst, formats)


def _open_words(wall: WallResult) -> str:
    """What is left unfinished on a wall that is flat enough."""
    if not background_of(wall.entry.background).old_plaster:
        return f"{wall.entry.background} stays bare"
    fallen = any(area.fallen for area in wall.entry.loose)
    return "fallen plaster stays open" if fallen else "loose plaster stays on"


def _cause(wall: WallResult, worst: Finding) -> str:
    """What the way does not do; empty where nothing is done at all."""
    if not wall.worked:
        return ""
    if worst.what in (PLUMB, PLUMB_APART):
        return "it is not made plumb"
    if wall.floated:
        return ""
    if straightens(wall):
        return "only hollows are filled" if worst.what == BELLY else ""
    return _follows(wall)


def _follows(wall: WallResult) -> str:
    """Why a patched wall is no flatter than it was."""
    if not wall.covered:
        return "only holes are filled"
    if wall.built_up and not background_of(wall.entry.background).takes_skim and wall.system.finish:
        return f"{wall.entry.background} takes no skim alone, and the coat under it follows the wall"
    return "the skim follows the wall"


def finding(found: Finding, formats: Formats) -> str:
    """What is wrong with a wall, and what would be allowed."""
    if not found.unit:
        return f"{formats.number(found.found)} {found.what}, {formats.number(found.allowed)} allowed"
    said = FOUND.get(found.what, f"{found.what} {{found}}, {{allowed}} allowed")
    edge = formats.length(round(found.edge_m, 1))
    allowed = formats.depth(found.allowed, column=True)
    return said.format(found=formats.mm(found.found), allowed=allowed, edge=edge)


def own_ways(option: OptionResult) -> tuple[str, ...]:
    """Where each wall has its own: the ways in use, each with its walls."""
    ways: dict[str, list[str]] = {}
    for wall in option.walls:
        treatment = wall.entry.treatment
        ways.setdefault(treatment.name if treatment is not None else "float to the plane", []).append(
            wall.entry.name
        )
    return tuple(f"{name}: {', '.join(walls)}" for name, walls in ways.items())


def verdict(option: OptionResult) -> str:
    """Passes, or fails on which walls; where none fails, which cannot be judged."""
    if option.passes:
        return "passes"
    said = "not judged" if option.untold else "fails"
    if len(option.walls) == 1:
        return said
    named_so = [option.untold or not wall_untold(*pair) for pair in _pairs(option)]
    failing = [reason for reason in why_fails(option) if named_so[reason.number - 1]]
    named = ", ".join(reason.wall for reason in failing)
    return f"{said} on {len(failing)} of {counted(len(option.walls), 'wall')}: {named}"


def judged_by(job: Job) -> str:
    """What the walls are held to."""
    compare, grade = job.compare, chosen_grade(job.compare)
    if compare.grade != OWN:
        return f"judged by {grade.name} ({grade.edition}; {grade.status})"
    formats = job.formats
    gap, edge = formats.depth(compare.tolerance_mm), formats.length(compare.straightedge_m)
    slope = compare.lean_mm_per_m
    lean = "" if slope is None else f", lean of up to {formats.slope(slope)}"
    return f"judged by a gap of {gap} under {edge}{lean}"
