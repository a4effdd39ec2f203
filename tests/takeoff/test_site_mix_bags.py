"""Bags of what a site mix is made of: what goes over a bag comes out of the waste, if there is so much."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest
from hand import SITE_MIX, one_wall

import mytakeoff as mt
from mytakeoff.job.catalogue import CEMENT
from mytakeoff.job.mixing import RecipeNeed
from mytakeoff.measure.materials import MixNeed
from mytakeoff.takeoff.material_lines import mix_lines


@pytest.mark.parametrize(
    ("waste_share", "bags"),
    [
        # 25.4 kg of cement in bags of 25 kg: 0.4 kg over, less than the 0.5 kg (2 %) not worth a bag
        # Of 102 parts 2 do not stay on the wall: 25.4 × 2 / 102 = 0.498 kg, enough for it
        (0.02, 1),
        # 25.4 × 1.5 / 101.5 = 0.375 kg are not
        (0.015, 2),
    ],
)
def test_no_more_comes_out_of_the_waste_of_cement_than_there_is(waste_share, bags):
    job, _ = one_wall(system=mt.System(SITE_MIX))
    assert (job.bag_slack_share, SITE_MIX.bag_kg) == (0.02, 25)
    parts = RecipeNeed(0.02, 0.02, 0.12, 25.4, 11.0, 180.0)
    need = MixNeed(SITE_MIX, 110.0, 0.0, parts.dry_kg, 0, 0.0, 30.0, parts, waste_share)
    cement = next(line for line in mix_lines(job, [need], Counter()) if line.item == CEMENT)
    assert cement.quantity == Decimal(bags)
