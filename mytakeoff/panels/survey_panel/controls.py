"""The controls of the survey panel: the wall, its file, what is said of a scan, where the profiles run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from mytakeoff.bounds import bounds_of
from mytakeoff.errors import Check, TakeoffError
from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.io.forms.desk import SurveyFile
from mytakeoff.job.backgrounds import BACKGROUND_NAMES
from mytakeoff.job.job import Job
from mytakeoff.panels.parts.bind import Quiet, labelled_list, number_box, offer, text_box, tick
from mytakeoff.panels.parts.boxes import NumberBox, Slider, numbers_in
from mytakeoff.panels.parts.fold import explained
from mytakeoff.panels.parts.html import element, problem
from mytakeoff.panels.parts.stock import make, set_shown
from mytakeoff.panels.parts.words import BY_LINE, SWEPT, TICK_WORDS
from mytakeoff.panels.survey_panel import pictures, words
from mytakeoff.panels.survey_panel.heading_controls import NAMES, HeadingControls
from mytakeoff.panels.survey_panel.words import AGAINST
from mytakeoff.scan.openings import is_gap
from mytakeoff.scan.orientation import UP
from mytakeoff.survey.said import ScanChoice
from mytakeoff.survey.wall import Opening, Wall
from mytakeoff.units import METRES

if TYPE_CHECKING:
    from mytakeoff.io.scan.found_wall import FoundWall

NEW_WALL = "a new wall"
NO_FILE = "no file chosen"
NOT_SAID = "not said yet"
BY_ITSELF = "found by itself"
LEFT = ""  # the choice left to the program: a list shows None as a blank, not as what it is called
LARGE = "Up to some 200 MB; put larger ones into the job folder and look again."
UNITS = {name: unit for unit, name in NAMES.items()}

BY_SCANNER = "The scanner was level: it levels itself, or was set by a level"


class LineControl(Quiet):
    """Where a profile runs: a slider and a box that move together, `value`, `widget`."""

    def __init__(self, name: str, label: str, length_m: float, formats: Formats = HOUSE) -> None:
        middle = length_m / 2
        self.slider = make(
            Slider,
            min=0.0, max=length_m, value=middle, step=0.05, continuous_update=False, css=f"mt-{name}",
        )  # fmt: skip
        self.box = make(NumberBox, unit="m", formats=formats, value=middle, description=label, css="mt-box")
        self.told = make(widgets.HTML, css="mt-told")
        self.slider.observe(self._show, "value")
        self.box.observe(self._typed, "value")
        self.widget = make(widgets.HBox, [self.slider, self.box, self.told], css="mt-row")

    def _show(self, _: Any = None) -> None:
        with self.quietly():
            self.box.value = self.value
        self.told.value = ""

    def _typed(self, _: Any) -> None:
        """Let it run where the box says; what cannot be stays there, told under it."""
        if self._busy:
            return
        try:
            (at_m,) = numbers_in(self.box)
            self._check(at_m)
        except TakeoffError as error:
            self.box.mark(True)
            self.told.value = problem(str(error))
        else:
            self.slider.value = at_m
            self.told.value = ""

    def _check(self, at_m: float) -> None:
        check, formats, most = Check(self.box.description), self.box.formats, self.slider.max
        rule = f"the wall reaches from 0 to {formats.length(most)}"
        check.that(0 <= at_m <= most, formats.length(at_m), rule, "type a place on it")
        check.done()

    @property
    def value(self) -> float:
        """Where it runs [m]."""
        return float(self.slider.value)

    def fit(self, length_m: float) -> None:
        """Let it run along another length; where it stood beyond that, it goes to the middle."""
        if self.slider.max != length_m:
            inside = self.value <= length_m
            self.slider.max = length_m
            if not inside:
                self.slider.value = round(length_m / 2, 2)


class WallControls:
    """Which wall, its outline and what it is made of."""

    def __init__(self, job: Job) -> None:
        self.pick = labelled_list("wall", "Wall", [*(wall.name for wall in job.walls), NEW_WALL])
        self.name = text_box("name", "Its name", continuous_update=False)
        rooms = [room.name for room in job.rooms]
        self.room = labelled_list("room", "Room", rooms)
        self.background = labelled_list("background", "Made of", list(BACKGROUND_NAMES), BACKGROUND_NAMES[0])
        bounds = bounds_of(Wall)
        self.width, self.height = (
            number_box(
                name,
                f"{name.capitalize()}, m",
                unit="m",
                formats=job.formats,
                holds=bounds[f"{name}_m"].holds,
            )
            for name in ("width", "height")
        )
        self.watched = (self.name, self.room, self.background, self.width, self.height)
        self.widget = make(widgets.VBox, [self.pick, *self.watched])

    def as_typed(self, wall: Wall, openings: Sequence[Opening]) -> Wall:
        """A wall as the boxes have it.

        Raises
        ------
        TakeoffError
            A size that is none, or what `Wall` refuses.
        """
        width_m, height_m = numbers_in(self.width, self.height)
        return replace(
            wall,
            name=self.name.value.strip(),
            width_m=width_m,
            height_m=height_m,
            openings=tuple(openings),
        )

    def offer_walls(self, job: Job, name: str) -> None:
        """List the job's walls and rooms, the wall of that name chosen; "" for a new one."""
        offer(self.pick, [*(wall.name for wall in job.walls), NEW_WALL], name or NEW_WALL)
        offer(self.room, [room.name for room in job.rooms])


class FileControls:
    """Which file, and what it was measured off."""

    def __init__(self) -> None:
        self.pick = labelled_list("file", "File in the job folder", [NO_FILE], NO_FILE)
        self.look = make(widgets.Button, description="Look for files again", css="mt-look")
        bring = "Bring a file from this device"
        self.bring = make(widgets.FileUpload, description=bring, multiple=False, css="mt-bring")
        self.hint = make(
            widgets.HTML,
            element("p", LARGE, css="mt-hint"),
        )
        self.plumb = tick("plumb", BY_LINE, True)
        self.swept = tick("swept", SWEPT)
        self.same_plane = tick(
            "same_plane", "The high spots and the corner below were measured from the same line", True
        )
        self.headings = HeadingControls()
        self.watched = (self.plumb, self.swept, *self.headings.watched)
        words = explained(TICK_WORDS, "What these ticks say")
        rest = (self.headings.widget, self.plumb, self.swept, self.same_plane, words)
        self.widget = make(widgets.VBox, [self.pick, self.look, self.bring, self.hint, *rest])

    def say_plumb(self, scanned: bool) -> None:
        """Ask for what made it plumb: a scan is measured from no line."""
        self.plumb.description = BY_SCANNER if scanned else BY_LINE

    def plumb_of(self, file: SurveyFile, before: SurveyFile | None, said: bool | None) -> bool:
        """Whether a file that was just picked is plumb: as was said of it, a scan not before that."""
        after_scan = before is not None and before.scan
        return said if said is not None else not file.scan and (after_scan or bool(self.plumb.value))

    def offer(self, names: Sequence[str], chosen: str) -> None:
        """Offer these files, one of them chosen."""
        options = [NO_FILE, *names, *([chosen] if chosen and chosen not in names else [])]
        if list(self.pick.options) != options:
            self.pick.options = options
        self.pick.value = chosen or NO_FILE


class ScanControls:
    """What the user says about a scan; hidden where the file is none.

    Attributes
    ----------
    proposed : tuple of Opening
        Those found that can be doors or windows.
    """

    def __init__(self) -> None:
        self.unit = labelled_list("unit", "Its numbers are in", [(NOT_SAID, LEFT), *UNITS.items()], LEFT)
        self.guess = make(widgets.HTML)
        self.up = labelled_list("up", "Up is", [(BY_ITSELF, LEFT), *((axis, axis) for axis in UP)], LEFT)
        self.ways = make(widgets.HTML)
        self.found = labelled_list("found", "Which of its walls", [("the largest", 1)], 1)
        self.other_side = tick("other_side", "Seen from the other side")
        self.bow_out = tick("bow_out", "Take out the bow that the instrument makes on all its walls")
        self.accept = make(widgets.Button, description="Take over the openings found", css="mt-accept")
        self.proposed: tuple[Opening, ...] = ()
        self.gaps = make(widgets.HTML)
        self.watched = (self.unit, self.up, self.found, self.other_side, self.bow_out)
        self.widget = make(
            widgets.VBox,
            [
                self.unit,
                self.guess,
                self.up,
                self.ways,
                self.found,
                self.other_side,
                self.bow_out,
                self.accept,
                self.gaps,
            ],
        )

    @property
    def choice(self) -> ScanChoice:
        """What was said."""
        return ScanChoice(
            self.unit.value or None,
            self.up.value or None,
            self.found.value,
            self.other_side.value,
            self.bow_out.value,
        )

    def show(self, choice: ScanChoice) -> None:
        """Show what was said before."""
        _name_left(self.unit, NOT_SAID, choice.unit)
        _name_left(self.up, BY_ITSELF, choice.up)
        self.ways.value = ""
        if choice.found and choice.found not in dict(self.found.options).values():
            self.found.options = [(f"number {choice.found}", choice.found)]
        self.found.value = choice.found or self.found.options[0][1]
        self.other_side.value, self.bow_out.value = choice.other_side, choice.bow_out
        self.offer_bow(0.0)

    def offer_bow(self, bow_mm: float) -> None:
        """Offer to take a bow out where the scan may have one of the instrument's, or where it was [mm]."""
        set_shown(self.bow_out, self.bow_out.value or bow_mm > 0)

    def list_ways(self, ways: Sequence[FoundWall], formats: Formats, found: str = "") -> None:
        """Ask which way is up where nothing tells, with the wall that comes of each, or say it."""
        sizes = {one.up: f"{one.up}: {words.size(one.wall, formats)}" for one in ways}
        left = NOT_SAID if ways else f"{BY_ITSELF}: {found}" if found else BY_ITSELF
        chosen = self.up.value
        self.up.options = [(left, LEFT), *((sizes.get(axis, axis), axis) for axis in UP)]
        self.up.value = chosen
        self.ways.value = pictures.ways_up(ways, formats)

    def list_walls(self, walls: Sequence[FoundWall], chosen: int | None, formats: Formats) -> None:
        """List the walls found, the largest first."""
        self.found.options = [(_listed(nth, wall, formats), nth) for nth, wall in enumerate(walls, start=1)]
        self.found.value = min(chosen or 1, len(walls))
        name, said = _called(walls[0].unit_guess), self.unit.value
        laid_down = "" if said else walls[0].cloud.unit
        left = (
            f"laid down by the file: {_called(laid_down)}" if laid_down else f"{NOT_SAID}: looks like {name}"
        )
        _name_left(self.unit, left, said)
        self.guess.value = (
            ""
            if said or laid_down
            else element("p", f"By its size it looks like {name}: say so, or another.", css="mt-hint")
        )
        openings = walls[self.found.value - 1].openings
        self.proposed = tuple(one for one in openings if not is_gap(one))
        self.accept.description = f"Take over the openings found ({len(self.proposed)})"
        self.accept.disabled = not self.proposed
        gaps = [words.gap(one, formats) for one in openings if is_gap(one)]
        none = f"No door or window by its size, and not taken over: {'; '.join(gaps)}."
        self.gaps.value = element("p", none, css="mt-hint") if gaps else ""


def _called(unit: str) -> str:
    return next(name for name, each in UNITS.items() if each == unit)


def _name_left(box: Any, name: str, chosen: str | None) -> None:
    """Choose one of a list whose first is left to the program, and say there what was found."""
    box.options = [(name, LEFT), *box.options[1:]]
    box.value = chosen or LEFT


def _listed(nth: int, wall: FoundWall, formats: Formats) -> str:
    seen = formats.number(wall.area_m2, 1)
    return f"{nth}: {words.size(wall.wall, formats)}, {seen} m² seen"


def against_list() -> Any:
    """What the wall is compared with."""
    return labelled_list("against", "Compare it with", list(AGAINST.items()), "true")


assert set(UNITS.values()) == set(METRES)  # every unit of a scan can be said
