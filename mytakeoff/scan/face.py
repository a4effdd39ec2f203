"""The face of a scanned wall: medians of cells, of wider ones where the cloud is thin and noisy."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mytakeoff.formats.formats import HOUSE, Formats
from mytakeoff.scan.cell_median import (
    BLOCK,
    CellStatistic,
    cell_numbers,
    cell_statistic,
    cell_statistic_steps,
)
from mytakeoff.scan.depth_steps import noise_beside_steps_mm
from mytakeoff.scan.noise import (
    CALM_MM,
    calm,
    cell_noise_mm,
    false_gap_mm,
    neighbour_noise_mm,
    point_noise_mm,
)
from mytakeoff.survey.cells import cell_edges, centres
from mytakeoff.survey.interpolate import Readings, Trend, bumps, from_cloud, nearest_residual
from mytakeoff.survey.survey import Floats
from mytakeoff.survey.wall import Wall

POINTS_IN_A_CELL = 8  # wanted in the wider cells of a thin cloud
WIDEST_M = 0.15  # of these cells: what is narrower than some two of them is lost
ENOUGH_IN_A_CELL = 12  # points that tell a cell's scatter well
STRIP_POINTS = 20_000  # among which neighbours are compared
STEP_POINTS = 500_000  # by which noise is told from steps of depth
SAID_MM = 0.05  # less noise or bow than this is none
EVEN = float(np.sqrt(12.0))  # a range over the standard deviation of what is anywhere in it alike


@dataclass(frozen=True, eq=False)
class ScanFace:
    """The face of a scan on cells, and how far it can be trusted.

    Parameters
    ----------
    face_mm : (nz, nx) float
        [mm]
    known : (nz, nx) bool
        Has points of its own.
    point_noise_mm : float
        Scatter of single points about the face [mm].
    noise_mm : float
        Standard error of a cell's value, half of the cells have less; of what smoothing has left [mm].
    calmed : bool
        Whether the cells' values were smoothed.
    averaged : bool
        Whether the points were averaged in cells: single ones then bind nothing.
    step_mm : float
        What the depth comes in, where points scatter by less than that: their mean is no better then, and
        `noise_mm` holds what is anywhere in a step [mm].
    """

    face_mm: Floats
    known: NDArray[np.bool_]
    point_noise_mm: float
    noise_mm: float
    calmed: bool
    averaged: bool = True
    step_mm: float = 0.0

    def with_spots(self, spots: Readings, x_m: Floats, z_m: Floats) -> Floats:
        """The face raised within a cell of each high spot found by sweeping, so that it goes through it [mm].

        Parameters
        ----------
        spots : Readings
        x_m, z_m : (nx,) and (nz,) float
            Centres of the cells [m].
        """
        if spots.x_m.size == 0:
            return self.face_mm
        row, column = _nearest(z_m, spots.z_m), _nearest(x_m, spots.x_m)
        none = Readings(*(np.empty(0) for _ in range(3)))
        radius = 1.5 * WIDEST_M if x_m.size < 2 else 1.5 * float(x_m[1] - x_m[0])
        return self.face_mm + bumps(spots, none, spots.proud_mm - self.face_mm[row, column], radius, x_m, z_m)

    def told_mm(self, bow_mm: float = 0.0) -> float:
        """Nothing smaller is told by the scan: what steps or noise, and its own bow, may show [mm]."""
        return bow_mm + (self.step_mm or false_gap_mm(self.noise_mm))

    def notices(self, formats: Formats = HOUSE, bow_mm: float = 0.0) -> tuple[str, ...]:
        """What the user should know: below how many millimetres the scan tells nothing, and why.

        Parameters
        ----------
        formats : Formats
        bow_mm : float
            A bow over the wall that is or may be the instrument's own [mm].
        """
        parts = [*self._of_points(formats)]
        if bow_mm >= SAID_MM:
            parts.append(
                f"a bow of {formats.depth(bow_mm, places=1)} over the wall may be the instrument's own"
            )
        if not parts:
            return ()
        told = formats.depth(self.told_mm(bow_mm), places=1)
        return (f"Nothing below {told} is told by this scan: {'; '.join(parts)}.",)

    def _of_points(self, formats: Formats) -> tuple[str, ...]:
        """What is said of the points' noise and of the steps of their depth."""
        scatter = formats.depth(self.point_noise_mm, places=1)
        if self.step_mm:
            step, half = (formats.depth(mm, places=1) for mm in (self.step_mm, self.step_mm / 2.0))
            beside = (
                f"scatter by {scatter}" if self.point_noise_mm else "scatter by less, which cannot be told"
            )
            return (
                f"its depth comes in steps of {step}, so that the wall may stand {half} to either side "
                f"of what is shown",
                f"beside that its points {beside}",
            )
        if self.noise_mm < SAID_MM:
            return ()
        smoothed = ", smoothed where nothing stands out of it" if self.calmed else ""
        cells = formats.depth(self.noise_mm, places=1)
        return (
            f"its points scatter by {scatter} and the cells' values by {cells}{smoothed}, which shows "
            "as gaps under the straightedge",
        )


def is_dense(count: int, x_m: Floats, z_m: Floats) -> bool:
    """Whether there are at least as many points as cells."""
    return count >= x_m.size * z_m.size


def scan_face_steps(
    readings: Readings, size_m: tuple[float, float], x_m: Floats, z_m: Floats, step_mm: float = 0.0
) -> Generator[None, None, ScanFace]:
    """The face of a cloud on equal cells, in steps.

    Parameters
    ----------
    readings : Readings
        The points.
    size_m : (width, height)
        Of the wall [m].
    x_m, z_m : (nx,) and (nz,) float
        Centres of the cells that fill it [m].
    step_mm : float
        What the depth comes in, 0 for none [mm].

    Returns
    -------
    ScanFace
        The median of each cell where there are as many points as cells. A thinner cloud goes through its
        points if they agree with their neighbours within 0.5 mm, else through the medians of wider cells.
    """
    if is_dense(readings.x_m.size, x_m, z_m):
        return (yield from _dense(readings, size_m, x_m, z_m, step_mm))
    yield
    trend = Trend.of(readings)
    residual = readings.proud_mm - trend.at(readings.x_m, readings.z_m)
    flat = Readings(readings.x_m, readings.z_m, residual)
    if step_mm:
        scatter_mm = _noise_beside(flat, step_mm, size_m, WIDEST_M)
        if scatter_mm < step_mm:
            return _stepped(
                _thin(flat, trend, max(scatter_mm, step_mm / EVEN), size_m, x_m, z_m), scatter_mm, step_mm
            )
    noise = neighbour_noise_mm(readings.x_m, readings.z_m, residual)
    if noise <= CALM_MM:
        return ScanFace(*from_cloud(readings, x_m, z_m), noise, noise, calmed=False, averaged=False)
    return _thin(flat, trend, noise, size_m, x_m, z_m)


def _stepped(face: ScanFace, noise: float, step_mm: float) -> ScanFace:
    """The same face with what is known of its noise, where the depth comes in steps."""
    cell = float(np.hypot(face.noise_mm, step_mm / EVEN))
    return replace(face, point_noise_mm=noise, noise_mm=cell, step_mm=step_mm)


def _noise_beside(readings: Readings, step_mm: float, size_m: tuple[float, float], cell_m: float) -> float:
    """What single points scatter by beside the steps of their depth, 0 where the steps hide it [mm]."""
    some = slice(None, None, max(1, readings.x_m.size // STEP_POINTS))
    x, z, proud = readings.x_m[some], readings.z_m[some], readings.proud_mm[some]
    across, up = (cell_edges(length, cell_m).size - 1 for length in size_m)
    return noise_beside_steps_mm(cell_numbers(x, z, size_m, (up, across)), proud, step_mm)


def _dense(
    readings: Readings, size_m: tuple[float, float], x_m: Floats, z_m: Floats, step_mm: float
) -> Generator[None, None, ScanFace]:
    columns = readings.x_m, readings.z_m, readings.proud_mm
    found = yield from cell_statistic_steps(*columns, size_m, (z_m.size, x_m.size))
    scatter_mm = _noise_beside(readings, step_mm, size_m, size_m[0] / x_m.size) if step_mm else 0.0
    hidden = scatter_mm < step_mm  # points of a place give the same depth: their scatter tells nothing
    noise = scatter_mm if hidden else _point_noise(readings, found, size_m)
    yield
    known = found.count > 0
    medians = _as_readings(found.median_mm, x_m, z_m)
    trend = Trend.of(medians)
    flat = found.median_mm - trend.at(x_m[None, :], z_m[:, None])
    yield
    calmed, left = _calmed(flat, noise, found)
    yield
    face = found.median_mm if calmed is flat else calmed + trend.at(x_m[None, :], z_m[:, None])
    _fill(face, known, x_m, z_m)
    made = ScanFace(face, known, noise, left, calmed is not flat)
    return _stepped(made, scatter_mm, step_mm) if hidden else made


def _point_noise(readings: Readings, found: CellStatistic, size_m: tuple[float, float]) -> float:
    """Scatter of single points: in cells, or between neighbours if that is less or cells hold few [mm]."""
    noise = point_noise_mm(found.spread_mm, found.median_mm)
    usual = float(np.median(found.count[found.count > 0]))
    if usual >= ENOUGH_IN_A_CELL and noise * np.sqrt(np.pi / 2 / usual) <= CALM_MM:
        return noise
    strip = _strip(readings, size_m[0])  # is it noise, or is the wall rough?
    between = neighbour_noise_mm(strip.x_m, strip.z_m, strip.proud_mm)
    return between if usual < ENOUGH_IN_A_CELL else min(noise, between)


def _calmed(flat: Floats, noise: float, found: CellStatistic) -> tuple[Floats, float]:
    """The field, smoothed if its cells are too noisy, and the noise left in most of them [mm]."""
    error = cell_noise_mm(noise, found.count)
    usual = float(np.nanmedian(error))
    if usual <= CALM_MM:
        return flat, usual
    smooth, left = calm(flat, error)
    return smooth, float(np.sqrt(np.nanmean(left**2)))


def _thin(
    residual: Readings, trend: Trend, noise: float, size_m: tuple[float, float], x_m: Floats, z_m: Floats
) -> ScanFace:
    """A cloud with fewer points than cells: medians of wider cells, and straight lines between those."""
    width, height = size_m
    wide = min(WIDEST_M, float(np.sqrt(POINTS_IN_A_CELL * width * height / residual.x_m.size)))
    wide_x, wide_z = centres(cell_edges(width, wide)), centres(cell_edges(height, wide))
    shape = (wide_z.size, wide_x.size)
    found = cell_statistic(residual.x_m, residual.z_m, residual.proud_mm, size_m, shape)
    calmed, left = _calmed(found.median_mm, noise, found)
    nodes = _as_readings(calmed, wide_x, wide_z)
    face, _ = from_cloud(nodes, x_m, z_m)
    across, up = (np.minimum((at * n / length).astype(int), n - 1)
                  for at, n, length in ((x_m, wide_x.size, width), (z_m, wide_z.size, height)))  # fmt: skip
    known = (found.count > 0)[up[:, None], across[None, :]]
    return ScanFace(
        face + trend.at(x_m[None, :], z_m[:, None]), known, noise, left, calmed is not found.median_mm
    )


def _strip(readings: Readings, width_m: float) -> Readings:
    """The points in an upright strip at the middle of the wall, not too many of them, trend taken out."""
    share = min(1.0, STRIP_POINTS / readings.x_m.size)
    middle = float(np.median(readings.x_m[:: max(1, readings.x_m.size // STRIP_POINTS)]))
    inside = np.abs(readings.x_m - middle) <= share * width_m / 2
    strip = readings.without(~inside)
    trend = Trend.of(strip)
    return Readings(strip.x_m, strip.z_m, strip.proud_mm - trend.at(strip.x_m, strip.z_m))


def one_in_each(readings: Readings, wall: Wall, shape: tuple[int, int]) -> Readings:
    """Of a cloud one point in each of (rows, columns) equal cells; of few readings all."""
    if readings.x_m.size <= shape[0] * shape[1]:
        return readings
    last = np.full(shape[0] * shape[1], -1, dtype=np.int64)
    for start in range(0, readings.x_m.size, BLOCK):
        cell = cell_numbers(readings.x_m[start : start + BLOCK], readings.z_m[start : start + BLOCK],
                            (wall.width_m, wall.height_m), shape)  # fmt: skip
        last[cell] = np.arange(start, start + cell.size)
    last = last[last >= 0]
    return Readings(readings.x_m[last], readings.z_m[last], readings.proud_mm[last])


def _nearest(middles_m: Floats, places_m: Floats) -> NDArray[np.intp]:
    """The cell whose centre is nearest to each place."""
    return np.asarray(np.abs(middles_m[:, None] - places_m[None, :]).argmin(axis=0))


def _as_readings(field: Floats, x_m: Floats, z_m: Floats) -> Readings:
    """The cells that are known, as readings at their centres."""
    row, column = np.nonzero(np.isfinite(field))
    return Readings(x_m[column], z_m[row], field[row, column])


def _fill(face: Floats, known: NDArray[np.bool_], x_m: Floats, z_m: Floats) -> None:
    """Give cells without points the trend plus the nearest cell's residual, in place."""
    if known.all():
        return
    filled = _as_readings(np.where(known, face, np.nan), x_m, z_m)
    trend = Trend.of(filled)
    row, column = np.nonzero(~known)
    gap_x, gap_z = x_m[column], z_m[row]
    face[~known] = nearest_residual(filled, trend, gap_x, gap_z)[0] + trend.at(gap_x, gap_z)
