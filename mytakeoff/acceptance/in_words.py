"""What was judged and what is to be touched up, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from mytakeoff.acceptance.conformity import FAIL, GUARDED, PASS, TOO_CLOSE, AcceptanceRule, Judged
from mytakeoff.acceptance.judge_finished import CORNER, LEAN, WIDTH, JudgedWall
from mytakeoff.acceptance.promised import Promised
from mytakeoff.acceptance.snags import Snag, SnagList
from mytakeoff.corners.clear_width import ClearWidth
from mytakeoff.flatness.grades import OWN
from mytakeoff.flatness.judging import BELLY, HOLLOW
from mytakeoff.formats.formats import Formats, counted, way

HUNDRED = 100
NOTHING_MM = 0.05
OWN_SAID = "the gap agreed under the edge"
VERDICTS = {PASS: "passes", FAIL: "fails"}
CALLED = {HOLLOW: "gap", BELLY: "bulge"}


def in_hundred(chance: float) -> str:
    """A chance as it is said, never as nothing or as certainty [-].

    Examples
    --------
    >>> in_hundred(0.023), in_hundred(0.001), in_hundred(0.999)
    ('2 in 100', 'under 1 in 100', 'over 99 in 100')
    """
    if chance < 1 / HUNDRED:
        return "under 1 in 100"
    return "over 99 in 100" if chance > 1 - 1 / HUNDRED else f"{round(HUNDRED * chance)} in 100"


def rule_words(rule: AcceptanceRule, formats: Formats) -> str:
    """How pass and fail were decided, in a sentence.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> print(rule_words(AcceptanceRule("simple acceptance"), HOUSE))
    Decided by simple acceptance (JCGM 106:2012, 8.2): what was measured counts as it is; both sides share \
the risk that it is off.
    """
    if rule.name != GUARDED:
        return (
            "Decided by simple acceptance (JCGM 106:2012, 8.2): what was measured counts as it is; both "
            "sides share the risk that it is off."
        )
    times = formats.short(rule.guard(1.0))
    return (
        f"Decided by guarded acceptance (JCGM 106:2012, 8.3): it passes or fails only where it is {times} "
        "times its standard uncertainty away from the limit, else it is too close to call."
    )


def promised_words(promised: Promised, formats: Formats) -> str:
    """What a finished wall is held to: the gap under each edge, and how far it may lean.

    Examples
    --------
    >>> from mytakeoff.flatness.edge_lines import EdgeRule
    >>> from mytakeoff.formats.formats import HOUSE
    >>> from mytakeoff.survey.wall import Wall
    >>> held = Promised(Wall("A", 4.0, 2.5), (EdgeRule(2.0, 3.0),), lean_limit_mm=8.0)
    >>> print(promised_words(held, HOUSE))
    Held to the gap agreed under the edge: at most 3 mm under 2 m. Plumb over its height, 8 mm either way.
    """
    by = OWN_SAID if promised.by == OWN else promised.by
    edges = (
        f"{formats.depth(round(each.tolerance_mm, 1))} under {formats.length(round(each.length_m, 2))}"
        for each in promised.edges
    )
    gaps = f"Held to {by}: at most {', '.join(edges)}{', bulges too' if promised.both_ways else ''}."
    if promised.lean_limit_mm is None:
        return f"{gaps} No limit of lean was agreed."
    wanted = promised.lean_mm_per_m * promised.wall.height_m
    lean = "Plumb" if abs(wanted) < NOTHING_MM else f"{formats.depth(abs(wanted), places=0)} {way(wanted)}"
    return f"{gaps} {lean} over its height, {formats.depth(round(promised.lean_limit_mm, 1))} either way."


def judged_words(judged: Judged, formats: Formats) -> str:
    """One thing that was promised: measured, how exact, what was allowed, the verdict and how sure it is.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> gap = Judged("hollow gap", "mm", 0.0, 3.0, 1.2, 0.7, x_m=1.2, z_m=0.4, edge_m=2.0)
    >>> print(judged_words(gap, HOUSE))
    Gap under a 2 m edge at x 1.20 m, z 0.40 m: 1.2 ± 1.4 mm, 3 mm allowed: passes; that it does not conform \
all the same: under 1 in 100.
    """
    said, remedy = judged_parts(judged, formats), remedy_words(judged, formats)
    verdict = f"{said.what}: {said.measured}{said.joint}{said.allowed}: {verdict_words(judged, formats)}."
    return f"{verdict} {remedy}" if remedy else verdict


class JudgedParts(NamedTuple):
    """One thing that was promised, as a table or a sentence has it."""

    what: str
    measured: str
    allowed: str
    joint: str = ", "


def judged_parts(judged: Judged, formats: Formats) -> JudgedParts:
    """What was judged and where, what was measured with its expanded uncertainty, what was allowed.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> gap = Judged("hollow gap", "mm", 0.0, 3.0, 1.2, 0.7, x_m=1.2, z_m=0.4, edge_m=2.0)
    >>> judged_parts(gap, HOUSE)[:3]
    ('Gap under a 2 m edge at x 1.20 m, z 0.40 m', '1.2 ± 1.4 mm', '3 mm allowed')
    """
    if judged.what == LEAN:
        return _lean(judged, formats)
    if judged.what.startswith(CORNER):
        return _corner(judged, formats)
    return _width(judged, formats) if WIDTH in judged.what else _gap(judged, formats)


def _known(judged: Judged, formats: Formats, mm: float) -> str:
    """A figure with its expanded uncertainty [mm, mm/m]."""
    wide = judged.rule.coverage_factor * judged.uncertainty
    between, places = " ± ", 0 if mm >= HUNDRED and wide >= 1.0 else 1
    return formats.depth(mm if mm >= NOTHING_MM else 0.0, wide, places=places, between=between, grouped=False)


def _gap(judged: Judged, formats: Formats) -> JudgedParts:
    called = CALLED.get(judged.what, judged.what.removesuffix(" under a laid edge"))
    laid = "laid " if judged.what not in CALLED else ""
    at = "" if judged.x_m != judged.x_m else f" at {formats.place(judged.x_m, judged.z_m)}"
    return JudgedParts(
        f"{called.capitalize()} under a {laid}{formats.length(round(judged.edge_m, 2))} edge{at}",
        _known(judged, formats, judged.measured),
        f"{formats.depth(judged.limit)} allowed",
    )


def _lean(judged: Judged, formats: Formats) -> JudgedParts:
    wanted = f"{formats.depth(abs(judged.promised), places=0)} {way(judged.promised)}"
    promised = "plumb" if abs(judged.promised) < NOTHING_MM else wanted
    return JudgedParts(
        "Lean over its height",
        f"{_known(judged, formats, abs(judged.measured))} {way(judged.measured)}",
        f"{promised} was promised, {formats.depth(round(judged.limit, 1))} either way allowed",
        "; ",
    )


def _corner(judged: Judged, formats: Formats) -> JudgedParts:
    wider = "wider" if judged.measured > 0 else "narrower"
    return JudgedParts(
        f"{judged.what[0].upper()}{judged.what[1:]}",
        f"{_known(judged, formats, abs(judged.measured))} on a metre {wider} than promised",
        f"{formats.depth(judged.limit)} either way allowed",
    )


def _width(judged: Judged, formats: Formats) -> JudgedParts:
    needed = formats.depth(judged.promised, grouped=False)
    what = f"{judged.what[0].upper()}{judged.what[1:]}"
    return JudgedParts(what, _known(judged, formats, judged.measured), f"{needed} must remain")


def where_words(asked: ClearWidth, formats: Formats) -> str:
    """Where a tape is laid, and what it has to show.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> where_words(ClearWidth("bath", "north", "south", 1700.0, 0.5), HOUSE)
    'from north, 0.50 m from its left end, to south: 1700 mm must remain'
    """
    at, needs = formats.length(asked.x_m, places=2), formats.depth(asked.needs_mm, grouped=False)
    return f"from {asked.wall}, {at} from its left end, to {asked.opposite}: {needs} must remain"


def verdict_words(judged: Judged, formats: Formats) -> str:
    """The verdict, and the chance that it is wrong; where there is none, the chance that it conforms."""
    if judged.outcome == PASS:
        return f"passes; that it does not conform all the same: {in_hundred(judged.risk_of_passing)}"
    if judged.outcome == FAIL:
        return f"fails; that it conforms all the same: {in_hundred(judged.risk_of_failing)}"
    return f"too close to call{_why_too_close(judged, formats)}"


def _why_too_close(judged: Judged, formats: Formats) -> str:
    if judged.unseen_m and judged.left_between:
        wide = formats.length(judged.unseen_m, places=2)
        return f": places up to {wide} across were not read, and what is there is not known"
    if judged.left_between and judged.chance_between is not None:
        return (
            ", by what may lie between the readings: of 100 walls read like this "
            f"{round(HUNDRED * judged.chance_between)} conform"
        )
    return f": that it conforms is {in_hundred(judged.chance)}"


def remedy_words(judged: Judged, formats: Formats) -> str:
    """What would tell it: the edge laid where it is worst; nothing where nothing would, or nothing need."""
    if not judged.ends_m or judged.outcome != TOO_CLOSE or judged.left_between:
        return ""
    first, second = (formats.place(*end) for end in judged.ends_m)
    return f"Lay the edge there, from {first} to {second}, and read the gap with a wedge."


def finished_words(finished: JudgedWall, formats: Formats) -> tuple[str, ...]:
    """A finished wall judged: verdict, each thing promised, what is not known, how it was decided."""
    verdict = VERDICTS.get(finished.outcome, f"is {finished.outcome}")
    head = f"{finished.promised.wall.name}: what was promised ({finished.promised.by}) {verdict}."
    judged = (judged_words(each, formats) for each in finished.judged)
    rules = {each.rule for each in finished.judged}
    decided = (rule_words(rule, formats) for rule in rules)
    return (head, *judged, *between_words(finished, formats), *finished.notices, *decided)


def between_words(finished: JudgedWall, formats: Formats) -> Iterator[str]:
    """What the readings leave open; nothing where they leave none."""
    between = finished.between
    if between is not None:
        yield (
            f"The readings are some {formats.length(between.step_m, places=2)} apart: a hollow up to "
            f"{formats.length(between.hides_m, places=2)} across can lie between them unseen. By what is "
            f"likely there the greatest gap is under {formats.mm(between.gap_95_mm)} on 95 of 100 such walls."
        )


# -- snags ---------------------------------------------------------------------------------------------


def snag_words(snag: Snag, formats: Formats) -> str:
    """One snag: where it is, what it is, how large, how it was seen.

    Examples
    --------
    >>> from mytakeoff.formats.formats import HOUSE
    >>> from mytakeoff.survey.wall import Rectangle
    >>> box = Rectangle(1.0, 0.6, 0.4, 0.5)
    >>> print(snag_words(Snag(1, "hollow", box, 1.2, 0.85, 0.2, 4.5, 0.4, 42.0, ("readings",)), HOUSE))
    1.20 m from the left end, 0.85 m up from the floor: hollow, 4.5 mm to fill on 0.40 × 0.50 m
    """
    across, up = (formats.length(at, places=2) for at in (snag.x_m, snag.z_m))
    size = formats.length(snag.place.width_m, snag.place.height_m, places=2, between=" × ")
    seen = list(_marks(snag, formats))
    more = f"; {', '.join(seen)} by hand" if seen else ""
    return f"{across} from the left end, {up} up from the floor: {what_words(snag, formats)} on {size}{more}"


def what_words(snag: Snag, formats: Formats) -> str:
    """What a snag is and what is done about it."""
    depth = formats.mm(snag.depth_mm)
    return f"hollow, {depth} to fill" if snag.kind == "hollow" else f"high spot, {depth} to take down"


def _marks(snag: Snag, formats: Formats) -> Iterator[str]:
    for mark in snag.marks:
        how = "light of" if mark.kind == "light" else "rocks by"
        yield f"{how} {formats.mm(mark.mm)} under {formats.length(mark.edge_m)}"


def takes_words(snag: Snag, formats: Formats) -> str:
    """What a snag takes: litres and a plasterer's minutes."""
    return f"{formats.number(snag.litres, 2)} l, {formats.number(snag.minutes)} min"


def snags_words(snags: SnagList, formats: Formats) -> str:
    """How many snags there are, how many of them are still to do, and what they take."""
    todo, name = len(snags.to_do), snags.promised.wall.name
    if not snags.snags:
        return f"{name}: nothing to touch up."
    closed = len(snags.snags) - todo
    done = f", {closed} checked" if closed else ""
    if not todo:
        return f"{name}: {counted(len(snags.snags), 'snag')}, all checked."
    fill = f"{formats.number(snags.litres, 2)} l to fill, " if snags.litres else ""
    takes = f"{fill}{formats.number(snags.minutes)} min"
    return f"{name}: {counted(todo, 'snag')} to do{done}; {takes}."


def history_words(snag: Snag, formats: Formats) -> str:
    """What each round found of a snag."""
    return ", ".join(f"{event.what} {formats.day(event.on)}" for event in snag.history)
