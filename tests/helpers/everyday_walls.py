"""Invented walls, drawn densely by ways that have nothing in common with the package's own faces.

Each family is a function of a random generator that gives one wall's heights from the floor up [mm] and their
cell size [m], as `dense_truth.dense` does: noise shaped in the frequencies, not summed from the waves of a
variogram, and marks of a hand laid on top. Amounts are common practice, no source, unless told. Two walls of
a family differ in all that it leaves open, so that a row of trials is worth as many walls.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

HEIGHT_M, WIDTH_M = 2.8, 4.4  # walls are cut out of it
CELL_M, JOINT_CELL_M = 0.01, 0.005

Field = np.ndarray
Family = Callable[[np.random.Generator], tuple[Field, float]]


def cells(cell_m: float) -> tuple[int, int]:
    """Rows and columns of a field on cells of that size [m]."""
    return round(HEIGHT_M / cell_m), round(WIDTH_M / cell_m)


def places(cell_m: float) -> tuple[Field, Field]:
    """Heights (rows, 1) and lengths (1, columns) of the cells' middles [m]."""
    rows, columns = cells(cell_m)
    return ((np.arange(rows) + 0.5) * cell_m)[:, None], ((np.arange(columns) + 0.5) * cell_m)[None, :]


def waves(rng: np.random.Generator, wave_m: float, cell_m: float, octaves: float = 0.5) -> Field:
    """Gaussian waves about so long from crest to crest, of variance one over many walls [m, -].

    White noise, weighed in the frequencies by a bell over the logarithm of the wave's length; twice the size
    is drawn and cut, since what such noise has at one edge it repeats at the other.
    """
    shape = tuple(2 * count for count in cells(cell_m))
    often = np.hypot(*np.meshgrid(*(np.fft.fftfreq(count, cell_m) for count in shape), indexing="ij"))
    often[0, 0] = np.inf  # no wave at all is no level either
    weight = np.exp(-0.5 * (np.log2(np.minimum(often, 1 / cell_m) * wave_m) / octaves) ** 2) / often
    noise = np.fft.fft2(rng.standard_normal(shape))
    field = np.fft.ifft2(noise * weight).real / np.sqrt((weight**2).mean())
    return np.asarray(field[: shape[0] // 2, : shape[1] // 2])


def bow_and_lean(rng: np.random.Generator, cell_m: float, lean_mm: float = 2.5, bow_mm: float = 2.5) -> Field:
    """A wall out of plumb by so much a metre, and bowed by so much over its length and height [mm/m, mm]."""
    up, along = places(cell_m)
    lean, turn = rng.normal(0.0, lean_mm, 2)
    bow_up, bow_along = rng.normal(0.0, bow_mm, 2)
    return np.asarray(
        lean * up
        + turn * along
        + bow_up * (2.0 * up / HEIGHT_M - 1.0) ** 2
        + bow_along * (2.0 * along / WIDTH_M - 1.0) ** 2
    )


def ellipses(
    rng: np.random.Generator,
    cell_m: float,
    per_m2: float,
    across_m: tuple[float, float],
    deep_mm: tuple[float, float],
    steep: tuple[float, float] = (1.0, 1.0),
) -> Field:
    """How deep ellipses strewn over a wall lie, the deepest where several meet (rows, columns) [mm].

    `steep` 1 is a bowl, more a flat bottom between steeper sides [-].
    """
    up, along = places(cell_m)
    field = np.zeros(cells(cell_m))
    for _ in range(rng.poisson(per_m2 * HEIGHT_M * WIDTH_M)):
        z, x = rng.uniform(0.0, HEIGHT_M), rng.uniform(0.0, WIDTH_M)
        half = rng.uniform(*across_m, 2) / 2.0
        turn = rng.uniform(0.0, np.pi)
        one = (np.cos(turn) * (along - x) + np.sin(turn) * (up - z)) / half[0]
        other = (np.cos(turn) * (up - z) - np.sin(turn) * (along - x)) / half[1]
        shape = np.clip(rng.uniform(*steep) * (1.0 - one**2 - other**2), 0.0, 1.0)
        field = np.maximum(field, rng.uniform(*deep_mm) * shape)
    return field


def smooth_plaster(rng: np.random.Generator) -> tuple[Field, float]:
    """Bow, lean and waves of 0.7 mm, 30 cm from crest to hollow; nothing shorter."""
    return bow_and_lean(rng, CELL_M) + 0.7 * waves(rng, 0.6, CELL_M), CELL_M


def floated_and_dented(rng: np.random.Generator) -> tuple[Field, float]:
    """Floated once, flat on top; since then dents and lost patches: it falls off to one side only.

    Grain of 0.3 mm, 0.6 ellipses a square metre, 8 to 35 cm from middle to edge, 3 to 15 mm deep. Floated
    plumb with 8 mm left, it takes some 14 mm on average.
    """
    return _dented(rng, (0.16, 0.7))


def floated_with_small_dents(rng: np.random.Generator) -> tuple[Field, float]:
    """The same with ellipses 8 to 35 cm across."""
    return _dented(rng, (0.08, 0.35))


def _dented(rng: np.random.Generator, across_m: tuple[float, float]) -> tuple[Field, float]:
    grain = rng.normal(0.0, 0.3, cells(CELL_M))
    dents = ellipses(rng, CELL_M, 0.6, across_m, (3.0, 15.0), (1.0, 4.0))
    return smooth_plaster(rng)[0] + grain - dents, CELL_M


def smooth_plaster_with_nibs(rng: np.random.Generator) -> tuple[Field, float]:
    """One nib a square metre, 3 to 8 mm high, 2 to 5 cm wide."""
    nibs = ellipses(rng, CELL_M, 1.0, (0.02, 0.05), (3.0, 8.0), (1.0, 2.0))
    return smooth_plaster(rng)[0] + nibs, CELL_M


COURSE_M, BRICK_M, JOINT_M = 0.075, 0.225, 0.01  # a UK brick of 215 × 65 mm with its joints; from memory


def brick_with_joints(rng: np.random.Generator) -> tuple[Field, float]:
    """Courses of 75 mm in half bond, each brick off by 1.5 mm, joints 2 to 6 mm back, long waves of 3 mm."""
    up, along = places(JOINT_CELL_M)
    course = np.floor(up / COURSE_M).astype(int)
    shifted = along + (course % 2) * BRICK_M / 2.0
    number = np.floor(shifted / BRICK_M).astype(int)
    off_mm = rng.normal(0.0, 1.5, (course.max() + 1, number.max() + 1))
    tilt = rng.normal(0.0, 0.7, (2, *off_mm.shape))  # from the middle of a brick to its edge
    place_up, place_along = up % COURSE_M / COURSE_M, shifted % BRICK_M / BRICK_M
    bricks = off_mm[course, number] + tilt[0][course, number] * (2 * place_up - 1)
    bricks = bricks + tilt[1][course, number] * (2 * place_along - 1)
    joint = (up % COURSE_M < JOINT_M) | (shifted % BRICK_M < JOINT_M)
    back_mm = rng.uniform(2.0, 6.0) + rng.normal(0.0, 0.5, joint.shape)
    face = np.where(joint, np.minimum(bricks, 0.0) - np.maximum(back_mm, 0.5), bricks)
    return bow_and_lean(rng, JOINT_CELL_M) + 3.0 * waves(rng, 1.5, JOINT_CELL_M) + face, JOINT_CELL_M


def ridges(rng: np.random.Generator) -> Field:
    """Sharp ridges over smooth valleys, of mean nought and variance one.

    Noise folded at nought and squared, each octave weighed by the one before, so that ridges are rough and
    valleys are not: F. K. Musgrave's ridged multifractal (in Ebert and others, "Texturing and Modeling", from
    memory).
    """
    total, weight = np.zeros(cells(CELL_M)), np.ones(cells(CELL_M))
    wave_m = rng.uniform(1.2, 2.4)
    for octave in range(6):
        folded = 1.0 - np.abs(waves(rng, wave_m / 2**octave, CELL_M)) / 2.0
        ridge = np.clip(folded, 0.0, 1.0) ** 2 * weight
        total += ridge * 2.0 ** (-0.9 * octave)
        weight = np.clip(2.0 * ridge, 0.0, 1.0)
    return np.asarray((total - total.mean()) / total.std())


def ridged_ground(rng: np.random.Generator) -> tuple[Field, float]:
    """Ridges all over, a relief of 15 mm."""
    return 15.0 * ridges(rng), CELL_M


def flat_topped_with_gullies(rng: np.random.Generator) -> tuple[Field, float]:
    """Flat tops, rough by half a millimetre, between gullies that branch, 10 to 25 mm deep."""
    top = bow_and_lean(rng, CELL_M) + 1.0 * waves(rng, 0.8, CELL_M) + 0.5 * waves(rng, 0.05, CELL_M)
    deep = np.zeros(cells(CELL_M))
    for wave_m, wide, most_mm in ((2.0, 0.25, rng.uniform(15.0, 25.0)), (0.7, 0.15, rng.uniform(10.0, 15.0))):
        across = np.abs(waves(rng, wave_m, CELL_M)) / wide
        here = np.clip(0.5 + waves(rng, 1.5, CELL_M), 0.0, 1.0)  # gullies run out
        deep = np.maximum(deep, most_mm * here * np.clip(1.0 - across, 0.0, 1.0))
    return top - deep, CELL_M


FAMILIES: dict[str, Family] = {
    "floated once and dented": floated_and_dented,
    "floated once, small dents": floated_with_small_dents,
    "smooth plaster": smooth_plaster,
    "smooth plaster with nibs": smooth_plaster_with_nibs,
    "brick with joints": brick_with_joints,
    "ridged ground": ridged_ground,
    "flat-topped with gullies": flat_topped_with_gullies,
}

# What such a wall would be called: what is taken for likely beforehand goes by it.
BACKGROUNDS: dict[str, str] = {
    "floated once and dented": "sound old plaster",
    "floated once, small dents": "sound old plaster",
    "smooth plaster": "sound old plaster",
    "smooth plaster with nibs": "weak old plaster",  # whose prior has as many
    "brick with joints": "brick",
    "ridged ground": "stone",
    "flat-topped with gullies": "sound old plaster",
}
