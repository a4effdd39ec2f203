"""Which mixes fill patches and lie evenly over a wall that is not brought to a plane."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mytakeoff.coats.build_up import BuildUp, Depths
from mytakeoff.coats.coats import PATCHES, THIN, EvenCoat, Layer, split_depths
from mytakeoff.formats.formats import Formats
from mytakeoff.job.backgrounds import background_of
from mytakeoff.job.mixes import System
from mytakeoff.surface.patches import patch_numbers
from mytakeoff.surface.surface import Surface
from mytakeoff.survey.survey import Floats

BARE = "Patched bare: the patches show through paint. Skim the wall where that matters."


def skim_of(system: System, background: str) -> tuple[EvenCoat, ...]:
    """The even coats that follow a wall: the finish; under it a backing where there is none, or on masonry.

    Parameters
    ----------
    system : System
    background : str

    Returns
    -------
    tuple of EvenCoat
        Face first; a backing as thin as it is laid.

    Examples
    --------
    >>> from mytakeoff.job.catalogue import GYPSUM_SKIM, LIGHT_GYPSUM
    >>> for background in ("sound old plaster", "brick"):
    ...     print([coat.thickness_mm for coat in skim_of(System(LIGHT_GYPSUM, GYPSUM_SKIM, 2.0), background)])
    [2.0]
    [2.0, 8]
    """
    coats, backing = [], system.backing
    if system.finish is not None:
        coats.append(EvenCoat("finish", system.finish, system.finish_mm))
    if system.finish is None or not background_of(background).takes_skim:
        coats.append(EvenCoat("backing", backing, backing.least_coat_mm))
    return tuple(coats)


def even_layer(surface: Surface, coat: EvenCoat) -> Layer:
    """An even coat over a wall as a layer."""
    even = np.where(np.isnan(surface.proud_mm), np.nan, coat.thickness_mm)
    depths = Depths.of(even, surface.cell_area_m2)
    return Layer(coat.role, coat.mix, split_depths(depths, coat.mix.max_coat_mm))


def fill_layers(filled: BuildUp, system: System) -> tuple[Layer, ...]:
    """The mixes of patches: the dubbing out, or the backing; a patch too thin for it takes the finish.

    Parameters
    ----------
    filled : BuildUp
        Without the skim.
    system : System

    Returns
    -------
    tuple of Layer
        Those that exist, thin patches first.
    """
    base = system.dubbing or system.backing
    thin = too_thin(filled.thickness_mm, base.least_coat_mm) if system.finish else np.False_
    area, fill = filled.surface.cell_area_m2, filled.thickness_mm
    made = []
    for role, mix, own in ((THIN, system.finish, thin), (PATCHES, base, ~thin)):
        coats = split_depths(Depths.of(np.where(own, fill, 0.0), area), mix.max_coat_mm) if mix else ()
        if mix and coats:
            made.append(Layer(role, mix, coats))
    return tuple(made)


def too_thin(fill_mm: Floats, least_mm: float) -> NDArray[np.bool_]:
    """Cells of patches that are nowhere as thick as a mix needs (nz, nx); fill and least [mm]."""
    numbers, count = patch_numbers(fill_mm)
    deepest = np.zeros(count + 1)
    np.maximum.at(deepest, numbers.ravel(), np.nan_to_num(fill_mm).ravel())
    return np.asarray((deepest[numbers] < least_mm) & (numbers > 0))


def fill_notices(
    system: System, filled: BuildUp, skim: Sequence[EvenCoat], background: str, formats: Formats
) -> Sequence[str]:
    """What patches and skim ask: thin ones, no skim over them, a backing under it."""
    number = formats.number
    said, base = [], system.dubbing or system.backing
    if not skim and filled.covered_area_m2 > 0:
        said.append(BARE)
    thin = float(filled.surface.cell_area_m2[too_thin(filled.thickness_mm, base.least_coat_mm)].sum())
    if thin >= 0.005 and system.finish is None:
        said.append(
            f"{number(thin, 2)} m² of patches are thinner than the {formats.depth(base.least_coat_mm)} "
            f"that {base.name} needs: use a filler there."
        )
    for coat in skim:
        if coat.role == "backing":
            why = f"{background} takes no skim alone" if system.finish else "these mixes have no finish"
            said.append(
                f"The coat that follows the wall has {formats.depth(coat.thickness_mm)} of "
                f"{coat.mix.name} in it, as thin as it is laid: {why}."
            )
    return said
