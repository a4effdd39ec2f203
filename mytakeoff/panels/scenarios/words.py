"""The agreed job and its scenarios in words: a card each, side by side where there is room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mytakeoff.audience import CLIENT, Audience
from mytakeoff.figures.in_words import facts
from mytakeoff.formats.formats import unbroken
from mytakeoff.job.job import Job
from mytakeoff.job.treatments import Scenario
from mytakeoff.options import in_words
from mytakeoff.options.result import OptionResult
from mytakeoff.panels.parts.html import Html, element, joined, listed
from mytakeoff.panels.scenarios.work import MOST_COMPARED, Compared

WHAT_IT_IS = (
    "What was agreed is the job as it is saved. Sliders only play: nothing of it is in the job until it is "
    "saved. A scenario keeps what stands here under a name, beside the agreed job; “Save to the job” and "
    "“Take it into the job” change what was agreed, and nothing else does."
)
NONE_YET = "No scenario yet: move the sliders to what the client asks for, and keep it."
FOLLOWS = "being worked out"
NO_LONGER = "It does not fit the job any more."
NOT_PRICED = "No wall is priced yet."
NOTHING_NOW = "The job has all of it: it changes nothing now."
FIGURES = {"plaster": ("litres",), "bags": ("bags",), "days": ("days", "visits", "paint")}  # of the headline


def cards(scenarios: Sequence[Scenario], known: Mapping[str, Compared], job: Job, audience: Audience) -> Html:
    """The agreed job first, then each scenario that is compared.

    Parameters
    ----------
    scenarios : sequence of Scenario
        Those that are compared.
    known : mapping of str to Compared
        What they come to, as far as it is worked out; the agreed job under "".
    job : Job
        The agreed one, with all that it keeps.
    audience : "estimator" or "client"
        A client reads the total, days and what still shows.
    """
    agreed = known.get("")
    found = [_card("As agreed", "the job as it is saved", agreed, None, audience)]
    for scenario in scenarios:
        found.append(_card(scenario.name, "", known.get(scenario.name), agreed, audience))
    more = len(job.scenarios) - len(scenarios)
    rest = (
        f"Side by side are the last {MOST_COMPARED} and the one chosen in the list; {more} more are kept."
        if more
        else ""
    )
    side = element("div", *found, css="mt-scenarios", role="list", aria_label="Agreed job and scenarios")
    return side + (element("p", rest, css="mt-hint") if rest else Html())


def _card(
    title: str, under: str, compared: Compared | None, agreed: Compared | None, audience: Audience
) -> Html:
    """One of them: what it comes to, and for the estimator what it changes."""
    parts: list[Html] = []
    if compared is None:
        parts = [element("p", FOLLOWS)]
    elif isinstance(compared.option, OptionResult):
        parts = [_figures(compared.option, agreed, audience)]
        if audience != CLIENT and agreed is not None:
            changes = listed(compared.changes or (NOTHING_NOW,))
            parts.append(element("div", element("p", "What it changes", css="mt-changes"), changes))
    else:
        why = "" if audience == CLIENT else f" {compared.option.why}"
        parts = [element("p", f"{NO_LONGER}{why}", css="mt-unfit")]
    if under:
        parts.append(element("p", under, css="mt-hint"))
    rows = len(FIGURES) + (3 if audience == CLIENT else 4)  # the same of all, so that figures stand in line
    line = {"role": "listitem", "style": f"grid-row: span {rows}"}
    return element("div", element("h4", title), *parts, css="mt-scenario", **line)


def _figures(option: OptionResult, agreed: Compared | None, audience: Audience) -> Html:
    """Total, litres, bags, days as the headline says them, and what still shows."""
    if not option.walls:  # nothing is read yet
        return element("p", NOT_PRICED)
    told = facts(option.result, audience)
    rows: list[tuple[str, str]] = [
        ("total with tax", element("strong", told["total"]) + _beside(option, agreed, audience))
    ]
    for label, names in FIGURES.items():
        if said := ", ".join(told[name] for name in names if name in told):
            rows.append((label, said))
    shows = f"{in_words.gap(option)}; {in_words.lean(option)}; {in_words.verdict(option)}"
    rows.append(("what still shows", unbroken(shows)))
    return element("dl", *(element("div", element("dt", label), element("dd", text)) for label, text in rows))


def _beside(option: OptionResult, agreed: Compared | None, audience: Audience) -> str:
    """How much more or less than agreed, for the estimator."""
    if audience == CLIENT or agreed is None or not isinstance(agreed.option, OptionResult):
        return ""
    more, formats = option.total - agreed.option.total, option.result.job.formats
    way = f"{formats.amount(abs(more), 0)} {'more' if more > 0 else 'less'} than agreed"
    return joined([element("br"), way if more else "as agreed"])
