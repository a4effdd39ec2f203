"""A mix that shrinks: so much more is laid and bought that what stays is as thick as was asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo import coarse_demo

import mytakeoff as mt
from mytakeoff.job.catalogue import CEMENT_LIME, LIGHT_GYPSUM
from mytakeoff.job.edits import with_mix
from mytakeoff.job.mixing import dry_kg, site_mix


def test_by_hand():
    """186 l that stay of a mix that shrinks by a fiftieth: 189.8 l are laid, at 0.9 kg/l, a tenth wasted."""
    mix = replace(LIGHT_GYPSUM, density_kg_per_l=0.9, shrinkage_share=0.02)
    assert dry_kg(186, mix.kg_per_l, 0.1) == pytest.approx(186 / 0.98 * 0.9 * 1.1)


def test_none_moves_nothing():
    assert LIGHT_GYPSUM.shrinkage_share == 0
    assert LIGHT_GYPSUM.kg_per_l == LIGHT_GYPSUM.density_kg_per_l


@pytest.mark.parametrize("share", [-0.01, 0.31, 2.0, float("nan")])
def test_what_no_plaster_does_is_refused(share):
    with pytest.raises(mt.TakeoffError, match="shrinkage"):
        replace(LIGHT_GYPSUM, shrinkage_share=share)


def test_parts_of_a_site_mix_grow_alike():
    recipe = mt.Recipe(sand_parts=6)
    mix = replace(CEMENT_LIME, recipe=recipe)
    still, shrinks = (site_mix(replace(mix, shrinkage_share=share), 100.0, 0.1) for share in (0.0, 0.05))
    assert still is not None
    assert shrinks is not None
    assert shrinks.dry_kg == pytest.approx(still.dry_kg / 0.95)


def test_the_estimate_uses_it_and_says_so():
    job = coarse_demo()
    name = job.system.backing.name
    before, after = mt.evaluate(job), mt.evaluate(with_mix(job, name, shrinkage_share=0.2))
    need = {each.mix.name: each for each in after.needs}[name]
    was = {each.mix.name: each for each in before.needs}[name]
    assert need.litres == was.litres  # what stays is what was asked for
    assert need.dry_kg == pytest.approx(was.dry_kg / 0.8)
    assert need.bags > was.bags
    assert after.cost.total > before.cost.total
    (said,) = (line.basis for line in after.cost.lines if line.priced_as == name)
    assert "÷ 0.8 for shrinkage" in said
    assert not any("shrinkage" in line.basis for line in before.cost.lines)


def test_it_is_kept_with_the_job(tmp_path):
    job = with_mix(coarse_demo(), "flue lime", shrinkage_share=0.03)
    mt.save_job(job, tmp_path / "job")
    again = mt.open_job(tmp_path / "job")
    assert {mix.name: mix.shrinkage_share for mix in again.mixes}["flue lime"] == 0.03
