"""From priced to cost: the bars are the account's own numbers, told apart without colour."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

import pytest
from demo import coarse_demo
from drawn import check_words_apart, copied, part, words
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from mytakeoff.account.account import Account
from mytakeoff.account.settle import account_spread, settle_up
from mytakeoff.account.worth import CAUSES
from mytakeoff.charts.account.causes import describe_causes, draw_causes
from mytakeoff.charts.drawing.lettering import page_svg
from mytakeoff.finished.finished_wall import FinishedWall
from mytakeoff.finished.record import Delivered, Finished, HoursSpent, ReturnTrip

BACKING = "light gypsum backing"
WALLS = tuple(FinishedWall(name, 15.0, 0.6) for name in ("party wall", "window wall"))
DEARER = Finished(
    (Delivered(BACKING, 18, wasted=0.4, price=13.9), Delivered("rail", 12)),
    (HoursSpent("float backing", 26.5),),
    trips=(ReturnTrip("beads", 1.5, 4.0),),
    walls=WALLS,
)
CHEAPER = Finished((Delivered(BACKING, 9, wasted=1.2, price=10.0),), (HoursSpent("rails", 2.0),))
FAR = Finished((Delivered("mesh", 1, price=9000.0), Delivered("rail", 600)), (HoursSpent("prime", 900),))
RECORDS = {"dearer": DEARER, "cheaper": CHEAPER, "far": FAR, "nothing": Finished()}


@cache
def settled(name: str) -> tuple[Account, dict[str, Decimal]]:
    return settle_up(coarse_demo(), RECORDS[name]), account_spread(coarse_demo(), RECORDS[name])


def bars_of(figure: Figure) -> list[Rectangle]:
    return [each for each in figure.axes[-1].patches if isinstance(each, Rectangle)]


@pytest.mark.parametrize("name", RECORDS)
def test_each_bar_begins_where_the_one_before_ends_and_is_as_long_as_its_part(name: str) -> None:
    account, spread = settled(name)
    first, *causes, last = bars_of(draw_causes(account, account.parts, spread))
    at = float(account.agreed.cost.subtotal)
    assert first.get_x() + first.get_width() == pytest.approx(at)
    for bar, part_of_it in zip(causes, account.parts.values(), strict=True):
        assert bar.get_x() == pytest.approx(at)
        assert bar.get_width() == pytest.approx(float(part_of_it))
        at += float(part_of_it)
    assert last.get_x() + last.get_width() == pytest.approx(float(account.spent)) == pytest.approx(at)
    tops = [bar.get_y() for bar in (first, *causes, last)]
    assert tops == sorted(set(tops))


def test_causes_stand_in_the_order_in_which_they_are_told() -> None:
    account, _ = settled("dearer")
    told = account.parts_told(CAUSES[::-1])
    said = words(draw_causes(account, told))
    assert [word for word in said if word in CAUSES] == list(CAUSES[::-1])
    widths = [bar.get_width() for bar in bars_of(draw_causes(account, told))[1:-1]]
    assert widths == pytest.approx([float(each) for each in told.values()])


def test_amounts_stand_behind_the_bars_with_their_signs_and_what_they_may_be_off() -> None:
    account, spread = settled("dearer")
    assert spread["thickness"] > 0
    said = words(draw_causes(account, account.parts, spread))
    for cause, amount in account.parts.items():
        sign = "+" if amount > 0 else "−" if amount < 0 else ""
        off = f" ± {spread[cause]}" if spread[cause] else ""
        assert f"{sign}{abs(amount)}{off}" in said
    assert "may be off" in said
    assert "may be off" not in words(draw_causes(account, account.parts))


@pytest.mark.parametrize("width", [320, 360, 640, 980])
@pytest.mark.parametrize("name", RECORDS)
def test_its_words_keep_apart(name: str, width: float) -> None:
    account, spread = settled(name)
    check_words_apart(draw_causes(account, account.parts, spread, width_px=width))


def test_what_costs_more_and_what_saves_differ_on_a_copy() -> None:
    account, _ = settled("dearer")
    figure = draw_causes(account, account.parts)
    bars = dict(zip(account.parts, bars_of(figure)[1:-1], strict=True))
    more, less = bars["hours"], bars["quantities"]
    assert account.parts["hours"] > 0 > account.parts["quantities"]
    assert less.get_hatch()
    assert not more.get_hatch()
    light = copied(figure)
    inside = [
        part(light, figure.axes[-1], *sorted((bar.get_x() + 0.1 * bar.get_width(),
             bar.get_x() + 0.9 * bar.get_width())), bar.get_y() + 0.1, bar.get_y() + 0.45)
        for bar in (less, more)
    ]  # fmt: skip
    assert inside[0].mean() - inside[1].mean() > 25
    assert inside[0].std() > 15 > 5 > inside[1].std()


def test_it_says_what_it_shows_and_follows_the_ink_of_the_page() -> None:
    account, spread = settled("dearer")
    said = describe_causes(account, account.parts, spread)
    at = [said.index(f"{cause} ") for cause in account.parts]
    assert at == sorted(at)
    assert f"as it was {account.agreed.job.formats.money(account.spent)}" in said
    drawing = page_svg(draw_causes(account, account.parts, spread), "causes", said)
    assert said in drawing
    assert set(re.findall(r"#[0-9a-f]{6}\b", drawing)) == {"#ffffff"}
