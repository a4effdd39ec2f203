"""Setting out as HTML: the headline, a wall's fixings, what better places save, the cut list."""

from __future__ import annotations

from decimal import Decimal

from mytakeoff.audience import ESTIMATOR, headed
from mytakeoff.charts.settingout.fixing_table import rail_words, row_cells, row_notes
from mytakeoff.charts.settingout.sheet import cut_words, stock_words, unread_words, zone_codes
from mytakeoff.errors import TakeoffError
from mytakeoff.formats.formats import HOUSE, Formats, counted
from mytakeoff.job.job import Job
from mytakeoff.panels.parts import html
from mytakeoff.panels.parts.html import element, grouped_table, joined, listed, paragraphs
from mytakeoff.settingout.cable_zones import SOURCE, WARNING
from mytakeoff.settingout.rail_places import RailPlan
from mytakeoff.settingout.set_out import SettingOut, WallSetting


def headline(setting: SettingOut, total: Decimal) -> str:
    """What is set out in all, then the price with it."""
    job, cuts, formats = setting.job, setting.cuts, setting.job.formats
    rails = sum(len(wall.wall.rails_x_m) for wall in setting.walls if wall.rails)
    pieces = sum(len(wall.rails) for wall in setting.walls)
    what = "fixing" if job.rails.bedded == "fixings" else "dab"
    unread = unread_words(setting).partition(":")[0]
    stock = formats.length(cuts.stock_mm / 1000)
    facts = [
        *([f"{counted(pieces, 'piece')} from {counted(cuts.count, 'length')} of {stock}"] if pieces else []),
        *(
            f"{counted(count, 'screw')} of {formats.depth(length)}"
            for length, count in setting.screws.items()
        ),
        *filter(None, [unread, not_set_out(setting)]),
        f"{formats.amount(total, 0)} with tax for the whole of it",
    ]
    counts = f"{counted(rails, 'rail')}, {counted(setting.fixing_count, what)}" if rails else "No rails"
    missing = (element("div", text, css="mt-facts") for text in setting.not_read)
    said = html.headline(counts, html.facts(facts), headed(ESTIMATOR, f"{job.title}: setting out"))
    return joined([said, *missing])


def nothing(job: Job) -> str:
    """The headline where no wall can be set out."""
    return html.headline("Nothing set out yet", "", headed(ESTIMATOR, f"{job.title}: setting out"))


def not_set_out(setting: SettingOut) -> str:
    """Which walls are missing; empty where none is."""
    names = ", ".join(wall.name for wall in setting.refused)
    return f"not set out: {names}" if names else ""


def refused(setting: SettingOut) -> str:
    """What has to be put right before all walls can be set out; empty where they are."""
    mistakes = [mistake for wall in setting.refused for mistake in wall.refused]
    return f"The others are set out, {not_set_out(setting)}.\n{TakeoffError(*mistakes)}" if mistakes else ""


def fixing_table(wall: WallSetting) -> str:
    """A row for each fixing of one wall, rail by rail."""
    if not wall.rails:
        return element("p", wall.why_none)
    head = wall.formats.head
    behind = (
        (head("head off the wall", "mm"), head("screw", "mm")) if wall.drilled else (head("dab", "mm"), "")
    )
    lengths = head("plaster", "mm"), head("laser to the wall", "mm")
    heads = (wall.held_by, head("height", "m"), *behind, *lengths, "look out")
    codes = zone_codes(wall)
    rails = (_rail(wall, nth, codes) for nth in range(len(wall.rails)))
    return grouped_table(heads, rails, "mt-list mt-fixings", numbers=(1, 2, 3, 4, 5))


def _rail(wall: WallSetting, nth: int, codes: dict[str, str]) -> tuple[str, list[tuple[str, ...]]]:
    """A rail in words, and its fixings."""
    name, rail = wall.names[nth], wall.rails[nth]
    fixings = (fixing for fixing in wall.fixings if fixing.rail == name)
    rows = [(*row_cells(wall, fixing), row_notes(wall, fixing, codes)) for fixing in fixings]
    return rail_words(name, rail, wall.formats), rows


def cables(wall: WallSetting) -> str:
    """Where to look for cables before drilling."""
    if not wall.zones:
        return ""
    codes = joined(
        (joined([element("strong", code), f" {why}"]) for why, code in zone_codes(wall).items()), "; "
    )
    return paragraphs([element("strong", WARNING), joined([codes, f". ({SOURCE})"])])


def checks(wall: WallSetting) -> str:
    """The one reading of the laser, and what to hold against what."""
    return listed(wall.checks) + listed(f"{said[0].upper()}{said[1:]}." for said in wall.notices)


def places(rails_x_m: tuple[float, ...], formats: Formats = HOUSE) -> str:
    """Where rails stand, as they are measured [m].

    Examples
    --------
    >>> places((0.15, 1.35))
    '0.150, 1.350 m'
    """
    return formats.length(*rails_x_m, places=3, between=formats.apart)


def saving(plan: RailPlan | None, money: Decimal | None, formats: Formats, own: tuple[float, ...]) -> str:
    """What better places for the rails save; `own` is where the job has them [m]."""
    if plan is None:
        return ""
    said = [_saving(plan, money, formats)]
    if own == plan.best_x_m:
        said.append("The job has them there.")
    elif own:
        said.append(f"The job has them at {places(own, formats)}.")
    return paragraphs(said)


def _saving(plan: RailPlan, money: Decimal | None, formats: Formats) -> str:
    number, even = formats.number, places(plan.even_x_m, formats)
    if plan.best_possible and plan.best_x_m == plan.even_x_m:
        return (
            f"Rails at {even} cost no plaster: the plane is as thin as it would be "
            f"without them, {number(plan.even_l, 1)} litres."
        )
    over = plan.best_l - plan.least_l
    if plan.best_x_m == plan.even_x_m:
        return (
            f"No better places were found than {even}: {number(plan.even_l, 1)} litres, "
            f"{number(over, 1)} of them because rails need room."
        )
    price = f", {formats.amount(money)} off the price" if money is not None and money > 0 else ""
    bags = ", the bags stay as many" if money is not None and money <= 0 else ""
    return (
        f"Rails at {places(plan.best_x_m, formats)} instead of {even} let the plane sit lower: "
        f"{number(plan.best_l, 1)} litres instead of {number(plan.even_l, 1)}, "
        f"{number(plan.saved_l, 1)} less{price}{bags}."
    )


def cut_list(setting: SettingOut) -> str:
    """How many stock lengths, and what is cut from each."""
    return element("p", element("strong", cut_words(setting))) + listed(stock_words(setting))


def read_words(wall: WallSetting) -> str:
    """The one reading at every head, for the headline of a wall."""
    return f"{wall.reads[:1].upper()}{wall.reads[1:]} from the laser plane." if wall.reads else ""
