"""The live map's kernel side."""

from __future__ import annotations

import ipywidgets as widgets
import numpy as np
import pytest

from mytakeoff.charts.drawing.frame import large_frame, narrow_frame, wide_frame
from mytakeoff.charts.maps.coat_edges import CoatDepths
from mytakeoff.panels.wall_map.map import ThicknessMap
from mytakeoff.survey.wall import Opening, Wall

WALL = Wall("east", 4.0, 2.0, openings=(Opening("hatch", 1.0, 0.5, 0.5, 1.0),))
OTHER = Wall("west", 3.0, 2.0)
SYNCED = set(ThicknessMap().keys)


def wedge(wall: Wall = WALL, per_m: float = 10.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    x_m, z_m = (np.arange(80) + 0.5) * wall.width_m / 80, (np.arange(40) + 0.5) * wall.height_m / 40
    thickness = np.tile(per_m * x_m, (40, 1))
    thickness[-4:, -4:] = np.nan
    return x_m, z_m, thickness


def sent(view: ThicknessMap, act) -> set[str]:
    """Names of the synced traits that an act changes."""
    names: set[str] = set()
    view.observe(lambda change: names.add(change["name"]), names=list(SYNCED))
    act()
    view.unobserve_all()
    return names


def test_the_browser_gets_the_thickness_to_a_hundredth():
    x_m, z_m, thickness = wedge()
    view = ThicknessMap()
    view.show(WALL, x_m, z_m, thickness)
    codes = np.frombuffer(view.field, dtype="<u2").reshape(view.rows, view.columns)
    known = ~np.isnan(thickness)
    assert np.abs((codes - 1.0) * view.step_mm - thickness)[known].max() <= 0.005 + 1e-9
    assert ((codes > 0) == known).all()
    assert np.frombuffer(view.mask, dtype=np.uint8).reshape(40, 80)[-1, -1] == 1
    assert view.extent_m == pytest.approx([0, 4, 0, 2], abs=1e-9)


def test_only_what_differs_is_sent():
    x_m, z_m, thickness = wedge()
    view = ThicknessMap()
    show = lambda field, **more: lambda: view.show(WALL, x_m, z_m, field, coats=CoatDepths(12), **more)  # noqa: E731
    assert {"field", "mask", "frames", "max_coat_mm", "description"} <= sent(view, show(thickness))
    assert sent(view, show(thickness)) == set()
    assert sent(view, show(thickness.copy())) == set()
    assert sent(view, lambda: view.show(WALL, x_m, z_m, thickness, coats=CoatDepths(15))) == {"max_coat_mm"}
    assert sent(view, lambda: view.show(WALL, x_m, z_m, thickness + 1, coats=CoatDepths(15))) == {
        "field",
        "description",
    }
    assert sent(view, lambda: view.show(WALL, x_m, z_m, thickness + 1, description="words")) == {
        "description"
    }


def test_the_scale_stays_while_the_wall_stays():
    x_m, z_m, thickness = wedge()
    view = ThicknessMap()
    view.show(WALL, x_m, z_m, thickness)
    assert view.ramp_top_mm == 40.0
    view.show(WALL, x_m, z_m, thickness + 30)
    assert view.ramp_top_mm == 40.0
    view.show(WALL, x_m, z_m, thickness + 30, ramp_top_mm=80.0)
    assert view.ramp_top_mm == 80.0
    view.show(OTHER, *wedge(OTHER))
    assert view.ramp_top_mm == 30.0
    assert (view.width_m, view.openings) == (3.0, [])


def test_frames_are_those_of_paper():
    view = ThicknessMap()
    view.show(WALL, *wedge())
    frames = (large_frame(WALL, 40.0), wide_frame(WALL, 40.0), narrow_frame(WALL, 40.0))
    for sent_frame, frame in zip(view.frames, frames, strict=True):
        assert sent_frame["box"] == list(frame.box)
        assert (sent_frame["width_px"], sent_frame["height_px"]) == (frame.width_px, frame.height_px)
    assert [one["from_px"] for one in view.frames] == [740, 500, 0]
    assert view.openings == [["hatch", 1.0, 0.5, 0.5, 1.0]]


def test_the_control_travels_as_a_reference():
    slider = widgets.FloatSlider()
    view = ThicknessMap(edge_control=slider)
    assert view.get_state()["edge_control"] == f"IPY_MODEL_{slider.model_id}"
    view.edge_control = None
    assert view.get_state()["edge_control"] is None


def test_a_new_picture_ends_the_updating_mark():
    view = ThicknessMap()
    view.show(WALL, *wedge())
    view.updating = True
    view.show(WALL, *wedge())
    assert not view.updating


def test_the_text_says_the_same_unless_told_otherwise():
    view = ThicknessMap()
    view.show(WALL, *wedge(), touches=[("A", 0.1, 0.2)])
    assert "wall east" in view.label
    assert "A at x 0.10 m, z 0.20 m" in view.description
    assert view.touches == [["A", 0.1, 0.2]]


def test_nothing_is_left_behind_after_200_pictures():
    from ipywidgets.widgets.widget import _instances
    from matplotlib import pyplot

    view = ThicknessMap()
    view.show(WALL, *wedge())
    before = len(_instances)
    x_m, z_m, thickness = wedge()
    for index in range(200):
        view.show(WALL, x_m, z_m, thickness + index % 7, coats=CoatDepths(10 + index % 5))
    assert len(_instances) == before
    assert pyplot.get_fignums() == []
