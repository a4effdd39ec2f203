"""Taking high spots down: how the search for the cheapest plane behaves."""

from __future__ import annotations

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.plane.cut_path import Overfill


@pytest.mark.parametrize("rule", [{"plumb": False}, {}, {"turn_mm_per_m": 0.0}])
def test_a_true_wall_is_answered_at_once(monkeypatch: pytest.MonkeyPatch, rule: dict[str, float]) -> None:
    """A wall that is an exact plane offers planes of equal cost without end; looking at a few must do."""
    tried = []
    plain = Overfill.at

    def counted(cost: Overfill, plane: np.ndarray) -> tuple[float, np.ndarray]:
        tried.append(plane)
        return plain(cost, plane)

    monkeypatch.setattr(Overfill, "at", counted)
    wall = mt.Wall("true", 4.2, 2.6)
    survey = mt.Survey.from_readings(wall, [0, 4.2, 0, 4.2], [0, 0, 2.6, 2.6], [0.0, 2.0, 5.0, 7.0])
    surface = mt.grid_surface(survey)
    plane_rule = mt.PlaneRule(cut_mm=1.0, **rule)
    build_up = mt.full_coat(surface, mt.target_plane(surface, plane_rule), plane_rule)
    assert len(tried) < 40
    assert float(np.nanmin(build_up.thickness_mm)) >= plane_rule.least_mm - 1e-9
    if rule == {"plumb": False}:
        assert build_up.volume_l == pytest.approx(plane_rule.least_mm * build_up.area_m2)
        assert build_up.cut_l == pytest.approx(0.0, abs=1e-6)
