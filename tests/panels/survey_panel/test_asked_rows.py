"""What stands off the wall, on the survey panel: named, left out or kept with one button each."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from clouds import rectangle, write_ply
from demo import demo_in

import mytakeoff as mt
from mytakeoff.panels import SurveyPanel, survey


def sheet(reading: str) -> bytes:
    """A field grid of 30 readings of 30 or 31 mm, one of them another."""
    rows = [[f"{2.4 - 0.5 * up:g}", *(str(30 + (up + across) % 2) for across in range(6))] for up in range(5)]
    rows[2][3] = reading
    head = ["off_line_mm", *(f"{0.2 + 0.5 * across:g}" for across in range(6))]
    return "\n".join(",".join(row) for row in (head, *rows)).encode()


@pytest.fixture
def panel(folder: Path) -> SurveyPanel:
    return survey(demo_in(folder))


def bring(panel: SurveyPanel, name: str, content: bytes, width: float = 3.0, height: float = 2.5) -> None:
    panel.wall.pick.value = "a new wall"
    panel.wall.name.value, panel.wall.width.value, panel.wall.height.value = "hall", width, height
    panel.bring(name, content)


def rows(panel: SurveyPanel) -> list[str]:
    """What the rows say."""
    shown = (row for row in panel.view.asked.rows if row.place is not None)
    return [re.sub("<[^>]*>", "", row.words.value) for row in shown]


def litres(text: str) -> tuple[float, float]:
    """Those with it and without it."""
    found = re.search(r"takes ([\d\u202f]+) l with it, ([\d\u202f]+) l without it", text)
    assert found is not None
    return float(found[1].replace("\u202f", "")), float(found[2].replace("\u202f", ""))


def test_a_wall_without_such_places_shows_no_rows(panel: SurveyPanel) -> None:
    assert rows(panel) == []
    assert panel.view.asked.widget.layout.display == "none"


@pytest.mark.parametrize(("reading", "says", "asks"), [
    ("-19", "50 mm proud of what is 60 cm around it, at x 1.20 m, z 1.40 m", "in front of the wall?"),
    ("400", "370 mm behind what is 60 cm around it, at x 1.20 m, z 1.40 m", "a slip in reading or writing?"),
])  # fmt: skip
def test_one_reading_is_asked_left_out_and_kept_again(
    panel: SurveyPanel, folder: Path, reading: str, says: str, asks: str
) -> None:
    bring(panel, "hall.csv", sheet(reading))
    (asked,) = rows(panel)
    assert asked.startswith(f"S1 {says}")
    assert asks in asked
    with_it, without = litres(asked)
    assert without < 0.7 * with_it
    assert "S1: " in panel.map.value
    assert panel.facts.value.count("around it") == 0  # its row says so
    panel.view.asked.rows[0].out.click()
    (out,) = rows(panel)
    assert "It is left out, as you said." in out
    assert asks not in out
    assert litres(out) == (with_it, without)
    assert "S1: " in panel.map.value
    panel.save()
    assert [one.said for one in mt.open_job(folder).wall("hall").survey.said] == ["left out"]
    panel.view.asked.rows[0].keep.click()
    assert "It counts, as you said." in rows(panel)[0]
    panel.save()
    assert [one.said for one in mt.open_job(folder).wall("hall").survey.said] == ["plaster"]
    opened = survey(mt.open_job(folder))
    opened.wall.pick.value = "hall"
    assert "It counts, as you said." in rows(opened)[0]


def test_another_file_takes_the_answers_with_it(panel: SurveyPanel) -> None:
    bring(panel, "hall.csv", sheet("-19"))
    panel.view.asked.rows[0].out.click()
    panel.bring("other.csv", sheet("30"))
    assert rows(panel) == []
    assert panel.found.said == ()


def scan(path: Path, depth_m: float, width_m: float) -> bytes:
    """A wall of 4 by 2.6 m with a box before it, seen from the origin's side."""
    random = np.random.default_rng(4)
    wall = rectangle(random, (-2, 3, 0), (4, 0, 0), (0, 0, 2.6), 2000)
    hidden = (np.abs(wall[:, 0]) < width_m / 2) & (np.abs(wall[:, 2] - 1.3) < 0.7)
    wall[hidden, 1] -= depth_m
    wall[:, 1] += random.normal(0, 0.001, len(wall))
    return write_ply(path, wall).read_bytes()


def test_a_scans_furniture_is_left_out_and_can_be_kept(
    panel: SurveyPanel, folder: Path, tmp_path: Path
) -> None:
    bring(panel, "box.ply", scan(tmp_path / "box.ply", 0.04, 0.8), 4.0, 2.6)
    panel.scan.unit.value, panel.file.plumb.value = "m", True
    (told,) = rows(panel)
    assert re.match(r"S1 4\d mm proud of what is 10 cm around it", told)
    assert "It is left out." in told
    with_it, without = litres(told)
    assert without < 0.6 * with_it
    assert panel.survey is not None
    points = panel.survey.x_m.size
    panel.view.asked.rows[0].keep.click()
    assert "It counts, as you said." in rows(panel)[0]
    assert panel.survey.x_m.size > points
    panel.save()
    assert [one.said for one in mt.open_job(folder).wall("hall").survey.said] == ["plaster"]


def test_too_much_is_asked_before_it_is_saved(panel: SurveyPanel, folder: Path, tmp_path: Path) -> None:
    bring(panel, "box.ply", scan(tmp_path / "box.ply", 0.04, 1.6), 4.0, 2.6)
    panel.scan.unit.value, panel.file.plumb.value = "m", True
    (asked,) = rows(panel)
    assert "or something in front of the wall? It counts." in asked
    with pytest.raises(mt.TakeoffError, match="so much of a wall is not left out without being asked"):
        panel.save()
    panel.view.asked.rows[0].out.click()
    assert "It is left out, as you said." in rows(panel)[0]
    panel.save()
    saved = mt.open_job(folder).wall("hall").survey
    assert saved.stood_off[0].left_out
    assert saved == mt.evaluate(mt.open_job(folder)).walls[-1].entry.survey


def hollow_rows(panel: SurveyPanel) -> list[str]:
    """What the rows of readings in hollows say."""
    shown = (row for row in panel.view.hollows.rows if row.reading is not None)
    return [re.sub("<[^>]*>", "", row.words.value) for row in shown]


def test_readings_in_hollows_are_shown_and_can_be_changed(panel: SurveyPanel, folder: Path) -> None:
    bring(panel, "hall.csv", sheet("44"))
    assert rows(panel) == []  # as deep as plaster is thick: nothing is asked
    assert hollow_rows(panel) == ["D1 44 mm off the line at x 1.20 m, z 1.40 m: in a hollow"]
    assert panel.view.hollows.widget.head.title == "Readings in hollows (1)"
    assert "D1: 44 mm off the line" in panel.map.value
    first = panel.view.hollows.rows[0]
    assert first.turn.description == "Call D1 sound"
    first.turn.click()
    assert hollow_rows(panel)[0].endswith(": on the sound face, as you said")
    assert panel.view.hollows.widget.head.title == "Readings in hollows (none)"
    assert panel.view.hollows.take.disabled  # until a reading is picked
    panel.view.hollows.pick.value = (0.2, 2.4)
    panel.view.hollows.take.click()
    told = [row.split(": ")[1] for row in hollow_rows(panel)]
    assert sorted(told) == ["in a hollow, as you said", "on the sound face, as you said"]
    panel.save()
    said = mt.open_job(folder).wall("hall").survey.said
    assert {(one.x_m, one.z_m, one.said) for one in said} == {(1.2, 1.4, "sound"), (0.2, 2.4, "hollow")}
    hollow = next(row for row in panel.view.hollows.rows if row.reading and row.reading.hollow)
    hollow.turn.click()  # and back
    assert [row.split(": ")[1] for row in hollow_rows(panel)] == ["on the sound face, as you said"] * 2


def test_a_reading_that_is_asked_of_has_one_row_and_one_mark(panel: SurveyPanel) -> None:
    bring(panel, "hall.csv", sheet("400"))
    assert [row[:2] for row in rows(panel)] == ["S1"]
    assert hollow_rows(panel) == []
    assert "in a hollow" not in panel.map.value


def test_a_scan_has_no_readings_to_call_hollow(panel: SurveyPanel, tmp_path: Path) -> None:
    bring(panel, "box.ply", scan(tmp_path / "box.ply", 0.0, 0.8), 4.0, 2.6)
    panel.scan.unit.value, panel.file.plumb.value = "m", True
    assert panel.survey is not None
    assert hollow_rows(panel) == []
    assert panel.view.hollows.widget.layout.display == "none"
