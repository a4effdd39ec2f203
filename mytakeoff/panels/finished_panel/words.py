"""A finished wall in words, as HTML: its verdict, the rules one by one, snags, rounds, what was put on."""

from __future__ import annotations

from dataclasses import replace

from mytakeoff.acceptance.checked_wall import CheckedWall
from mytakeoff.acceptance.conformity import FAIL, PASS, TOO_CLOSE, Judged, Outcome
from mytakeoff.acceptance.in_words import (
    between_words,
    history_words,
    in_hundred,
    judged_parts,
    remedy_words,
    rule_words,
    snags_words,
    takes_words,
    verdict_words,
    what_words,
)
from mytakeoff.acceptance.snags import DONE, Snag, SnagList
from mytakeoff.account.measured_again import MeasuredAgain
from mytakeoff.account.measured_words import measured_words
from mytakeoff.audience import CLIENT, Audience, headed
from mytakeoff.finished.check_round import CheckRound
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Finished
from mytakeoff.formats.formats import Formats, counted
from mytakeoff.formats.inches import NBSP
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import Html, element, joined, listed, paragraphs, scrolling, table
from mytakeoff.result import Result
from mytakeoff.treatment.wall_result import WallResult

MARKS: dict[Outcome, str] = {PASS: "✓", FAIL: "✗", TOO_CLOSE: "?"}
VERDICTS: dict[Outcome, str] = {PASS: "passes", FAIL: "fails", TOO_CLOSE: "is too close to call"}
SHAPES = {"hollow": "▽", "high": "△"}
IF_PASSED, IF_REFUSED = "if let pass, wrong in", "if refused, wrong in"
STATES = {DONE: "done, not checked yet"}
NOW = ("now, after all rounds", 0)
FIRST = (
    "Read the finished face as the wall was read before, closer than the edge is long, and put the file into "
    "the job's folder.",
    "Under “Measured again” choose that file, and type what the fixed places read this time: then it is told "
    "what was put on.",
    "Or go round with a straightedge: “Add a round”, and type each place where it rocks or shows light.",
)
WHAT_THESE_DO = {
    "Guarded": "acceptance passes and fails only what is surely so by its uncertainty; the rest is too close "
    "to call.",
    "Simple": "acceptance takes what was measured as it is: both sides share the risk that it is off.",
    "The job is done": "says that nothing more is worked on it: own figures are learnt from jobs that are "
    "done.",
}
BY_HAND_ALONE = "It was looked at by hand alone: it passes only once the finished face was read."
BY_TAPE_ALONE = "Its face was not looked at yet: a clear width alone does not pass it."
NOT_LOOKED_AT = "Nobody looked at its face yet, with a survey or with a straightedge."
NO_FIXED_PLACES = (
    "The first survey of this wall has no fixed places, so a second one cannot be tied to it: the shape of "
    "what was put on can be told, its litres cannot."
)


def stood(record: FinishedWall, formats: Formats) -> list[tuple[str, int]]:
    """When a wall may be looked at: now, and after so many rounds."""
    before = enumerate(record.rounds[:-1], start=1)
    return [NOW, *((f"after round {nth}, {formats.day(each.on)}", nth) for nth, each in before)]


def as_it_stood(record: FinishedWall, after: int) -> FinishedWall:
    """A wall's record as it was after so many rounds; 0: as it is now.

    Examples
    --------
    >>> as_it_stood(FinishedWall("A"), 0) == FinishedWall("A")
    True
    """
    return replace(record, rounds=record.rounds[:after]) if after else record


def headline(
    result: Result, checked: CheckedWall | None, record: FinishedWall, to: Audience, after: int = 0
) -> str:
    """What a wall comes to, or came to after so many rounds: its verdict, what is to do; walls not read."""
    job = result.job
    said = headed(to, job.title)
    missing = joined(element("div", text, css="mt-facts") for text in result.not_read)
    if checked is None:
        return html.headline("Nothing checked yet", "", said) + missing
    facts = [_to_do(checked.snags) if checked.looked_at else ""]
    if record.rounds:
        on = job.formats.day(as_it_stood(record, after).rounds[-1].on)
        facts.append(f"as it stood on {on}" if after else f"last looked at on {on}")
    total = f"{MARKS[checked.outcome]} {checked.name} {VERDICTS[checked.outcome]}"
    if checked.outcome == TOO_CLOSE and not checked.looked_at:
        total = f"{checked.name}: its face was not looked at yet"
    return html.headline(total, html.facts(filter(None, facts)), said) + missing


def _to_do(snags: SnagList) -> str:
    todo = len(snags.to_do)
    if not snags.snags:
        return "nothing to touch up"
    all_of_it = counted(len(snags.snags), "snag")
    return f"{counted(todo, 'snag')} to do" if todo else f"{all_of_it}, all checked"


def what_first() -> Html:
    """What to do first, where nothing was written down of a wall."""
    return element("p", "Nothing was written down of this wall yet.") + listed(FIRST)


# -- verdicts -----------------------------------------------------------------------------------------


def verdicts(checked: CheckedWall, formats: Formats) -> Html:
    """Each thing that was promised, with its verdict and how likely that is wrong either way."""
    head = ("promised", "measured", "verdict", IF_PASSED, IF_REFUSED)
    rows = [_verdict_row(each, formats) for each in checked.judged]
    return table(head, rows, "mt-list mt-verdict-table") + _more_of(checked, formats)


def _verdict_row(judged: Judged, formats: Formats) -> tuple[str, ...]:
    said = judged_parts(judged, formats)
    return (
        joined([element("strong", said.what), element("br"), said.allowed]),
        _cell("measured", said.measured),
        _cell("", _marked(judged.outcome)),
        _cell(IF_PASSED, in_hundred(judged.risk_of_passing)),
        _cell(IF_REFUSED, in_hundred(judged.risk_of_failing)),
    )


def _cell(name: str, content: str) -> Html:
    """A cell that says its column's name itself, where there is no room for columns."""
    return joined([element("span", f"{name} ", css="mt-of"), content]) if name else joined([content])


def _marked(outcome: Outcome) -> Html:
    mark = element("span", MARKS[outcome], css="mt-mark", aria_hidden="true")
    return element("strong", joined([mark, f" {VERDICTS[outcome].removeprefix('is ')}"]))


def _more_of(checked: CheckedWall, formats: Formats) -> Html:
    """Why what is too close to call is, what would tell it, what is not known, how it was decided."""
    said = []
    for each in checked.judged:
        if each.outcome == TOO_CLOSE:
            why = f"{judged_parts(each, formats).what}: {verdict_words(each, formats)}."
            said.append(" ".join(filter(None, (why, remedy_words(each, formats)))))
    found = checked.by_survey
    if found is not None:
        said += [*between_words(found, formats), *found.notices]
    else:
        said.append(BY_HAND_ALONE if checked.looked_at else BY_TAPE_ALONE)
    said += checked.in_room.notices
    rules = dict.fromkeys(each.rule for each in checked.judged)
    return listed([*said, *(rule_words(rule, formats) for rule in rules)])


# -- snags --------------------------------------------------------------------------------------------


def snags(found: SnagList, formats: Formats, audience: Audience) -> Html:
    """Every snag with its number as on the map, then what they take together."""
    if not found.snags:
        return element("p", "Nothing to touch up.") + listed(found.notices)
    own = ("litres and minutes",) if audience != CLIENT else ()
    head = ("number", "what", "where", *own, "state")
    rows = [_snag_row(each, formats, audience) for each in found.snags]
    total = snags_words(found, formats) if audience != CLIENT else f"{_to_do(found)}."
    listed_snags = scrolling(table(head, rows, "mt-list mt-snag-table"))
    return joined([listed_snags, element("p", f"{total[0].upper()}{total[1:]}"), listed(found.notices)])


def _snag_row(snag: Snag, formats: Formats, audience: Audience) -> tuple[str, ...]:
    size = formats.length(snag.place.width_m, snag.place.height_m, places=2, between=f"{NBSP}×{NBSP}")
    own = (takes_words(snag, formats),) if audience != CLIENT else ()
    history = history_words(snag, formats)
    state = element("strong", STATES.get(snag.state, snag.state))
    return (
        f"{SHAPES[snag.kind]} {snag.number}", f"{what_words(snag, formats)} on {size}",
        formats.place(snag.x_m, snag.z_m), *own,
        joined([state, element("br"), history]) if history else state,
    )  # fmt: skip


def snag_line(snag: Snag, formats: Formats) -> str:
    """A snag in a few words, to be ticked off."""
    return f"{snag.number}: {what_words(snag, formats)} at {formats.place(snag.x_m, snag.z_m)}"


def rounds(record: FinishedWall, formats: Formats) -> Html:
    """The rounds with their days, as a list."""
    return listed(round_words(nth, each, formats) for nth, each in enumerate(record.rounds, start=1))


def round_name(nth: int, each: CheckRound, formats: Formats) -> str:
    """Which round: its number and day.

    Examples
    --------
    >>> from datetime import date
    >>> from mytakeoff.formats.formats import HOUSE
    >>> round_name(2, CheckRound(date(2027, 3, 1)), HOUSE)
    'round 2, 1 Mar 2027'
    """
    return f"round {nth}, {formats.day(each.on)}"


def round_words(nth: int, each: CheckRound, formats: Formats) -> str:
    """One round: its day, and what was looked at by what.

    Examples
    --------
    >>> from datetime import date
    >>> from mytakeoff.formats.formats import HOUSE
    >>> round_words(2, CheckRound(date(2027, 3, 1), "surveys/again.csv", done=(1,)), HOUSE)
    'round 2, 1 Mar 2027: read, again.csv; 1 touched up'
    """
    said = [f"read, {each.survey.rpartition('/')[2]}"] if each.survey else []
    said += [counted(len(each.marks), "mark")] if each.marks else []
    said += [f"{', '.join(map(str, each.done))} touched up"] if each.done else []
    return f"{round_name(nth, each, formats)}: {'; '.join(said) or 'nothing written down yet'}"


# -- what was put on ----------------------------------------------------------------------------------


def put_on(wall: WallResult, record: FinishedWall, measured: MeasuredAgain | None, formats: Formats) -> Html:
    """What the surveys say was put on, and how far it settled; else why they do not."""
    said = [] if record.after else ["No survey of the finished face is chosen yet."]
    if not wall.entry.fixed_places:
        said.append(NO_FIXED_PLACES)
    if record.mean_mm is not None:
        by_hand = formats.depth(record.mean_mm, 2 * record.uncertainty_mm, places=1, between=" ± ")
        said.append(f"Written down by hand, and so counted: {by_hand} on average.")
    if measured is not None:
        priced = formats.depth(wall.build_up.mean_mm, places=1)
        changes = (each for each in (measured.laid, measured.settled) if each is not None)
        said += measured_words(measured, formats)
        said += [f"It was priced at {priced}."] if measured.put_on_mm is not None else []
        said += [notice for change in changes for notice in change.notices]
    return paragraphs(dict.fromkeys(said))


# -- what is not saved --------------------------------------------------------------------------------

PARTS = {
    "deliveries": "deliveries", "hours": "hours", "variations": "variations", "trips": "trips",
    "clear_widths": "clear widths",
}  # fmt: skip


def changed(before: Finished, after: Finished) -> tuple[str, ...]:
    """What differs between two records, in a few words each.

    Examples
    --------
    >>> changed(Finished(), Finished(walls=(FinishedWall("north", 12.0),)))
    ("finished wall 'north'",)
    """
    parts = [words for name, words in PARTS.items() if getattr(before, name) != getattr(after, name)]
    walls = {wall.name: wall for wall in before.walls}, {wall.name: wall for wall in after.walls}
    names = dict.fromkeys([*walls[0], *walls[1]])
    differ = [f"finished wall {name!r}" for name in names if walls[0].get(name) != walls[1].get(name)]
    return (*parts, *differ)
