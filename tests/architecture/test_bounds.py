"""No number without bounds: each that a user or a script gives has them beside its field, and they hold."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

import numpy as np
import pytest

import mytakeoff as mt
from mytakeoff.bounds import bounds_in, bounds_of
from mytakeoff.io.files.toml_fields import Key, keys_of
from mytakeoff.io.job.shape import JOB_KEYS, WALL_KEYS, key_kind
from mytakeoff.job.confidence import LeftOpen
from mytakeoff.plane.rule import CutWorth
from mytakeoff.resources import demo_folder
from mytakeoff.survey.said import SaidOf, StandsOff
from mytakeoff.survey.survey import Floats

# What stages give: worked out from what was entered, so their numbers follow from numbers with bounds.
WORKED_OUT = {
    mt.BuildUp, mt.Change, mt.Coat, mt.Coats, mt.Cost, mt.CostLine, mt.CurvePoint, mt.CutList, mt.Driver,
    mt.Fixing,
    mt.FoundWall, mt.Headline, mt.JobRanges, mt.OptionResult, mt.Order, mt.Patch, mt.Piece, mt.Programme,
    mt.RailPlan, mt.Refused, mt.RepairBuildUp, mt.Result, mt.RoomPlanes, mt.SettingOut, mt.Surface,
    mt.TargetPlane,
    mt.JudgedWall, mt.Judged, mt.Promised, mt.Snag, mt.SnagList,
    mt.SignedJob, mt.Variation, mt.VariationLine, mt.WallRange, mt.WallSetting,
    StandsOff,  # what a reader found on a scan
    CutWorth,  # a price in litres, worked out from prices
    mt.Account, mt.ShrinkageSeen, mt.Lessons, mt.Learnt, mt.LearntOffer, mt.Prior, mt.Evidence, mt.CausePart,
    mt.MeasuredAgain,
}  # fmt: skip
NUMBERS = (float, int, Decimal, Floats)
WRONG = [math.nan, math.inf, -math.inf, 1e300, -1e300]


def bare(hint: Any) -> Iterator[Any]:
    """The types in a hint that carry no bounds, through unions and tuples."""
    if hint in NUMBERS:
        yield hint
    elif get_origin(hint) is not None and not list(bounds_in(hint)):
        for part in get_args(hint):
            if part not in (NoneType, Ellipsis):
                yield from bare(part)


def inside(hint: Any) -> Iterator[type]:
    """The dataclasses in a hint."""
    if is_dataclass(hint) and isinstance(hint, type):
        yield hint
    for part in get_args(hint):
        yield from inside(part)


def reached(classes: set[type]) -> set[type]:
    """Dataclasses of what is entered, and those that stand in their fields."""
    found, left = set(), list(classes)
    while left:
        cls = left.pop()
        if cls in found or cls in WORKED_OUT:
            continue
        found.add(cls)
        hints = get_type_hints(cls, include_extras=True)
        left += [part for entry in fields(cls) for part in inside(hints[entry.name])]
    return found


PUBLIC = {thing for thing in (getattr(mt, name) for name in mt.__all__) if is_dataclass(thing)}
ENTERED = sorted(reached(PUBLIC - WORKED_OUT), key=lambda cls: cls.__name__)


@pytest.mark.parametrize("cls", ENTERED, ids=lambda cls: cls.__name__)
def test_every_number_that_is_entered_has_bounds_beside_its_field(cls):
    hints = get_type_hints(cls, include_extras=True)
    assert {entry.name for entry in fields(cls) if list(bare(hints[entry.name]))} == set()


def of_file(keys: dict[str, Key], path: str) -> Iterator[tuple[str, Any]]:
    for name, key in keys.items():
        yield f"{path}{name}", key.hint
        for cls in inside(key.hint) if key_kind(key)[0] != "value" else ():
            yield from of_file(dict(keys_of(cls)), f"{path}{name}.")


def test_every_number_of_the_job_file_has_bounds():
    keys = [*of_file(JOB_KEYS, ""), *of_file(WALL_KEYS, "wall."), *of_file(keys_of(mt.Mix), "mix.")]
    assert len(keys) > 200
    assert [name for name, hint in keys if list(bare(hint))] == []


def samples() -> dict[type, Any]:
    """One thing of each class that is entered: from the demo job, and what it has none of."""
    wall = mt.Wall("A", 3.0, 2.5)
    found: dict[type, Any] = {}
    left: list[Any] = [
        mt.open_job(demo_folder()),
        mt.PlaneRule(),
        mt.Range("waste", -0.1, 0.1),
        mt.LearntFigure("waste", 0.1, 0.12),
        mt.Recipe(3.0),
        mt.LaidEdge(0.5, 1.0, 2.0, 4.0),
        mt.Corner((0.0, 2.0), (30.0, 32.0), 1.0),
        mt.RoomCorner("A", "B", off_square=mt.OffSquare("A", (0.5, 2.5), (0.2, 1.2), (40.0, 41.0), 1.0)),
        mt.Triangle(3.0, 4.0, 5.0, 1.0),
        mt.Diagonals("A", 5.0, 5.0, 1.0, (3.0, 4.0, 3.0, 4.0)),
        mt.ClearWidth("bath", "A", "C", 1700.0, 0.5, between_planes_mm=1800.0),
        mt.Fitting("socket", "socket", 0.5, 0.4),
        mt.FixedPlace("door frame", 0.5, 0.4, -210.0),
        mt.LooseArea(0.5, 0.5, 0.5, 0.5, 20.0),
        mt.Opening("door", 0.0, 0.0, 1.0, 2.0),
        mt.PlumbThing("wardrobe", "A", 0.0),
        mt.Extra("travel"),
        mt.Chosen("plaster", holds=25.0),
        mt.Supplier("yard"),
        mt.Pack("plaster", Decimal(25), "kg", Decimal(9)),
        mt.Treatment("patch", "patch what has fallen"),
        mt.AcceptanceRule(),
        mt.ReadingErrors(),
        mt.TouchUp(),
        mt.CheckRound(date(2027, 3, 1), marks=(mt.HandMark(0.5, 0.5, "light", 4.0),), done=(1,)),
        SaidOf(0.5, 0.5, "plaster"),
        LeftOpen(wall.name, "float plumb", "", (0.0, 1.0)),
        mt.Delivered("mesh", 1.0),
        mt.HoursSpent("rails", 1.0),
        mt.AgreedVariation("niche", 1.0),
        mt.ReturnTrip(),
        mt.FinishedWall(
            "A",
            settled=(mt.SettledCoat(-0.2, 0.1),),
            fixed_again=(mt.FixedAgain("frame", -480.0, -479.0),),
            snags=(mt.NumberedSnag(2, "hollow", 1.2, 0.4),),
        ),
        mt.Finished(clear_widths=(mt.TapedWidth("kitchen", "run of units", 3004.0),)),
    ]
    while left:
        thing = left.pop()
        if isinstance(thing, (tuple, dict)):
            left += thing.values() if isinstance(thing, dict) else thing
        elif is_dataclass(thing) and type(thing) not in found:
            found[type(thing)] = thing
            left += [getattr(thing, entry.name) for entry in fields(thing)]
    return found


SAMPLES = samples()
BOUNDED = [(cls, name) for cls in ENTERED for name in bounds_of(cls)]


@pytest.mark.parametrize(("cls", "name"), BOUNDED, ids=[f"{cls.__name__}.{name}" for cls, name in BOUNDED])
def test_no_number_beyond_its_bounds_is_taken(cls, name):
    now = getattr(SAMPLES[cls], name)
    for wrong in WRONG:
        value: Any = wrong
        if isinstance(now, np.ndarray):
            value = np.full(3, wrong)
        elif isinstance(now, tuple):
            value = (wrong, wrong)
        elif isinstance(now, Decimal):
            value = Decimal(wrong)
        with pytest.raises(mt.TakeoffError, match="it is"):
            replace(SAMPLES[cls], **{name: value})


@pytest.mark.parametrize(("cls", "name"), BOUNDED, ids=[f"{cls.__name__}.{name}" for cls, name in BOUNDED])
def test_a_default_lies_within_its_own_bounds(cls, name):
    within = bounds_of(cls)[name]
    (default,) = (entry.default for entry in fields(cls) if entry.name == name)
    if isinstance(default, (int, float, Decimal)):
        assert within.holds(default)
