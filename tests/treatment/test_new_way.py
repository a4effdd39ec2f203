"""A new way to treat a wall is one module and one line: everything else takes it from there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from option_jobs import FALLEN, amounts, demo_job, flat_job
from render_evenly import COAT_MM, RENDER

import mytakeoff as mt
from mytakeoff.options.compare import carry, option_result, options_of
from mytakeoff.options.table import options_frame
from mytakeoff.panels.options_panel.own import OwnOptions
from mytakeoff.store import Store
from mytakeoff.treatment.ways import WAYS, way_of

OFFERED = RENDER.offered


@pytest.fixture
def _registered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(WAYS, OFFERED.kind, RENDER)


@pytest.mark.usefixtures("_registered")
class TestANewWay:
    def test_the_demo_job_is_treated_and_priced(self) -> None:
        job = replace(demo_job(), treatment=OFFERED)
        result = mt.evaluate(job)
        for wall in result.walls:
            holes_l = sum(patch.volume_l for patch in wall.patches)
            even_mm = COAT_MM + wall.system.finish_mm
            assert wall.build_up.volume_l == pytest.approx(wall.build_up.area_m2 * even_mm + holes_l)
            assert sum(layer.volume_l for layer in wall.layers) == pytest.approx(wall.build_up.volume_l)
        assert 0 < result.cost.total == sum(result.cost.to_frame()["amount"])
        assert mt.work_programme(result, date(2027, 3, 1)).paint_date > date(2027, 3, 1)

    def test_by_hand(self) -> None:
        """7.2 m² at 12 and 2 mm; a hole of 0.8 m², 20 mm deep, is 16 l: 91 kg of backing, four bags of 25 kg.

        86.4 l × 0.8 kg/l × 1.1 and 16 l × 0.8 kg/l × 1.2; 0.5 and 0.3 h/m²; 0.5 h a patch and 1 h/m²,
        0.1 h/m² more for its second coat: 20 mm go on in coats of 15 at most.
        """
        job = flat_job(loose=(FALLEN,))
        assert option_result(job, OFFERED).litres == pytest.approx(7.2 * 14.0 + 16.0)
        found = amounts(job, OFFERED)
        assert found["light gypsum backing"] == 4
        assert found["plasterer: float backing"] == Decimal("3.6")
        assert found["plasterer: finish coat"] == Decimal("2.16")
        assert found["plasterer: patches"] == Decimal("1.38")

    def test_it_stands_among_the_options_and_is_carried_to_the_budget(self) -> None:
        job = replace(demo_job(), only=("window wall",))
        assert OFFERED in options_of(job)
        option = next(each for each in mt.compare(job) if each.name == OFFERED.name)
        assert isinstance(option, mt.OptionResult)
        assert mt.evaluate(carry(job, OFFERED)).cost.total == option.total
        assert OFFERED.name in options_frame([option]).to_csv()

    def test_it_is_offered_for_options_of_one_s_own(self) -> None:
        store = Store(flat_job())
        own = OwnOptions(store, lambda error: None)
        own.name.value, own.kind.value = "like the garage", OFFERED.kind
        assert own.add()
        assert store.job.treatments == (replace(OFFERED, name="like the garage"),)

    def test_it_is_saved_and_opened_again(self, tmp_path: Path) -> None:
        job = replace(demo_job(), treatment=OFFERED, treatments=(replace(OFFERED, name="my own"),))
        mt.save_job(job, tmp_path / "job")
        again = mt.open_job(tmp_path / "job")
        assert (again.treatment, again.treatments) == (job.treatment, job.treatments)
        assert mt.evaluate(again).cost.total == mt.evaluate(job).cost.total


def test_a_way_that_is_not_known_is_refused_with_its_place(tmp_path: Path) -> None:
    job = replace(flat_job(), treatment=replace(OFFERED, kind="float plump"))
    with pytest.raises(mt.TakeoffError, match=r"'float plump'.*write 'float plumb'"):
        mt.evaluate(job)
    with pytest.raises(mt.TakeoffError, match="choose from 'as it is'"):
        way_of(OFFERED)
    mt.save_job(replace(job, treatment=replace(OFFERED, kind="float plumb")), tmp_path / "job")
    file = tmp_path / "job" / "job.toml"
    file.write_text(file.read_text().replace('"float plumb"', '"float plump"'))
    with pytest.raises(mt.TakeoffError, match=r'treatment, kind.*"patch what has fallen" or.*"float plumb"'):
        mt.open_job(tmp_path / "job")
