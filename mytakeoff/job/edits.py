"""Single changes to a job, each giving a new one: what a slider or a box does."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.job import catalogue
from mytakeoff.job.choices import Margins, Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.packs import Buying, Chosen, Pack, PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.job.treatments import Treatment
from mytakeoff.survey.survey import Survey
from mytakeoff.units import decimal_of, round_money


def _system_with(system: System, name: str, changes: dict[str, Any]) -> System:
    """The system with a mix of that name changed wherever it stands."""
    roles: dict[str, Any] = {
        role.name: replace(mix, **changes)
        for role in fields(system)
        if isinstance(mix := getattr(system, role.name), Mix) and mix.name == name
    }
    return replace(system, **roles) if roles else system


def with_mix(job: Job, name: str, /, **changes: Any) -> Job:
    """The job with some figures of a mix changed on every wall that uses it.

    Examples
    --------
    ``with_mix(job, "light gypsum backing", density_kg_per_l=0.95)``

    Raises
    ------
    TakeoffError
        A figure outside its range, as `Mix` tells.
    """
    walls = tuple(
        wall if wall.system is None else replace(wall, system=_system_with(wall.system, name, changes))
        for wall in job.walls
    )
    own = tuple(replace(mix, **changes) if mix.name == name else mix for mix in job.mixes)
    return replace(job, system=_system_with(job.system, name, changes), walls=walls, mixes=own)


def with_mix_name(job: Job, name: str, new: str) -> Job:
    """The job with a mix called otherwise, by everything that names it: walls, price, packs and who sells it.

    Raises
    ------
    TakeoffError
        Something else is priced or sold under the new name.
    """

    def named(thing: Any) -> Any:
        return replace(thing, item=new) if thing.item == name else thing

    buying = replace(
        job.buying,
        chosen=tuple(map(named, job.buying.chosen)),
        in_stock=tuple(new if item == name else item for item in job.buying.in_stock),
    )
    prices, packs = PriceList(tuple(map(named, job.prices.rows))), PackList(tuple(map(named, job.packs.rows)))
    return replace(with_mix(job, name, name=new), prices=prices, packs=packs, buying=buying)


def mixes_of(job: Job) -> tuple[Mix, ...]:
    """Every mix that the job uses, each once, in the order in which they go on."""
    systems = (job.system, *(wall.system for wall in job.walls if wall.system is not None))
    found = {mix.name: mix for system in systems for mix in system.mixes}
    return tuple(found.values())


def with_plane(job: Job, **changes: Any) -> Job:
    """The job with another choice of plane; to choose its kind is to have every wall floated to it."""
    changed = replace(job, plane=replace(job.plane, **changes))
    return floated(changed) if "kind" in changes else changed


def floated(job: Job) -> Job:
    """The job with every wall floated to the plane that it has chosen."""
    if job.treatment is None and all(wall.treatment is None for wall in job.walls):
        return job
    return replace(job, treatment=None, walls=tuple(replace(wall, treatment=None) for wall in job.walls))


def with_treatment(job: Job, treatment: Treatment) -> Job:
    """The job with an option of the user's own; one of the same name gives way."""
    others = tuple(each for each in job.treatments if each.name != treatment.name)
    return replace(job, treatments=(*others, treatment))


def without_treatment(job: Job, name: str) -> Job:
    """The job without the user's option of that name."""
    return replace(job, treatments=tuple(each for each in job.treatments if each.name != name))


def with_compare(job: Job, **changes: Any) -> Job:
    """The job with something else that its options are judged by."""
    return replace(job, compare=replace(job.compare, **changes))


def with_rails(job: Job, **changes: Any) -> Job:
    """The job with another way of carrying the straightedge."""
    return replace(job, rails=replace(job.rails, **changes))


def with_rail_places(job: Job, name: str, rails_x_m: tuple[float, ...]) -> Job:
    """The job with one wall's rails at those places [m]; none: where straightedge and openings want them."""
    walls = tuple(
        replace(wall, rails_x_m=tuple(rails_x_m)) if wall.name == name else wall for wall in job.walls
    )
    return replace(job, walls=walls)


def with_price(job: Job, item: str, price: Decimal, was: Decimal | None = None) -> Job:
    """The job with another price for one item, as its table has it: of the pack it is bought in, or a unit.

    Parameters
    ----------
    job : Job
    item : str
    price : Decimal
        0 or more [currency].
    was : Decimal or None
        The pack's price that it takes the place of; None: that of a single pack [currency].
    """
    tiers = job.tiers_of(item)
    if not tiers and item == catalogue.RAIL:  # the table has what a length costs, the list what a metre does
        price = round_money(price / decimal_of(job.rails.stock_m), 6)
    if not tiers:
        return replace(job, prices=job.prices.with_price(item, price))
    if item in job.buying.in_stock:
        price *= tiers[0].holds
    return replace(job, packs=job.packs.with_price(tiers, tiers[0].price if was is None else was, price))


def with_packs(job: Job, packs: Iterable[Pack]) -> Job:
    """The job with products bought in these packs from those who sell them; rails cut from that length."""
    chosen = {pack.item: Chosen(pack.item, pack.supplier, pack.pack, float(pack.holds)) for pack in packs}
    kept = tuple(each for each in job.buying.chosen if each.item not in chosen)
    bought = replace(job, buying=replace(job.buying, chosen=(*kept, *chosen.values())))
    rail = chosen.get(catalogue.RAIL)
    return bought if rail is None else with_rails(bought, stock_m=rail.holds)


def with_backing(job: Job, mix: Mix) -> Job:
    """The job with another backing mix on the walls that have no mixes of their own."""
    return replace(job, system=replace(job.system, backing=mix))


def with_margins(job: Job, **changes: Any) -> Job:
    """The job with other shares of overhead, profit, contingency or tax."""
    return replace(job, margins=replace(job.margins, **changes))


def with_reading(job: Job, name: str, x_m: float, z_m: float, proud_mm: float) -> Job:
    """The job with one more reading on a wall, taken off the same plane as its survey.

    Parameters
    ----------
    job : Job
    name : str
        Of the wall.
    x_m, z_m : float
        On the wall [m].
    proud_mm : float
        Towards the room [mm].

    Raises
    ------
    TakeoffError
        A place off the wall, a reading that is no number or does not agree with one that is there.
    """
    survey = job.wall(name).survey
    more = Survey.from_readings(
        survey.wall,
        [*survey.x_m, x_m],
        [*survey.z_m, z_m],
        [*survey.proud_mm, proud_mm],
        so_far=True,
        **{
            field.name: getattr(survey, field.name)
            for field in fields(Survey)
            if field.name not in ("wall", "x_m", "z_m", "proud_mm", "layout", "source")
        },
    )
    walls = tuple(replace(wall, survey=more) if wall.name == name else wall for wall in job.walls)
    return replace(job, walls=walls)


def with_wall_name(job: Job, name: str, new: str) -> Job:
    """The job with a wall called otherwise, by everything that names it.

    Parameters
    ----------
    job : Job
    name, new : str
        What it is called, and what it shall be called.

    Raises
    ------
    TakeoffError
        No wall is called so, or another one has the new name.
    """
    if name == new:
        return job
    entry = job.wall(name)
    wall = replace(entry.wall, name=new)
    renamed = replace(entry, wall=wall, survey=replace(entry.survey, wall=wall))
    beside = tuple(replace(thing, wall=new) if thing.wall == name else thing for thing in job.compare.beside)
    known = tuple(replace(each, wall=new) if each.wall == name else each for each in job.worked_out.walls)
    scenarios = tuple(
        replace(each, edits=tuple(edit.with_wall_names({name: new}) for edit in each.edits))
        for each in job.scenarios
    )
    return replace(
        job,
        scenarios=scenarios,
        rooms=tuple(room.with_wall_name(name, new) for room in job.rooms),
        walls=tuple(renamed if each is entry else each for each in job.walls),
        only=tuple(new if each == name else each for each in job.only),
        compare=replace(job.compare, beside=beside),
        worked_out=replace(job.worked_out, walls=known),
    )


def with_walls(job: Job, walls: Iterable[tuple[JobWall | None, JobWall]]) -> Job:
    """The job with these walls and no others, in that order, in everything that names one.

    Parameters
    ----------
    job : Job
    walls : iterable of (JobWall or None, JobWall)
        Each as the job has it, None for a new one, and as it shall be: one of them may have another name.

    Raises
    ------
    TakeoffError
        Two walls of one name, or what `Job` refuses.

    Notes
    -----
    What is said of a wall that is gone, or in another room, goes with it: its place in the price, plumb
    things beside it, its corners.
    """
    pairs = tuple(walls)
    for before, after in pairs:
        if before is not None:
            job = with_wall_name(job, before.name, after.name)
    names = {after.name for _, after in pairs}
    beside = tuple(thing for thing in job.compare.beside if thing.wall in names)
    inside = {room.name: [after.name for _, after in pairs if after.room == room.name] for room in job.rooms}
    return replace(
        job,
        rooms=tuple(room.of_walls(inside[room.name]) for room in job.rooms),
        walls=tuple(after for _, after in pairs),
        only=tuple(name for name in job.only if name in names),
        compare=job.compare if beside == job.compare.beside else replace(job.compare, beside=beside),
    )


def with_rooms(job: Job, rooms: Iterable[tuple[Room | None, Room]]) -> Job:
    """The job with these rooms and no others, in that order; walls and extras go with a new name.

    Parameters
    ----------
    job : Job
    rooms : iterable of (Room or None, Room)
        Each as the job has it, None for a new one, and as it shall be.

    Raises
    ------
    TakeoffError
        A wall stands in a room that is gone.
    """
    pairs = tuple(rooms)
    names = {before.name: after.name for before, after in pairs if before is not None}
    walls = (replace(wall, room=names.get(wall.room, wall.room)) for wall in job.walls)
    extras = (replace(extra, room=names.get(extra.room, extra.room)) for extra in job.extras)
    return replace(job, rooms=tuple(after for _, after in pairs), walls=tuple(walls), extras=tuple(extras))


def with_priced(job: Job, names: Collection[str]) -> Job:
    """The job with those of its walls in the price.

    Raises
    ------
    TakeoffError
        None of its walls: the file says that all are by naming none.
    """
    every = [wall.name for wall in job.walls]
    priced = tuple(name for name in every if name in names)
    if every and not priced:
        raise TakeoffError(
            Mistake(
                "no wall priced", "a job prices one of its walls at least", "have another one priced first"
            )
        )
    return replace(job, only=() if len(priced) == len(every) else priced)


def with_nibs(job: Job, name: str, **changes: float) -> Job:
    """The job with other `nibs_per_m2` [1/m²] or `nib_mm` [mm] on a wall: high spots that nobody read."""
    walls = tuple(replace(wall, **changes) if wall.name == name else wall for wall in job.walls)  # type: ignore[arg-type]
    return replace(job, walls=walls)


def without_money(job: Job) -> Job:
    """The job as far as work, quantities and days read it: no prices, margins, packs, what-ifs, folder."""
    no_money: dict[str, Any] = {"prices": PriceList(), "margins": Margins(), "packs": PackList()}
    return replace(job, buying=Buying(), scenarios=(), learnt=(), folder="", **no_money)
