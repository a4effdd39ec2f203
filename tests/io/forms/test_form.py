"""Survey forms: written for the walls of a job, filled in, and read back as surveys."""

from __future__ import annotations

import re
import shutil
from html.parser import HTMLParser
from pathlib import Path

import pytest
from demo import copy_of_demo

from mytakeoff import TakeoffError, open_job, read_survey
from mytakeoff.io.forms.form import walls_of, write_forms
from mytakeoff.launch.command import main
from mytakeoff.survey.reading_grid import form_grid


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_of_demo(tmp_path)


def filled(path: Path, proud_mm, mark: str = ",") -> str:
    """The form with each empty cell filled by a function of x and z, with decimal commas."""
    head, *lines = path.read_text(encoding="utf-8-sig").splitlines()[1:]
    below = lines.index("")
    lines, found = lines[:below], lines[below:]
    x_m = [int(cell) / 100 for cell in head.split(";")[1:]]
    done = ["sep=;", head]
    for line in lines:
        first, *cells = line.split(";")
        read = [f"{-proud_mm(at, int(first) / 100):.1f}".replace(".", mark) for at in x_m]
        done.append(";".join([first, *(cell or value for cell, value in zip(cells, read, strict=True))]))
    return "\r\n".join([*done, *found])


def test_a_form_that_is_filled_in_is_read_back(folder):
    for wall in open_job(folder).walls:
        sheet = next(path for path in write_forms(folder, wall.name) if path.suffix == ".csv")
        text = filled(sheet, lambda x, z: 2.0 * x - 31.5 + z)
        sheet.write_text(text, encoding="utf-8")
        survey = read_survey(sheet, wall.wall)
        # an online sheet keeps the first line as a row and gives the file out with its own separator
        sheet.write_text(text.replace(";", "\t").replace("sep=\t", "sep=;\t\t"), encoding="utf-16")
        assert read_survey(sheet, wall.wall).proud_mm.tolist() == survey.proud_mm.tolist()
        assert survey.layout == "grid"
        assert survey.proud_mm.size == form_grid(wall.wall).count
        want = 2.0 * survey.x_m - 31.5 + survey.z_m
        assert abs(survey.proud_mm - want).max() <= 0.051


def test_forms_need_no_survey_yet(folder):
    shutil.rmtree(folder / "surveys")
    made = write_forms(folder)
    assert len(made) == 2 * len(walls_of(folder))
    assert {path.parent.name for path in made} == {"forms"}


class Page(HTMLParser):
    """What the page asks for, and how its boxes are called."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.outside: list[str] = []
        self.boxes: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        said = dict(attrs)
        self.outside += [said[key] for key in ("src", "href", "action") if key in said]
        if "data-walk" in said:
            self.boxes.append(said["aria-label"])


def test_the_page_stands_alone_and_has_a_box_for_each_place(folder):
    wall = open_job(folder).wall("window wall").wall
    text = next(path for path in write_forms(folder, wall.name) if path.suffix == ".html").read_text("utf-8")
    page = Page(text)
    assert page.outside == []
    assert re.findall(r"https?://", text) == []
    assert len(page.boxes) == len(set(page.boxes)) == form_grid(wall).count


def test_a_name_from_the_file_runs_nothing(folder):
    bad = "</script><script>alert(1)</script>=x"
    text = (folder / "job.toml").read_text(encoding="utf-8")
    (folder / "job.toml").write_text(text.replace('"window wall"', f'"{bad}"'), encoding="utf-8")
    page, sheet = write_forms(folder, bad)
    assert "<script>alert" not in page.read_text(encoding="utf-8")
    assert sheet.parent == folder / "forms"
    assert not re.search(r"(^|;)[=+@]", sheet.read_text(encoding="utf-8-sig"), re.MULTILINE)


def test_a_form_that_is_filled_in_is_never_written_over(folder):
    *_, sheet = write_forms(folder, "window wall")
    write_forms(folder, "window wall", 0.25)  # blank ones are
    sheet.write_text(sheet.read_text("utf-8").replace(";;", ";12;", 1), encoding="utf-8")
    before = sheet.read_bytes()
    with pytest.raises(TakeoffError, match="1 entries in it already"):
        write_forms(folder, "window wall")
    assert sheet.read_bytes() == before


def test_the_command(folder, capsys):
    assert main(["form", str(folder), "--wall", "window wall"]) == 0
    assert "window-wall.html" in capsys.readouterr().out
    for wrong, words in ((["--wall", "attic"], "choose from 'party wall'"), (["--step", "9"], "9 m")):
        assert main(["form", str(folder), *wrong]) == 2
        assert words in capsys.readouterr().err
    assert main(["form", str(folder / "none")]) == 2


def test_two_walls_whose_names_make_one_file_name(folder):
    text = (folder / "job.toml").read_text(encoding="utf-8")
    text = text.replace('"window wall"', '"breast, front"', 1).replace(
        'wall = "window wall"', 'wall = "party wall"'
    )
    (folder / "job.toml").write_text(text, encoding="utf-8")
    made = write_forms(folder)
    assert len(set(made)) == len(made) == 2 * len(walls_of(folder))
