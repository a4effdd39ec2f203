"""Controls that more than one panel has: the budget's numbers and the backing mix."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import ipywidgets as widgets

from mytakeoff.audience import CLIENT, ESTIMATOR, Audience
from mytakeoff.job.catalogue import DEFAULT_MIXES, MOST_GYPSUM_KG_PER_L, PUBLISHED_GYPSUM_KG_PER_L
from mytakeoff.job.edits import mixes_of, with_backing, with_margins, with_mix, with_plane
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import Mix
from mytakeoff.job.rates import PUBLISHED_FLOAT_H_PER_M2, PUBLISHED_LABOURER_SHARE, LabourRates
from mytakeoff.panels.parts.bind import BoundChoice, Number, labelled, labelled_list
from mytakeoff.panels.parts.boxes import DayBox
from mytakeoff.store import Store


def _edit_backing(**changes: Any) -> Any:
    """Changes of the backing mix, wherever it is used."""
    return lambda job: with_mix(job, job.system.backing.name, **changes)


def _coverage(job: Job) -> str:
    mix, formats = job.system.backing, job.formats
    area, bag = formats.fixed(mix.m2_per_bag_at_10_mm, 2), formats.short(mix.bag_kg)
    said = f"{area} m² for a bag of {bag} kg at 10 mm"
    if mix.family != "gypsum" or mix.recipe is not None:
        return said
    all_low, all_high, low, high = map(formats.short, (*PUBLISHED_GYPSUM_KG_PER_L, *MOST_GYPSUM_KG_PER_L))
    return f"{said}; gypsum bags say {all_low} to {all_high}, most {low} to {high}"


def _waste_hint(job: Job) -> str:
    return (
        "10 % is common practice; the 20 % published for thin coats is unevenness, which the survey measures"
    )


def _float_hint(job: Job) -> str:
    short, published = job.formats.short, PUBLISHED_FLOAT_H_PER_M2
    return (
        f"cement plaster is published at {short(min(published))} to {short(max(published))}; gypsum is "
        "common practice; yours, once entered, holds for every mix"
    )


def _labourer_hint(job: Job) -> str:
    short, published, usual = job.formats.short, PUBLISHED_LABOURER_SHARE, LabourRates()
    return (
        f"left alone, {short(usual.labourer_for())} with bags and {short(usual.site_mix_labourer)} with what "
        f"is mixed on site (published {short(min(published))} to {short(max(published))})"
    )


def _coat_limits(job: Job) -> str:
    mix, formats = job.system.backing, job.formats
    return f"Coats from {formats.depth(mix.least_coat_mm)}, {formats.depth(mix.max_total_mm)} in all"


def _least(job: Job) -> float:
    return job.system.backing.least_coat_mm if job.plane.least_mm is None else job.plane.least_mm


def _least_hint(job: Job) -> str:
    finish = job.system.finish_mm
    return f"and {job.formats.depth(finish)} of finish over it" if finish else "the backing is its own finish"


def with_part(job: Job, part: str, **changes: Any) -> Job:
    """The job with some figures of one of its parts changed."""
    return replace(job, **{part: replace(getattr(job, part), **changes)})


def part_number(
    part: str, name: str, label: str, low: float, high: float, step: float, **more: Any
) -> Number:
    """A number that stands in a part of the job under its own name.

    Examples
    --------
    ``part_number("rails", "depth_mm", "Depth of a rail, mm", 3.0, 20.0, 1.0)``
    """
    return Number(
        name, label, low, high, step,
        lambda job: float(getattr(getattr(job, part), name)),
        lambda job, value: with_part(job, part, **{name: value}),
        **more,
    )  # fmt: skip


def _share(name: str, label: str, high: float) -> Number:
    return Number(
        name, f"{label}, %", 0.0, high, 0.01,
        lambda job: float(getattr(job.margins, name)),
        lambda job, value: with_margins(job, **{name: value}),
        shown_per_unit=100.0,
    )  # fmt: skip


def _rate(
    name: str,
    label: str,
    low: float,
    high: float,
    step: float,
    of_mix: Callable[[LabourRates, Mix], float],
    hint: Callable[[Job], str],
) -> Number:
    """A labour rate of the user's own; back at the usual value it goes by the backing's mix again."""

    def write(job: Job, value: float) -> Job:
        usual = of_mix(LabourRates(), job.system.backing)
        return with_part(job, "rates", **{name: None if value == usual else value})

    return Number(
        name, label, low, high, step, lambda job: of_mix(job.rates, job.system.backing), write, hint=hint
    )


BUDGET_NUMBERS = (
    Number(
        "max_coat_mm", "Greatest depth of one coat, mm", 2.0, 40.0, 0.5,
        lambda job: job.system.backing.max_coat_mm,
        lambda job, value: _edit_backing(max_coat_mm=value)(job),
        hint=_coat_limits,
    ),
    Number(
        "mix_density_kg_per_l", "Mix density, kg of powder for a litre", 0.5, 2.2, 0.01,
        lambda job: job.system.backing.density_kg_per_l,
        lambda job, value: _edit_backing(density_kg_per_l=value)(job),
        hint=_coverage,
    ),
    Number(
        "waste_share", "Waste, % of what stays on the wall", 0.0, 0.4, 0.01,
        lambda job: job.waste_share,
        lambda job, value: replace(job, waste_share=value),
        shown_per_unit=100.0,
        hint=_waste_hint,
    ),
    Number(
        "least_mm", "Least thickness of the backing, mm", 0.0, 30.0, 0.5,
        _least,
        lambda job, value: with_plane(job, least_mm=value),
        hint=_least_hint,
    ),
    _rate("float_h_per_m2", "Floating, a plasterer's hours for a m²", 0.2, 1.2, 0.01,
          LabourRates.float_for, _float_hint),
    _rate("labourer_share", "A labourer's hours for a plasterer's hour", 0.0, 2.0, 0.05,
          LabourRates.labourer_for, _labourer_hint),
    part_number("plane", "cut_mm", "High spots taken down by, mm", 0.0, 20.0, 0.5),
    _share("contingency_share", "Contingency", 0.3),
    _share("overhead_share", "Overhead", 0.4),
    _share("profit_share", "Profit", 0.4),
    _share("tax_share", "Tax", 0.3),
)  # fmt: skip


CONFIDENCE = part_number(
    "sureness", "confidence_share", "Priced and ordered to be enough in, of 100 such jobs", 0.5, 0.99, 0.01,
    shown_per_unit=100.0,
)  # fmt: skip


CORNERS = part_number(
    "plane", "corner_tolerance_mm_per_m", "Corners of a room may differ by, mm for each metre", 0.0, 10.0, 0.5
)  # fmt: skip
PLANES = [
    ("plumb", "plumb"),
    ("plumb and square to the corner", "square"),
    ("plumb and square in the room", "room"),
    ("true, free to lean", "free"),
]
"""What the finished plane may be, in words."""


def shown_to(audience: Audience = ESTIMATOR) -> widgets.Dropdown:
    """Whom the panel is shown to, and its files are for."""
    return labelled_list("view", "Shown to the", [("estimator", ESTIMATOR), ("client", CLIENT)], audience)


def first_day(job: Job, today: date | None) -> DayBox:
    """When the work begins: as the job says, else on the next day after `today` that is worked on."""
    start = job.calendar.begun(today or date.today()).start
    box: DayBox = labelled(DayBox, "start", "First day on site", value=start, formats=job.formats)
    return box


def _backings(job: Job) -> dict[str, Mix]:
    """Mixes that can bring a wall to a plane: the job's own first."""
    known = {mix.name: mix for mix in (*DEFAULT_MIXES, *mixes_of(job))}
    return {name: mix for name, mix in known.items() if mix.max_coat_mm >= 10 or mix == job.system.backing}


def _with_backing_named(job: Job, name: str) -> Job:
    return with_backing(job, _backings(job)[name])


def backing_choice(store: Store) -> BoundChoice:
    """A drop-down list for the backing mix."""
    return BoundChoice(
        store, "backing", "Backing mix", lambda job: [(name, name) for name in _backings(job)],
        lambda job: job.system.backing.name,
        _with_backing_named,
    )  # fmt: skip
