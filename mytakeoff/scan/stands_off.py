"""What stands off a scanned wall is left out of its survey, unless it was said to be plaster.

By itself no more than `MOST_SHARE` of a wall is left out: what would be more is asked, and counts until it is
answered.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, distance_transform_edt, label
from scipy.spatial import cKDTree

from mytakeoff.formats.formats import say
from mytakeoff.scan.cell_median import cell_numbers
from mytakeoff.scan.islands import (
    AROUND_M,
    EIGHT,
    LEAST_MM,
    Cells,
    Flags,
    alone,
    cells_of,
    cliff_patches,
    least_rise_mm,
    shape_of,
)
from mytakeoff.steps import run
from mytakeoff.survey.interpolate import Readings, readings_of
from mytakeoff.survey.said import SaidOf, StandsOff
from mytakeoff.survey.stands_off import asked_of_place, said_of_place
from mytakeoff.survey.survey import Floats, Survey, read_only

MOST_SHARE = 0.15  # of a wall that is left out by itself
BEHIND_SHARE = 0.15  # of what was seen that lies behind the rest: from there on it is told
NAMED = 5  # places that a note names; the others are counted
MOST_POINTS = 200_000  # by which cells are judged
BESIDE = 9  # cells that say where the wall is behind what stands off
ROUNDS = 6  # what a patch leaves at its shore is looked at again
NEAR_M = 0.15  # patches so near to each other are one
STRAY_M = 0.3  # round them single points go too that stand off as far as a patch has to
SCATTER = 2.5  # times its points' noise that a point may stand off the wall and be the wall's


@dataclass(frozen=True, eq=False)
class Off:
    """Cells of a wall that something stands off, in groups.

    Parameters
    ----------
    group : (nz, nx) int
        Which one each cell belongs to, with the cells round it; 0 for none.
    wall_mm : (nz, nx) float
        Where the wall is there, off the smooth face [mm].
    cells : Cells
        Of what is left.
    places : tuple of StandsOff
        Group 1 and so on.
    """

    group: NDArray[np.int64]
    wall_mm: Floats
    cells: Cells
    places: tuple[StandsOff, ...]

    def dropped(self, readings: Readings, groups: Sequence[int]) -> Flags:
        """Which points stand off the wall in those groups."""
        number = cell_numbers(readings.x_m, readings.z_m, self.cells.size_m, self.group.shape)
        out = np.zeros(readings.x_m.size, dtype=bool)
        maybe = np.flatnonzero(np.isin(self._round, groups).ravel()[number])
        some = Readings(readings.x_m[maybe], readings.z_m[maybe], readings.proud_mm[maybe])
        within = np.isin(self.group, groups)
        most = self.wall_mm + np.where(within, margin_mm(self.cells), least_rise_mm(self.cells))
        out[maybe] = self.cells.off_mm(some) > most.ravel()[number[maybe]]
        return out

    @cached_property
    def _round(self) -> NDArray[np.int64]:
        """The groups with all that is `STRAY_M` round them: a few of their points lie in the wall's cells."""
        away, (row, column) = distance_transform_edt(self.group == 0, return_indices=True)
        return np.where(away * self.cells.cell_m <= STRAY_M, self.group[row, column], 0)


def margin_mm(cells: Cells) -> float:
    """What a point may stand off the wall and be the wall's [mm]."""
    return max(LEAST_MM / 2.0, SCATTER * cells.noise_mm)


def leave_out(survey: Survey, said: Sequence[SaidOf] = ()) -> Survey:
    """A scan's survey without what stands off the wall, and with notes of what was left out.

    Parameters
    ----------
    survey : Survey
        Of all points.
    said : sequence of SaidOf
        Places of what is plaster, and of what is left out though it takes more than `MOST_SHARE` of the wall.
        Of two words for one patch the last counts.

    Returns
    -------
    Survey
        `stood_off` lists what was found.
    """
    return run(leave_out_steps(survey, said))


def leave_out_steps(survey: Survey, said: Sequence[SaidOf] = ()) -> Generator[None, None, Survey]:
    """The same in steps."""
    readings = readings_of(survey)
    off = yield from off_in_steps(readings, (survey.wall.width_m, survey.wall.height_m))
    kept, out = _named(off, said)
    gone = _by_itself(off.places, kept, out) | out
    places = tuple(
        replace(place, left_out=nth in gone, answered=nth in kept | out)
        for nth, place in enumerate(off.places, start=1)
    )
    yield
    notes = (*survey.notes, *_notes(places, kept, said, off), *_lies_behind(off))
    if not gone:
        return replace(survey, stood_off=places, said=tuple(said), notes=notes)
    yield
    left = readings.without(off.dropped(readings, sorted(gone)))
    yield
    x_m, z_m, proud_mm = (read_only(each) for each in (left.x_m, left.z_m, left.proud_mm))
    return replace(
        survey, x_m=x_m, z_m=z_m, proud_mm=proud_mm, stood_off=places, said=tuple(said), notes=notes
    )


def _group_at(off: Off, one: SaidOf) -> int:
    """The group that something was said of; 0 for none."""
    (width, height), (rows, columns) = off.cells.size_m, off.group.shape
    row, column = int(one.z_m / height * rows), int(one.x_m / width * columns)
    return int(off.group[np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)])


def _named(off: Off, said: Sequence[SaidOf]) -> tuple[set[int], set[int]]:
    """The groups that are plaster and those that are left out, as was said of each last."""
    last = {_group_at(off, one): one.said for one in said if one.said in ("plaster", "left out")}
    kept, out = ({nth for nth in last if nth and last[nth] == word} for word in ("plaster", "left out"))
    return kept, out


def _by_itself(places: Sequence[StandsOff], kept: set[int], said: set[int]) -> set[int]:
    """The groups that are left out without being asked: the furthest off first, no more than little."""
    taken, share = set(), 0.0
    for nth, place in enumerate(places, start=1):
        if nth not in kept | said and share + place.share <= MOST_SHARE:
            taken.add(nth)
            share += place.share
    return taken


def _notes(places: Sequence[StandsOff], kept: set[int], said: Sequence[SaidOf], off: Off) -> tuple[str, ...]:
    """What was left out, what is asked, what was kept, and what was said of nothing."""
    out = [place for place in places if place.left_out]
    asked = [place for nth, place in enumerate(places, start=1) if not place.left_out and nth not in kept]
    notes = []
    if out:
        notes.append(f"Left out, since it stands off the wall: {_listed(out)}. Say which of it is plaster.")
    if asked:
        notes.append(
            "Stands off the wall and counts until you say what it is, since more than "
            f"{100 * MOST_SHARE:.0f} % of the wall would be left out: {_listed(asked)}: "
            f"{asked_of_place(asked[0])}"
        )
    if kept:
        notes.append(f"Kept as plaster: {_listed([places[nth - 1] for nth in sorted(kept)])}.")
    notes += [
        f"Nothing stands off the wall at x {one.x_m:.2f} m, z {one.z_m:.2f} m: what was said changes nothing."
        for one in said if not _group_at(off, one)
    ]  # fmt: skip
    return tuple(notes)


def _lies_behind(off: Off) -> tuple[str, ...]:
    """Words for much of a wall that lies behind the rest with cliffs round it: which is the wall?"""
    mm = np.where(off.group > 0, np.nan, off.cells.mm)
    known = np.isfinite(mm)
    behind = cliff_patches(replace(off.cells, mm=-mm))
    share = behind.sum() / max(known.sum(), 1)
    if share < BEHIND_SHARE:
        return ()
    deep_mm = float(np.median(mm[known & ~behind]) - np.median(mm[behind]))
    return (
        f"{100 * share:.0f} % of what was seen lies some {deep_mm:.0f} mm behind the rest, with cliffs round "
        "it. If that is the wall, what stands before it is taken for the wall on the other "
        f"{100 * (1 - share):.0f} %, and the wall is not known there: move it and scan again, or read it. "
        "If plaster has come off there, all is as it should be.",
    )


def _listed(places: Sequence[StandsOff]) -> str:
    named = [said_of_place(place) for place in places[:NAMED]]
    more = places[NAMED:]
    if more:
        named.append(
            f"{len(more)} smaller ones, {100 * sum(place.share for place in more):.1f} % of the wall"
        )
    return "; ".join(named)


def off_in_steps(readings: Readings, size_m: tuple[float, float]) -> Generator[None, None, Off]:
    """What stands off a wall, in a cloud, in steps."""
    every = max(1, readings.x_m.size // MOST_POINTS)
    left = Readings(*(each[::every] for each in (readings.x_m, readings.z_m, readings.proud_mm)))
    shape = shape_of(left, size_m)
    first = cells = cells_of(left, size_m, shape)
    by_itself = alone(cells)
    off = by_itself.copy()
    for nth in range(ROUNDS):
        yield
        found = cliff_patches(cells)
        yield
        if not (found.any() or (nth == 0 and off.any())):
            break
        off |= found
        now = Off(binary_dilation(off, EIGHT).astype(np.int64), _wall(cells, off, by_itself), cells, ())
        yield
        left = left.without(now.dropped(left, [1]))
        cells = cells_of(left, size_m, shape)
    return _grouped(off, by_itself, first, cells)


def _wall(cells: Cells, off: Flags, by_itself: Flags) -> Floats:
    """Where the wall is in each cell off the smooth face: the median of the nearest that show it;
    nowhere in cells that lie by themselves [mm]."""
    row, column = np.nonzero(np.isfinite(cells.mm) & ~off)
    if not row.size:
        return np.zeros(off.shape)
    count = min(BESIDE, row.size)
    grid = np.column_stack([each.ravel() for each in np.indices(off.shape)])
    _, nearest = cKDTree(np.column_stack([row, column])).query(grid, k=count)
    heights = cells.mm[row, column][np.asarray(nearest).reshape(-1, count)]
    return np.where(by_itself, -np.inf, np.median(heights, axis=1).reshape(off.shape))


def _grouped(off: Flags, by_itself: Flags, first: Cells, left: Cells) -> Off:
    """Cells near to each other as one, the furthest off first."""
    wall = _wall(left, off, by_itself)
    step = max(1, round(NEAR_M / 2.0 / first.cell_m))
    joined, count = label(binary_dilation(off, EIGHT, iterations=step), EIGHT)
    beside = np.where(by_itself, left.face_mm(left.flat - left.smooth), wall)
    rise = first.mm + first.face_mm(first.smooth - left.smooth) - beside
    made = [_place(off & (joined == nth), rise, first) for nth in range(1, count + 1)]
    order = np.argsort([-place.mm for place in made], kind="stable").astype(np.intp)
    rank = np.zeros(count + 1, dtype=np.int64)
    rank[order + 1] = np.arange(1, count + 1)
    group = np.where(binary_dilation(off, EIGHT), rank[joined], 0)
    return Off(group, wall, left, tuple(made[nth] for nth in order))


def _place(group: Flags, rise_mm: Floats, cells: Cells) -> StandsOff:
    """A group of cells as one place: its middle cell, and what the highest tenth stands off."""
    row, column = np.nonzero(group)
    middle = int(np.argmin(np.hypot(row - row.mean(), column - column.mean())))
    (rows, columns), (width, height) = group.shape, cells.size_m
    across, up = width / columns, height / rows
    return StandsOff(
        round(float((column[middle] + 0.5) * across), 2),
        round(float((row[middle] + 0.5) * up), 2),
        round(float(np.quantile(rise_mm[group], 0.9)), 1),
        max(AROUND_M, round(cells.cell_m, 2)),
        float((np.ptp(column) + 1) * across),
        float((np.ptp(row) + 1) * up),
        float(group.mean()),
    )


def left_out_notes(before: int, behind: int, seen: int, kept: int) -> tuple[str, ...]:
    """How many points were left out before and behind the wall, and how many of those on it were used."""
    notes = []
    if before + behind:
        notes.append(f"{say(before)} points before the wall and {say(behind)} behind it were left out.")
    if kept < seen:
        notes.append(f"{say(kept)} of {say(seen)} points on the wall were used; the others came twice, or so "
                     "close that enough of them were there.")  # fmt: skip
    return tuple(notes)
