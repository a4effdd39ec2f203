"""One line of an account: what each cause made of its difference, by hand and to the cent."""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations

from effort import examples
from hypothesis import given
from hypothesis import strategies as st

from mytakeoff.account.worth import (
    CAUSES,
    DENSITY,
    HOURS,
    PRICES,
    QUANTITIES,
    THICKNESS,
    WASTE,
    LineWorth,
    Powder,
)

D = Decimal


def test_thickness_and_price_by_hand():
    """10 bags at 2.00 became 12 at 3.00: two more at 2.50 on average, and 1.00 more for eleven on average."""
    powder = Powder((100.0, 120.0), (1.0, 1.0), (0.0, 0.0), 10.0)
    line = LineWorth((D(2), D(3)), (D(10), D(12)), D(12), powder=powder)
    assert (line.priced, line.spent) == (D("20.00"), D("36.00"))
    assert line.parts == {THICKNESS: D("5.00"), QUANTITIES: D("0.00"), PRICES: D("11.00")}


def test_density_and_waste_by_hand():
    """100 l at 1 kg/l without waste, 10 kg a bag at 1.00: 10.00. At 1.2 kg/l and 50 % of waste 18.00: the
    density alone makes 2.00 or, after the waste, 3.00; the waste 5.00 or 6.00."""
    powder = Powder((100.0, 100.0), (1.0, 1.2), (0.0, 0.5), 10.0)
    line = LineWorth((D(1), D(1)), (D(10), D(10)), D(18), powder=powder)
    assert line.parts == {DENSITY: D("2.50"), WASTE: D("5.50"), QUANTITIES: D("0.00")}
    assert line.in_order((DENSITY, WASTE, *(set(CAUSES) - {DENSITY, WASTE})))[WASTE] == D("6.00")


def test_what_was_bought_over_is_a_cause_of_its_own():
    """Ten bags are bought for 9.2; 9 are used where 8 were needed: one over, where 0.8 of one was priced."""
    powder = Powder((92.0, 80.0), (1.0, 1.0), (0.0, 0.0), 10.0)
    line = LineWorth((D(5), D(5)), (D(10), D(8)), D(9), powder=powder)
    assert line.parts == {THICKNESS: D("-6.00"), QUANTITIES: D("1.00")}


def test_hours_beyond_those_of_the_thickness():
    """20 h were priced, what is on the walls is priced with 22, 25 were worked: 2 and 3 at 30.00."""
    line = LineWorth((D(30), D(30)), (D(20), D(22)), D(25), cause=HOURS)
    assert line.parts == {THICKNESS: D("60.00"), HOURS: D("90.00")}


def test_a_line_as_priced_has_no_difference():
    line = LineWorth((D("3.333"), D("3.333")), (D("2.5"), D("2.5")), D("2.5"))
    assert set(line.parts.values()) == {D("0.00")}


figures = st.floats(0.1, 50.0)
money = st.decimals("0.001", "100", places=3)
quantity = st.decimals(0, 100, places=2)


@given(*(st.tuples(figures, figures) for _ in range(2)), st.tuples(st.floats(0, 0.8), st.floats(0, 0.8)),
       st.tuples(money, money), st.tuples(quantity, quantity), quantity, st.decimals(-9, 9, places=2),
       st.integers(0, 3))  # fmt: skip
@examples(150)
def test_parts_add_up_to_the_smallest_coin(litres, kg_per_l, waste, prices, priced, really, charge, places):
    for powder in (None, Powder(litres, kg_per_l, waste, 25.0)):
        line = LineWorth(prices, priced, really, charge, powder=powder, places=places)
        difference = line.spent - line.priced
        assert sum(line.parts.values()) == difference
        assert sum(line.in_order(CAUSES).values()) == difference
        assert all(part == round(part, places) for part in line.parts.values())


@given(st.tuples(figures, figures), st.tuples(money, money), st.tuples(quantity, quantity), quantity)
@examples(25)
def test_parts_are_the_mean_over_all_orders(litres, prices, priced, really):
    """To one coin: causes that cannot move a line are left out of the working."""
    line = LineWorth(prices, priced, really, powder=Powder(litres, (0.8, 0.9), (0.1, 0.05), 25.0))
    moving = [THICKNESS, DENSITY, WASTE, QUANTITIES, PRICES]
    orders = list(permutations(moving))
    for cause in CAUSES:
        told = sum(line.in_order(order)[cause] for order in orders) / len(orders) if cause in moving else 0
        assert abs(line.parts.get(cause, 0) - told) <= D("0.01")
