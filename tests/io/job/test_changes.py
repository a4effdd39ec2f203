"""What changed between two jobs: a phrase for each thing, in words of whoever reads them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from demo import copy_of_demo, demo

from mytakeoff import Job, LooseArea, Pack, PackList, Price, PriceList, open_job, save_job
from mytakeoff.io.job.changes import what_changed
from mytakeoff.job.catalogue import ONE_COAT_GYPSUM
from mytakeoff.job.edits import with_backing, with_mix, with_price, with_rail_places, with_reading
from mytakeoff.job.treatments import PATCH, Treatment

PARTY, DOOR = "party wall", "door wall"


def with_wall(job: Job, name: str, **changes: Any) -> Job:
    """The job with something else about one wall."""
    walls = (replace(wall, **changes) if wall.name == name else wall for wall in job.walls)
    return replace(job, walls=tuple(walls))


def renamed(job: Job, name: str, to: str, **changes: Any) -> Job:
    """The job with a wall of another name, and whatever names it."""
    entry = job.wall(name)
    wall = replace(entry.wall, name=to)
    beside = (replace(one, wall=to) if one.wall == name else one for one in job.compare.beside)
    rooms = tuple(room.with_wall_name(name, to) for room in job.rooms)
    bare = tuple(room.of_walls(()) for room in job.rooms)
    moved = replace(job, compare=replace(job.compare, beside=()), rooms=bare)
    moved = with_wall(moved, name, wall=wall, survey=replace(entry.survey, wall=wall), **changes)
    return replace(moved, compare=replace(job.compare, beside=tuple(beside)), rooms=rooms)


def without(job: Job, name: str) -> Job:
    beside = tuple(one for one in job.compare.beside if one.wall != name)
    walls = tuple(wall for wall in job.walls if wall.name != name)
    return replace(job, walls=walls, compare=replace(job.compare, beside=beside))


Edit = Callable[[Job], Job]
SAID: list[tuple[Edit, tuple[str, ...]]] = [
    (lambda job: job, ()),
    (lambda job: replace(job, waste_share=0.12), ("waste 10 % → 12 %",)),
    (lambda job: replace(job, waste_share=0.1000000001), ("waste 10.0 % → 10.00000001 %",)),
    (
        lambda job: with_mix(job, "light gypsum backing", density_kg_per_l=0.95),
        ("mix 'light gypsum backing': density 0.8 kg/l → 0.95 kg/l",),
    ),
    (
        lambda job: with_backing(job, ONE_COAT_GYPSUM),
        ("backing mix: light gypsum backing → one-coat gypsum",),
    ),
    (
        lambda job: replace(job, plane=replace(job.plane, kind="free", least_mm=8.0)),
        (
            "finished plane, kind: plumb → free",
            "finished plane, least thickness of the backing: not given → 8 mm",
        ),
    ),
    (
        lambda job: replace(job, prices=job.prices.with_price("mesh", Decimal("2.125"))),
        ("price of mesh 1.60 EUR → 2.125 EUR",),
    ),
    (
        lambda job: replace(job, prices=PriceList((*job.prices.rows, Price("tea", "cup", Decimal(1))))),
        ("price of tea added: 1.00 EUR",),
    ),
    (
        lambda job: with_price(job, "primer", Decimal("17.5")),
        ("primer: tub of 5 l, Quay merchant (invented) 16.50 EUR → 17.50 EUR",),
    ),
    (
        lambda job: replace(
            job, packs=PackList((*job.packs.rows, Pack("tea", Decimal(40), "cup", Decimal(3))))
        ),
        ("tea: pack of 40 cup added: 3.00 EUR",),
    ),
    (lambda job: with_reading(job, PARTY, 1.0, 1.0, -30.0), (f"wall {PARTY!r}: 1 reading added",)),
    (
        lambda job: with_rail_places(job, PARTY, (0.2, 1.5)),
        (f"wall {PARTY!r}: places of the rails: none → 0.2, 1.5",),
    ),
    (
        lambda job: with_wall(job, PARTY, loose=(LooseArea(0.1, 0.1, 0.5, 0.5, 9.0),)),
        (f"wall {PARTY!r}: 1 loose area changed", f"wall {PARTY!r}: 1 loose area taken out"),
    ),
    (lambda job: without(job, DOOR), (f"wall {DOOR!r} taken out",)),
    (lambda job: renamed(job, DOOR, "north", sockets=4),
     (f"wall {DOOR!r} renamed 'north'", "wall 'north': sockets 0 → 4")),
    (
        lambda job: replace(job, treatment=Treatment("patch and skim", PATCH)),
        ("how the walls are treated: floated to the plane → patch and skim",),
    ),
    (lambda job: renamed(job, PARTY, "north"), (f"wall {PARTY!r} renamed 'north'",)),
    (lambda job: replace(job, walls=job.walls[::-1]), ("things in another order",)),
    (
        lambda job: replace(job, calendar=replace(job.calendar, start=None)),
        ("first day on site: 1 Mar 2027 → not given",),
    ),
    (lambda job: replace(job, only=(DOOR,)), (f"walls in the price: all → {DOOR}",)),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "said"), SAID)
def test_each_thing_is_said_in_words(edit: Edit, said: tuple[str, ...]) -> None:
    job = demo()
    assert what_changed(job, edit(job)) == said


@pytest.mark.parametrize("edit", [edit for edit, said in SAID if said])
def test_as_much_is_said_on_the_way_back(edit: Edit) -> None:
    job = demo()
    assert len(what_changed(edit(job), job)) == len(what_changed(job, edit(job)))


def test_a_wall_added_is_the_one_taken_out_seen_the_other_way() -> None:
    job = demo()
    assert what_changed(without(job, DOOR), job) == (f"wall {DOOR!r} added",)


def test_readings_are_told_apart_by_their_places() -> None:
    job = demo()
    survey = job.wall(DOOR).survey
    x_m, z_m, proud_mm = ([*values] for values in (survey.x_m, survey.z_m, survey.proud_mm))
    proud_mm[0] += 3
    fewer = (np.array(values[:-1]) for values in (x_m, z_m, proud_mm))
    moved = replace(survey, **dict(zip(("x_m", "z_m", "proud_mm"), fewer, strict=True)))
    assert what_changed(job, with_wall(job, DOOR, survey=moved)) == (
        f"wall {DOOR!r}: 1 reading changed",
        f"wall {DOOR!r}: 1 reading taken out",
    )


def test_a_job_that_was_saved_says_what_its_folder_says(tmp_path) -> None:
    """A survey without a file gets one, and a known mix with figures of one's own a table: no change."""
    folder = copy_of_demo(tmp_path)
    edited = with_mix(open_job(folder), "light gypsum backing", density_kg_per_l=0.9)
    edited = with_reading(replace(edited, title="Net loft"), DOOR, 1.0, 1.0, -30.0)
    save_job(edited, folder)
    assert what_changed(edited, open_job(folder)) == ()


def test_amounts_and_decimals_are_written_as_the_job_has_them() -> None:
    german = replace(demo(), locale="de_AT")
    after = replace(german, waste_share=0.125, prices=german.prices.with_price("mesh", Decimal("2.20")))
    assert [each.replace("\u00a0", " ") for each in what_changed(german, after)] == [
        "waste 10 % → 12,5 %",
        "price of mesh € 1,60 → € 2,20",
    ]


def other(value: Any) -> Any:
    """Some other value of the same kind; those of a job's fields need not make sense together."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, (int, float)):
        return value + 1
    return f"{value} too" if isinstance(value, str) else None


@pytest.mark.parametrize("cls", [type(getattr(demo(), name)) for name in ("rates", "rails", "margins")])
def test_no_phrase_has_the_look_of_a_key(cls: type) -> None:
    """Every number of these tables, moved by one: words and a unit, nothing of the file's spelling."""
    job = demo()
    part = next(each.name for each in fields(Job) if isinstance(getattr(job, each.name), cls))
    for entry in fields(cls):
        value = other(getattr(getattr(job, part), entry.name))
        if value is None:
            continue
        moved = replace(job, **{part: object.__new__(cls)})
        for each in fields(cls):
            kept = getattr(getattr(job, part), each.name)
            object.__setattr__(getattr(moved, part), each.name, value if each.name == entry.name else kept)
        [said] = what_changed(job, moved)
        assert "_" not in said
