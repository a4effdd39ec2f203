"""What may go on what: each background with each family of mix, its treatment and its limits.

Rows are common practice, no source, unless they name one; the product's sheet wins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

from mytakeoff.errors import Check, TakeoffError
from mytakeoff.job.catalogue import BONDING_AGENT, COMMON, GRIT_PRIMER, PRIMER, SPATTERDASH
from mytakeoff.job.confidence import LikelyWall
from mytakeoff.job.mixes import FAMILIES, Mix, System

# Glass-fibre mesh is common practice, no source, wherever it stands. Two standards speak of metal lath at the
# same thickness; that is another thing, and no mesh takes its place in a contract that is written by them.
C926 = (
    f"{COMMON}; ASTM C926 clause 5.2.3 asks for metal lath above 5/8 in on a solid base, awci.org "
    "wachuwannano-8 (secondary, edition not said)"
)
C842 = (
    f"mesh: {COMMON}; greatest total: ASTM C842-05(2015), gypsum on vertical concrete over 5/8 in on lath, "
    "over 1 in on furred lath, nen.nl scope notes (secondary)"
)
MOISTURE = "SNiP 3.04.01-87 table 9: background moisture at most 8 %; perekos.net (secondary)"
# Laths 38 × 6.4 mm, 9.5 mm apart, let 1.3 l/m² through (Treatise on Architecture and Building Construction
# vol. 4, §39; chestofbooks.com); as much again spreads behind them (common practice, no source). Metal lath
# is published at 8 cu ft for 100 sq yd, 2.7 l/m² (Estimating in Building Construction, example 16-5;
# issuhub.com).
LATH_KEYS_L_PER_M2 = 2.6
NO_TREATMENT = ""

# What stands up that no reading finds (common practice, no source). A face that was floated once, or cast
# against boards, has waves of a float's length and hardly a nib; one that was built has joints, and mortar
# that stands proud of them.
FLOATED = LikelyWall(short_share=1.0, short_m=0.05, nibs_per_m2=0.15, nib_mm=4.0)
BLOWN = replace(FLOATED, nibs_per_m2=0.5, nib_mm=5.0)  # weak plaster stands up in blisters
BUILT = LikelyWall(short_share=0.6, short_m=0.0, nibs_per_m2=0.7, nib_mm=5.0)


@dataclass(frozen=True)
class Pair:
    """One family of mix on one background.

    Parameters
    ----------
    treatment : str
        Item of the price list that goes on first, "" for none (damping down only).
    max_total_mm : float
        Thickest build-up that the background carries [mm].
    mesh_above_mm : float
        Mesh is bedded in where the plaster is thicker [mm].
    remedy : str
        What to do instead; a pair with a remedy is forbidden.
    source : str
    """

    treatment: str = NO_TREATMENT
    max_total_mm: float = math.inf
    mesh_above_mm: float = math.inf
    remedy: str = ""
    source: str = COMMON

    @property
    def allowed(self) -> bool:
        """Whether it may be done."""
        return not self.remedy


@dataclass(frozen=True)
class Background:
    """A wall before it is plastered.

    Parameters
    ----------
    name : str
    cut_limit_mm : float
        How much of it may be taken down [mm].
    cut_rule : str
        Why no more.
    pairs : dict of str to Pair
        By family of mix.
    old_plaster : bool
        It is old plaster: its measured depth is then the limit.
    smooth : bool
        Bare, and yet even enough for a skim without a backing under it (common practice, no source).
    keys_l_per_m2 : float
        What goes through to the other side [l/m²].
    likely : LikelyWall
        What stands up from it that no reading finds.
    """

    name: str
    cut_limit_mm: float
    cut_rule: str
    pairs: dict[str, Pair] = field(hash=False, repr=False)
    old_plaster: bool = False
    smooth: bool = False
    keys_l_per_m2: float = 0.0
    likely: LikelyWall = BUILT

    @property
    def takes_skim(self) -> bool:
        """Whether a skim alone covers it; rough masonry needs a backing first."""
        return self.old_plaster or self.smooth


def _forbidden(remedy: str, source: str = COMMON) -> Pair:
    return Pair(remedy=remedy, source=source)


def _pairs(gypsum: Pair, lime: Pair, cement_lime: Pair, cement: Pair) -> dict[str, Pair]:
    return dict(zip(FAMILIES, (gypsum, lime, cement_lime, cement), strict=True))


_SOFTER = "use a lime or light gypsum mix, which is no harder than what it sits on, or hack back to masonry"
_LATH = "renew it as lath work of its own in lime, or take it down and line with boards"
_DRY_FIRST = "find and stop the damp, let the wall dry, or use a lime mix"
_PAINT = "take the paint off or hack a key through it, then enter the background that is left"
_SALTS = "salts come through: line the flue wall with boards on battens, or use a lime mix"
_THICK = Pair(SPATTERDASH, mesh_above_mm=15.9, source=C926)
_LIME = Pair(mesh_above_mm=25)
_MASONRY = "masonry loses 3 to 5 mm of its face before bricks and joints suffer"
_OLD = "old plaster is taken down to its own depth at most"
BACKGROUNDS: tuple[Background, ...] = (
    Background("brick", 5, _MASONRY, _pairs(Pair(PRIMER, mesh_above_mm=25), _LIME, _THICK, _THICK)),
    Background(
        "dense block", 5, _MASONRY,
        _pairs(Pair(GRIT_PRIMER, mesh_above_mm=25), _LIME, _THICK, _THICK),
    ),
    Background(
        "aerated block", 3, _MASONRY,
        _pairs(Pair(PRIMER, 25, 15), Pair(PRIMER, 25, 15), Pair(PRIMER, 20, 15), _forbidden(_SOFTER)),
    ),
    Background(
        "smooth concrete", 3, "concrete is ground no deeper than its cover of the steel allows",
        _pairs(Pair(GRIT_PRIMER, 25.4, 15.9, source=C842), Pair(SPATTERDASH, 20, 15),
               replace(_THICK, max_total_mm=25), replace(_THICK, max_total_mm=25)),
        smooth=True, likely=FLOATED,
    ),
    Background(
        "sound old plaster", 8, _OLD,
        _pairs(Pair(GRIT_PRIMER, 25, 15), Pair(max_total_mm=25, mesh_above_mm=15), Pair(GRIT_PRIMER, 15, 10),
               _forbidden(_SOFTER)),
        old_plaster=True, likely=FLOATED,
    ),
    Background(
        "weak old plaster", 3, _OLD,
        _pairs(Pair(PRIMER, 15, 8), Pair(max_total_mm=15, mesh_above_mm=10),
               _forbidden(_SOFTER), _forbidden(_SOFTER)),
        old_plaster=True, likely=BLOWN,
    ),
    Background(
        "painted plaster", 3, _OLD,
        _pairs(Pair(BONDING_AGENT, 5), _forbidden(_PAINT), _forbidden(_PAINT), _forbidden(_PAINT)),
        old_plaster=True, likely=FLOATED,
    ),
    Background(
        "stone", 3, _MASONRY,
        _pairs(Pair(PRIMER, mesh_above_mm=25), _LIME, _THICK,
               _forbidden("use lime, which lets old stone dry out")),
    ),
    Background(
        "wood lath", 0, "nothing is cut on lath: the keys behind it break",
        _pairs(_forbidden(_LATH), Pair(max_total_mm=22), _forbidden(_LATH), _forbidden(_LATH)),
        keys_l_per_m2=LATH_KEYS_L_PER_M2,
    ),
    Background(
        "damp masonry", 3, _MASONRY,
        _pairs(_forbidden(_DRY_FIRST, MOISTURE), _LIME, _THICK, _forbidden(_DRY_FIRST)),
    ),
    Background(
        "chimney flue wall", 0, "nothing is cut on a flue wall: it is thin and holds smoke back",
        _pairs(_forbidden(_SALTS), Pair(max_total_mm=25), Pair(SPATTERDASH, 20, 15), _forbidden(_SALTS)),
    ),
)  # fmt: skip
USUAL_BACKGROUND = "sound old plaster"  # of a wall of which nobody said what it is
BACKGROUND_NAMES = tuple(background.name for background in BACKGROUNDS)


def check_known(name: str, check: Check) -> None:
    """Note a background that is not in the table."""
    near = get_close_matches(name, BACKGROUND_NAMES, 1)
    check.that(
        name in BACKGROUND_NAMES,
        f"background {name!r}",
        "the background is one of a list",
        f"write {near[0]!r}" if near else f"choose from {', '.join(BACKGROUND_NAMES)}",
    )


def background_of(name: str) -> Background:
    """The row of a background.

    Raises
    ------
    TakeoffError
        No background is called so; the message lists those there are.

    Examples
    --------
    >>> background_of("brick").cut_limit_mm
    5
    """
    for background in BACKGROUNDS:
        if background.name == name:
            return background
    check = Check()
    check_known(name, check)
    raise TakeoffError(*check.mistakes)


def likely_on(background: str, likely: LikelyWall | None = None) -> LikelyWall:
    """What is taken for likely on a background before anything is read there.

    Parameters
    ----------
    background : str
    likely : LikelyWall or None
        The user's own figures, which win; None: none.

    Returns
    -------
    LikelyWall
        With every figure filled in.

    Raises
    ------
    TakeoffError
        No background is called so.

    Examples
    --------
    Mortar is left on bricks more often than on plaster that was floated once:

    >>> likely_on("brick").nibs_per_m2 > likely_on("sound old plaster").nibs_per_m2
    True
    >>> likely_on("brick", LikelyWall(nibs_per_m2=0.0)).nibs_per_m2
    0.0
    """
    row, own = background_of(background), likely or LikelyWall()
    usual = {name: getattr(row.likely, name) for name in ("short_share", "short_m", "nibs_per_m2", "nib_mm")}
    return replace(own, **{name: value for name, value in usual.items() if getattr(own, name) is None})


def pair_for(background: str, mix: Mix) -> Pair:
    """What the table says about a mix on a background; for an unknown background see `background_of`.

    Examples
    --------
    >>> pair_for("smooth concrete", Mix("light gypsum backing", 0.8, 25, 8, 15, 35)).treatment
    'grit primer'
    """
    return background_of(background).pairs[mix.family]


def cut_limit_mm(background: str, old_plaster_mm: float | None = None) -> float:
    """How much of a background may be taken down: old plaster to its own depth if that was measured [mm].

    Examples
    --------
    >>> cut_limit_mm("sound old plaster", 18.0), cut_limit_mm("wood lath")
    (18.0, 0)
    """
    row = background_of(background)
    if row.old_plaster and old_plaster_mm is not None:
        return old_plaster_mm
    return row.cut_limit_mm


def check_background(background: str, mix: Mix, place: str = "") -> None:
    """Refuse a mix that does not belong on a background.

    Parameters
    ----------
    background : str
    mix : Mix
    place : str
        Where it stands in the job, for the message.

    Raises
    ------
    TakeoffError
        A forbidden pair, with its remedy; or a mix whose thinnest coat is more than the background carries.

    Examples
    --------
    >>> check_background("brick", Mix("light gypsum backing", 0.8, 25, 8, 15, 35))
    """
    pair = pair_for(background, mix)
    check = Check(place)
    check.that(
        pair.allowed,
        f"{mix.name} on {background}",
        f"a {mix.family} mix does not go on {background} ({pair.source})",
        pair.remedy,
    )
    check.that(
        not pair.allowed or mix.least_coat_mm <= pair.max_total_mm,
        f"{mix.name}, {mix.least_coat_mm:g} mm at least, on {background}",
        f"{background} carries no more than {pair.max_total_mm:g} mm of it ({pair.source})",
        _PAINT if background == "painted plaster" else "use a thinner mix, or prepare back to sound masonry",
    )
    check.done()


def check_system(background: str, system: System, place: str = "") -> None:
    """Refuse a system whose mixes do not go on the wall, or not on one another.

    Raises
    ------
    TakeoffError
        Everything forbidden, told together.

    Examples
    --------
    >>> check_system("brick", System(Mix("light gypsum backing", 0.8, 25, 8, 15, 35)))
    """
    check = Check(place)
    for mix in {mix.name: mix for mix in (system.dubbing, system.backing) if mix is not None}.values():
        try:
            check_background(background, mix, place)
        except TakeoffError as error:
            check.add(error)
    for under, over in zip(system.mixes, system.mixes[1:], strict=False):
        check.that(
            under.family != "gypsum" or over.family in ("gypsum", "lime"),
            f"{over.name} over {under.name}",
            f"a {over.family} mix does not go over gypsum, which it swells and outgrows ({COMMON})",
            "keep to gypsum over gypsum, or use one cement-lime or lime system throughout",
        )
    check.done()
