"""Whatever job is saved opens equal, into a new folder and over another one."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path

from effort import examples
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from written_jobs import values_in

from mytakeoff import (
    Extra,
    Job,
    JobWall,
    LabourRates,
    LooseArea,
    Margins,
    Mix,
    Opening,
    PlaneChoice,
    Price,
    PriceList,
    RailChoice,
    Recipe,
    Room,
    Survey,
    System,
    Wall,
    open_job,
    save_job,
)
from mytakeoff.job.backgrounds import BACKGROUND_NAMES
from mytakeoff.job.catalogue import CEMENT_LIME, LIGHT_GYPSUM, ONE_COAT_GYPSUM
from mytakeoff.job.ranges import LearntFigure, Range
from mytakeoff.job.treatments import Compare, PlumbThing, Treatment
from mytakeoff.treatment.ways import WAYS

WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=8)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)
SHARES = st.floats(0, 0.8)
DEPTHS = st.floats(0, 200)
EDGES = st.floats(0.3, 10)
MAYBE = st.none() | st.floats(0, 50)
KINDS = st.sampled_from(["plumb", "square", "free"])
PARTS = st.floats(0.001, 0.45)


@st.composite
def openings(draw) -> Opening:
    x_m, z_m, width_m, height_m = (draw(PARTS) for _ in range(4))
    sides = tuple(draw(st.lists(st.sampled_from(["left", "right", "top", "bottom"]), unique=True)))
    return Opening(draw(WORDS), x_m, z_m, width_m, height_m, draw(DEPTHS), sides)


MIXES = st.builds(
    Mix, WORDS, st.floats(0.1, 3), st.floats(1, 50), st.just(0.0) | st.floats(0.01, 5), st.floats(5, 20),
    st.floats(20, 90), st.sampled_from(["gypsum", "lime", "cement"]), pot_life_min=st.floats(1, 500),
    source=TEXTS, recipe=st.none() | st.builds(Recipe, st.floats(1, 9), st.floats(0, 2)),
)  # fmt: skip
KNOWN = st.sampled_from([LIGHT_GYPSUM, ONE_COAT_GYPSUM, CEMENT_LIME, replace(CEMENT_LIME, bag_kg=30)])
LEARNT = st.builds(
    LearntFigure,
    st.text("abc", min_size=1),
    DEPTHS,
    DEPTHS,
    st.integers(1, 9),
    st.none() | st.dates(),
    st.booleans(),
)
TREATMENTS = st.builds(Treatment, WORDS, st.sampled_from(list(WAYS)), st.booleans(), take_down=st.booleans())


@st.composite
def systems(draw, mixes) -> System:
    finish_mm = draw(st.sampled_from([0.0, 2.0, 2.5]))
    finish = draw(mixes) if finish_mm else None
    return System(draw(mixes), finish, finish_mm, draw(st.none() | mixes))


@st.composite
def walls(draw, name: str, rooms: list[str], mixes) -> JobWall:
    parts = [tuple(draw(st.lists(openings(), max_size=most))) for most in (2, 1)]
    size = (draw(st.floats(1, 9)), draw(st.floats(1, 4)))
    wall = Wall(name, *size, parts[0], draw(PARTS), draw(PARTS), parts[1])
    depths = draw(st.lists(st.integers(-4000, 4000), min_size=4, max_size=4))
    proud = [depth / 10 for depth in depths]
    survey = Survey.from_readings(wall, [0, 1, 0, 1], [0, 0, 1, draw(st.sampled_from([0.5, 1]))], proud,
                                  plumb=draw(st.booleans()))  # fmt: skip
    found = draw(st.lists(st.tuples(PARTS, st.integers(-99, 99)), max_size=2))
    spots = [(x_m, 0.5, depth / 8) for x_m, depth in found]
    deep = st.floats(0.5, 300)
    loose = st.builds(LooseArea, PARTS, PARTS, PARTS, PARTS, deep, st.booleans())
    return JobWall(
        wall, draw(st.sampled_from(rooms)), survey.with_high_spots(spots, draw(st.booleans())),
        draw(st.sampled_from(BACKGROUND_NAMES)),
        tuple(draw(st.lists(loose, max_size=2))),
        turn_mm_per_m=draw(MAYBE), missed_high_spot_mm=draw(MAYBE), angle_bead_m=draw(DEPTHS),
        sockets=draw(st.integers(0, 9)), system=draw(st.none() | systems(mixes)),
        treatment=draw(st.none() | TREATMENTS),
    )  # fmt: skip


@st.composite
def jobs(draw) -> Job:
    own = draw(st.lists(MIXES, max_size=2, unique_by=lambda mix: mix.name))
    known = draw(st.lists(KNOWN, min_size=1, max_size=2, unique_by=lambda mix: mix.name))
    mixes = st.sampled_from([*known, *(mix for mix in own if mix.name not in [one.name for one in known])])
    rooms = draw(st.lists(WORDS, min_size=1, max_size=2, unique=True))
    names = draw(st.lists(WORDS, min_size=1, max_size=3, unique=True))
    items = draw(st.lists(WORDS, max_size=3, unique=True))
    money = st.decimals(0, 10**6, places=draw(st.integers(0, 4)))
    return Job(
        draw(WORDS), tuple(Room(name, draw(DEPTHS), draw(st.integers(-2, 9))) for name in rooms),
        tuple(draw(walls(name, rooms, mixes)) for name in names), draw(systems(mixes)),
        PriceList(tuple(Price(item, draw(TEXTS), draw(money), draw(TEXTS)) for item in items)),
        PlaneChoice(draw(KINDS), draw(DEPTHS), draw(MAYBE), draw(MAYBE)),
        RailChoice(draw(st.booleans()), draw(EDGES), bedded=draw(st.sampled_from(["fixings", "dabs"]))),
        Margins(draw(SHARES), draw(SHARES)), LabourRates(draw(MAYBE) or 0.0, crew=draw(st.integers(1, 4))),
        tuple(draw(st.lists(st.builds(Extra, WORDS, DEPTHS, st.booleans()), max_size=2))),
        draw(SHARES), draw(WORDS), cell_m=draw(st.floats(0.01, 0.1)),
        notes=tuple(draw(st.lists(TEXTS, max_size=2))),
        only=tuple(names[: draw(st.integers(0, 1))]), patch_waste_share=draw(SHARES),
        treatment=draw(st.none() | TREATMENTS),
        treatments=tuple(draw(st.lists(TREATMENTS, max_size=2, unique_by=lambda way: way.name))),
        compare=Compare(
            draw(TEXTS), draw(st.floats(0.5, 20)), lean_mm_per_m=draw(MAYBE), take_down=draw(st.booleans()),
            beside=tuple(draw(st.lists(st.builds(PlumbThing, WORDS, st.just(names[0]), PARTS), max_size=2))),
        ),
        ranges=tuple(draw(st.lists(st.builds(Range, st.just("waste"), st.just(-0.1), SHARES), max_size=1))),
        learnt=tuple(draw(st.lists(LEARNT, max_size=2, unique_by=lambda figure: figure.name))),
    )  # fmt: skip


@examples(25, suppress_health_check=list(HealthCheck))
@given(job=jobs(), other=jobs(), since=st.booleans())
def test_a_saved_job_opens_equal_and_over_another_too(job, other, since):
    place = Path(tempfile.mkdtemp())
    try:
        save_job(job, place / "new")
        assert values_in(open_job(place / "new")) == values_in(job)
        once = {path.name: path.read_bytes() for path in (place / "new").iterdir() if path.is_file()}
        save_job(open_job(place / "new"), place / "new")
        assert once == {path.name: path.read_bytes() for path in (place / "new").iterdir() if path.is_file()}
        save_job(other, place / "new", job if since else None)
        assert values_in(open_job(place / "new")) == values_in(other)
    finally:
        shutil.rmtree(place)
