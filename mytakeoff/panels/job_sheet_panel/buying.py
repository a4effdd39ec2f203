"""Prices, packs, suppliers, mixes of the user's own: what the lists beside the job hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job import catalogue
from mytakeoff.job.edits import mixes_of, with_mix, with_mix_name
from mytakeoff.job.job import Job
from mytakeoff.job.mixes import FAMILIES, Mix
from mytakeoff.job.packs import Chosen, Pack, PackList, Supplier
from mytakeoff.job.prices import Price, PriceList
from mytakeoff.panels.job_sheet_panel.asked import MUST, Question, asked_of
from mytakeoff.panels.job_sheet_panel.entry_kind import OUT, EntryKind, Pair, only
from mytakeoff.panels.job_sheet_panel.labels import JOB_WORDS
from mytakeoff.panels.job_sheet_panel.parts_of_job import items_of, known_mixes, listed, table
from mytakeoff.panels.job_sheet_panel.wall_labels import MIX_WORDS
from mytakeoff.panels.parts.controls import with_part

PRICE_BOXES = only(asked_of(Price, JOB_WORDS, "prices"), "item", "price", "unit", "note")
PACK_BOXES = only(
    asked_of(Pack, JOB_WORDS, "packs"),
    "item",
    "supplier",
    "pack",
    "holds",
    "unit",
    "price",
    "from_packs",
    "least_packs",
    "weight_kg",
    "note",
)


def _price(row: Price | None, values: Mapping[str, Any]) -> Price:
    """A row of the list; with another price it is the user's own, and no longer an invented one."""
    if row is None:
        return Price(**values)
    priced = row.at(values["price"]) if "price" in values else row
    return replace(priced, **{name: value for name, value in values.items() if name != "price"})


def _priced(job: Job, pairs: Sequence[Pair]) -> Job:
    return replace(job, prices=PriceList(tuple(after for _, after in pairs)))


def _packed(job: Job, pairs: Sequence[Pair]) -> Job:
    """The job with these packs: one least number for all rows of a pack, its price breaks in order."""
    rows = [after for _, after in pairs]
    for before, after in pairs:
        if before is not None and before.least_packs != after.least_packs:
            rows = [
                replace(row, least_packs=after.least_packs) if row.kind == after.kind else row for row in rows
            ]
    for kind in {row.kind for row in rows}:
        places = [nth for nth, row in enumerate(rows) if row.kind == kind]
        breaks = sorted((rows[nth] for nth in places), key=lambda row: row.from_packs)
        for nth, row in zip(places, breaks, strict=True):
            rows[nth] = row
    return replace(job, packs=PackList(tuple(rows)))


def _may_be_priced(job: Job) -> list[str]:
    """What a price list may name: items that the package knows, and mixes."""
    return [*catalogue.UNITS, *known_mixes(job), *items_of(job)]


def _units(_: Job) -> list[str]:
    return list(dict.fromkeys(catalogue.UNITS.values()))


def _suppliers(job: Job) -> list[str]:
    named = [pack.supplier for pack in job.packs.rows if pack.supplier]
    return [*(supplier.name for supplier in job.buying.suppliers), *named]


PRICES = EntryKind(
    "prices",
    Price,
    PRICE_BOXES,
    lambda job: job.prices.rows,
    _priced,
    "a price",
    "Prices",
    make=_price,
    suggest={"item": _may_be_priced, "unit": _units},
)
PACKS = EntryKind(
    "packs",
    Pack,
    PACK_BOXES,
    lambda job: job.packs.rows,
    _packed,
    "a pack",
    "Packs",
    suggest={"item": _may_be_priced, "supplier": _suppliers, "unit": _units},
)
SUPPLIERS = table(
    "buying.supplier",
    Supplier,
    "a supplier",
    "Suppliers",
    lambda job: job.buying.suppliers,
    "suppliers",
    "buying",
    suggest={"name": _suppliers},
)
CHOSEN = table(
    "buying.chosen",
    Chosen,
    "a product",
    "Who a product is bought from",
    lambda job: job.buying.chosen,
    "chosen",
    "buying",
    options={"item": lambda job: listed(list(dict.fromkeys(pack.item for pack in job.packs.rows)))},
    suggest={"supplier": _suppliers, "pack": lambda job: [pack.pack for pack in job.packs.rows]},
)
IN_STOCK = EntryKind(
    "buying.in_stock",
    str,
    (
        Question(
            "buying.in_stock",
            "item",
            JOB_WORDS["buying.in_stock"].split(" | ")[0],
            "choice",
            JOB_WORDS["buying.in_stock"].split(" | ")[1],
            empty=MUST,
        ),
    ),
    lambda job: job.buying.in_stock,
    lambda job, pairs: with_part(job, "buying", in_stock=tuple(after for _, after in pairs)),
    "an item kept in stock",
    "Kept in stock",
    options={"item": lambda job: listed(list(dict.fromkeys(items_of(job))))},
    values=lambda item: {"item": item},
    make=lambda _, values: values["item"],
)


# -- mixes ----------------------------------------------------------------------------------------

MIX_BOXES = asked_of(Mix, MIX_WORDS, "mix")


def _own(job: Job) -> tuple[Mix, ...]:
    """The user's own mixes, and known ones that are used with figures of his."""
    return tuple(mix for mix in known_mixes(job).values() if mix not in catalogue.DEFAULT_MIXES)


def _mixed(job: Job, pairs: Sequence[Pair]) -> Job:
    """The job with these mixes of its own; one that is used is changed wherever it is."""
    for before, after in pairs:
        if before is not None and before != after:
            job = job if before.name == after.name else with_mix_name(job, before.name, after.name)
            job = with_mix(
                job, after.name, **{each.name: getattr(after, each.name) for each in fields(after)}
            )
    kept = tuple(after for _, after in pairs)
    used = {mix.name for mix in mixes_of(job)} - {mix.name for mix in kept}
    gone = [mix.name for mix in _own(job) if mix.name in used]
    if gone:
        raise TakeoffError(
            Mistake(
                f"{', '.join(map(repr, gone))} taken out",
                "a mix that goes on a wall stays in the job",
                "choose another one for the walls first",
            )
        )
    return replace(job, mixes=kept)


def copied_mix(job: Job, mix: Mix) -> Job:
    """The job with a mix of its own that has the figures of a known one."""
    names = known_mixes(job)
    name = next(
        each for each in (f"{mix.name}, own{nth or ''}" for nth in ("", *range(2, 999))) if each not in names
    )
    return replace(job, mixes=(*job.mixes, replace(mix, name=name)))


OWN_MIXES = EntryKind(
    "mix",
    Mix,
    MIX_BOXES,
    _own,
    _mixed,
    "a mix",
    "Mixes of your own",
    options={"family": lambda _: listed(list(FAMILIES))},
    actions=(("copy", "Copy"), OUT),
    blank=lambda _: {"family": FAMILIES[0]},
)
