"""The picture of a learnt figure: what it draws, and that its words say the same."""

from __future__ import annotations

import math

import numpy as np
import pytest
from done_jobs import BACKING, done_job

from mytakeoff.charts.learning.before_after import draw_learnt, learnt_picture_words
from mytakeoff.formats.formats import HOUSE
from mytakeoff.formats.inches import NBSP
from mytakeoff.learning.learn import learn
from mytakeoff.learning.learnt import learnt_of
from mytakeoff.learning.priors import Evidence, Prior

LEARNT = learnt_of(
    Prior("mix density", BACKING, 0.8),
    [Evidence(f"job {nth}", value, 0.02) for nth, value in enumerate((0.84, 0.85, 0.86))],
)
SPOTS = learnt_of(Prior("high spots", "brick", 0.7), [Evidence("a", 4, area_m2=12.0)])


@pytest.mark.parametrize("learnt", [LEARNT, SPOTS, learnt_of(Prior("waste", "", 0.1), ())])
def test_both_curves_and_every_job_are_drawn(learnt):
    (axes,) = draw_learnt(learnt, HOUSE).axes
    curves = {line.get_label(): line for line in axes.lines}
    for label, belief in (("before", learnt.before), ("now", learnt.after)):
        x, y = curves[label].get_data()
        drawn = np.asarray(y) / np.max(y)
        dense = belief.density(np.asarray(x))
        assert drawn == pytest.approx(dense / dense.max())
    assert curves["jobs"].get_xdata() == pytest.approx([each.point for each in learnt.evidence])
    low, high = axes.get_xlim()
    assert all(low <= each.point <= high for each in learnt.evidence)
    assert low < learnt.value < high


def test_its_words_are_in_it():
    figure = draw_learnt(LEARNT, HOUSE, width_px=360)
    shown = " ".join(text.get_text().replace("\n", " ") for text in figure.texts)
    for sentence in learnt_picture_words(LEARNT, HOUSE):
        assert sentence.replace(NBSP, " ") in shown
    assert "job 0 0.84 kg/l" in shown


def test_all_words_are_on_the_sheet():
    for width_px in (320.0, 560.0):
        figure = draw_learnt(LEARNT, HOUSE, width_px=width_px)
        figure.draw_without_rendering()
        sheet = figure.bbox
        shown = [*figure.texts, *(label for axes in figure.axes for label in axes.get_xticklabels())]
        for text in shown:
            box = text.get_window_extent()
            assert sheet.x0 - 1 <= box.x0
            assert box.x1 <= sheet.x1 + 1
            assert sheet.y0 - 1 <= box.y0


def test_what_jobs_said_is_what_is_drawn():
    lessons = learn(done_job(nth, denser=1.1) for nth in (1, 2))
    density = lessons.named(f"mix density: {BACKING}")
    (axes,) = draw_learnt(density, HOUSE).axes
    assert any(math.isclose(line.get_xdata()[0], density.value) for line in axes.lines)
