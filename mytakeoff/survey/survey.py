"""What was measured: readings taken off one fixed plane, checked, in the wall frame.

``proud_mm`` is towards the room. A reading "off the line" is taken from a fixed plane (a laser plane, say)
back to the wall: bigger is hollower, so ``proud_mm = -off_line_mm``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from hashlib import blake2b
from typing import Annotated, Any, Literal

import numpy as np
from numpy.typing import ArrayLike

from mytakeoff.bounds import HIGHEST_M, LONGEST_M, ROUNDING_M, Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.survey.as_taken import (
    BY_HAND_PER_M2,
    MOST_APART_MM,
    MOST_OFF_MM,
    check_on_wall,
    check_spread,
    fills_a_grid,
    in_a_line,
    merge_repeats,
)
from mytakeoff.survey.as_taken import Floats as Floats
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.said import SAID_M, SaidOf, ScanChoice, StandsOff, where_said
from mytakeoff.survey.wall import Wall

Layout = Literal["grid", "list", "scan"]

TOO_MANY_TO_COPY = 1_000_000  # points of a scan
LATER = {"bow_mm": 0.0}  # not in what a survey says where it says nothing: fingerprints of before still hold

OnWall = Annotated[Floats, Within(-ROUNDING_M, max(LONGEST_M, HIGHEST_M))]
OffPlane = Annotated[Floats, Within(-MOST_OFF_MM, MOST_OFF_MM)]


def read_only(values: ArrayLike) -> Floats:
    """A float copy of the values that nobody can write to."""
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


def _not_copied(values: Floats) -> Floats:
    """The same values under a name that nobody can write to."""
    view = values.view()
    view.flags.writeable = False
    return view


def _digest(value: Any) -> object:
    """An array as the digest of its bytes; anything else as it is."""
    if not isinstance(value, np.ndarray):
        return value
    return value.shape, value.dtype.str, blake2b(np.ascontiguousarray(value).data, digest_size=16).digest()


@dataclass(frozen=True, eq=False)
class Survey:
    """The readings on one wall, checked, in the wall frame. Two that say the same are equal, whatever file
    either is from.

    Parameters
    ----------
    wall : Wall
        What was measured.
    x_m, z_m : (n,) float
        Where each reading was taken [m].
    proud_mm : (n,) float
        How far the wall stands towards the room from the plane measured off, at least three [mm].
    plumb : bool
        Whether that plane was plumb: without it "leans" means nothing.
    layout : "grid", "list" or "scan"
        Readings in whole rows and columns, single ones, or a dense cloud.
    high_x_m, high_z_m : (k,) float
        Where high spots were found by sweeping with a straightedge [m].
    high_mm : (k,) float
        Those high spots, read off the same plane [mm].
    swept : bool
        The whole wall was swept and its high spots entered.
    sweeps : tuple of LaidEdge
        Straightedges laid on the wall, each where it was laid.
    source : str
        The file's name, for messages.
    notes : tuple of str
        What was found while it was read, for the user to know.
    scan : ScanChoice
        What the user said about it, if it is a scan.
    depth_step_mm : float
        What a scan's depth comes in, 0 where it comes in no steps that show [mm].
    bow_mm : float
        A bow over a scanned wall that is or may be the instrument's own, and is in the readings [mm].
    said : tuple of SaidOf
        What the user has said of single readings.
    stood_off : tuple of StandsOff
        What stood off a scanned wall when it was read, left out or not.
    """

    wall: Wall
    x_m: OnWall
    z_m: OnWall
    proud_mm: OffPlane
    plumb: bool = True
    layout: Layout = "list"
    high_x_m: OnWall = field(default_factory=lambda: read_only([]))
    high_z_m: OnWall = field(default_factory=lambda: read_only([]))
    high_mm: OffPlane = field(default_factory=lambda: read_only([]))
    swept: bool = False
    sweeps: tuple[LaidEdge, ...] = ()
    source: str = field(default="", compare=False)
    notes: tuple[str, ...] = ()
    scan: ScanChoice = field(default_factory=ScanChoice)
    depth_step_mm: Annotated[float, Within(0.0, 1000.0)] = 0.0
    bow_mm: Annotated[float, Within(-MOST_APART_MM, MOST_APART_MM)] = 0.0
    said: tuple[SaidOf, ...] = ()
    stood_off: tuple[StandsOff, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        for entry in fields(self):
            value = getattr(self, entry.name)
            if isinstance(value, np.ndarray) and value.flags.writeable:
                object.__setattr__(self, entry.name, read_only(value))
        check = Check(self.source or f"survey of wall {self.wall.name!r}")
        check_numbers(self, check)
        check.done()

    @cached_property
    def _content(self) -> tuple[object, ...]:
        """All that it says, each array as a digest: gone through once, and short to compare."""
        said = {entry.name: getattr(self, entry.name) for entry in fields(self) if entry.compare}
        silent = {name for name, nothing in LATER.items() if said[name] == nothing}
        return tuple(_digest(value) for name, value in said.items() if name not in silent)

    @cached_property
    def readings_digest(self) -> str:
        """The readings alone, whatever is said of them, as a digest: those that a job was shipped with are
        known by it."""
        arrays = (self.x_m, self.z_m, self.proud_mm)
        return blake2b(
            b"".join(np.ascontiguousarray(each).data for each in arrays), digest_size=8
        ).hexdigest()

    @cached_property
    def fingerprint(self) -> str:
        """Of all that it says: the same in every process."""
        return blake2b(repr(self._content).encode(), digest_size=16).hexdigest()

    @cached_property
    def _hash(self) -> int:
        return hash(self._content)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return self is other or (isinstance(other, Survey) and self._content == other._content)

    @cached_property
    def is_enough(self) -> bool:
        """Whether it can be worked with: the readings that count, without hollow ones, make a plane."""
        out = np.zeros(self.x_m.size, dtype=bool)
        if self.layout != "scan":
            out |= where_said(self.said, "left out", self.x_m, self.z_m)
            out |= where_said(self.said, "hollow", self.x_m, self.z_m)
        return not in_a_line(self.x_m[~out], self.z_m[~out])

    @classmethod
    def none(cls, wall: Wall, plumb: bool = True, **details: Any) -> Survey:
        """A survey of a wall that is not read yet.

        Examples
        --------
        >>> Survey.none(Wall("A", 2.0, 2.5)).is_enough
        False
        """
        nothing = read_only([])
        return cls(wall, nothing, nothing, nothing, plumb=plumb, **details)

    @classmethod
    def from_readings(
        cls,
        wall: Wall,
        x_m: ArrayLike,
        z_m: ArrayLike,
        proud_mm: ArrayLike,
        *,
        so_far: bool = False,
        **details: Any,
    ) -> Survey:
        """A survey from plain arrays of equal length.

        Parameters
        ----------
        wall : Wall
        x_m, z_m : (n,) float
            On the wall [m].
        proud_mm : (n,) float
            Towards the room is positive; NaN where nothing was read [mm].
        so_far : bool
            Readings are still being taken: they need not make a plane yet.
        **details
            Any other field of `Survey`, by name.

        Returns
        -------
        Survey
            Equal readings at one place kept once; blanks dropped. Unless `layout` says otherwise, readings
            that fill every crossing of their rows and columns are a grid, more than 200 on a square metre
            a scan. A scan's points all stay: they scatter, and may come twice. One of a million points or
            more is not copied: do not write to its arrays afterwards.

        Raises
        ------
        TakeoffError
            Arrays of different lengths, readings off the wall or of no wall, two at one place that disagree;
            fewer than three or all on one line, unless they are those so far.

        Examples
        --------
        >>> survey = Survey.from_readings(Wall("A", 2.0, 2.5), [0, 2, 0, 2], [0, 0, 2.5, 2.5], [0, 0, 5, 5])
        >>> survey.layout, float(survey.proud_mm.max())
        ('grid', 5.0)
        """
        x, z, proud = (np.asarray(values, dtype=np.float64).ravel() for values in (x_m, z_m, proud_mm))
        check = Check(details.get("source", "") or f"survey of wall {wall.name!r}")
        check.that(
            x.size == z.size == proud.size,
            f"{x.size} distances, {z.size} heights, {proud.size} readings",
            "each reading has one place",
            "give three lists of the same length",
        )
        check.done()
        read = ~np.isnan(proud)
        if not read.all():
            x, z, proud = x[read], z[read], proud[read]
        check_on_wall(wall, x, z, proud, check)
        check.done()
        if "layout" not in details:
            details["layout"] = _layout_of(wall, x, z)
        if details["layout"] != "scan":
            x, z, proud = merge_repeats(x, z, proud, check)
        if not so_far:
            check_spread(x, z, check)
        check.done()
        hold = _not_copied if details["layout"] == "scan" and x.size >= TOO_MANY_TO_COPY else read_only
        return cls(wall, hold(x), hold(z), hold(proud), **details)

    def with_high_spots(self, spots: Sequence[tuple[float, float, float]], swept: bool = False) -> Survey:
        """The same survey with high spots found by sweeping.

        Parameters
        ----------
        spots : sequence of (x [m], z [m], proud [mm])
            Read off the same plane as the survey.
        swept : bool
            The whole wall was swept, so that no high spot is missing.

        Raises
        ------
        TakeoffError
            A spot off the wall.
        """
        table = np.array(spots, dtype=np.float64).reshape(-1, 3)
        check = Check(f"high spots of wall {self.wall.name!r}")
        x, z, proud = (read_only(column) for column in table.T)
        check_on_wall(self.wall, x, z, proud, check)
        check.done()
        return replace(self, high_x_m=x, high_z_m=z, high_mm=proud, swept=swept)

    def with_sweeps(self, sweeps: Sequence[LaidEdge]) -> Survey:
        """The same survey with straightedges laid on the wall.

        Raises
        ------
        TakeoffError
            An edge that reaches beyond the wall.
        """
        wall, check = self.wall, Check(f"wall {self.wall.name!r}")
        for sweep in sweeps:
            ends = (sweep.place(0.0), sweep.place(sweep.length_m))
            check.that(
                all(
                    -1e-6 <= x <= wall.width_m + 1e-6 and -1e-6 <= z <= wall.height_m + 1e-6 for x, z in ends
                ),
                f"from x {ends[0][0]:.2f}, z {ends[0][1]:.2f} m to x {ends[1][0]:.2f}, z {ends[1][1]:.2f} m",
                f"an edge lies on its wall, {wall.width_m:g} × {wall.height_m:g} m",
                "give its left end (lower end where it is upright), its direction and its length",
                f"wall {wall.name!r}, {sweep.where}",
            )
        check.done()
        return replace(self, sweeps=tuple(sweeps))

    def with_said(self, said: Sequence[SaidOf], so_far: bool = False) -> Survey:
        """The same survey with what the user says of single readings, or of patches of a scan.

        Raises
        ------
        TakeoffError
            A place where nothing was read, two words for one place, or, unless readings are still being
            taken, no plane in what is left: of readings that count, and of those that are not hollow.
        """
        check = Check(f"what is said of readings of wall {self.wall.name!r}")
        for nth, one in enumerate(said):
            place = f"x {one.x_m:g} m, z {one.z_m:g} m"
            before = [np.hypot(each.x_m - one.x_m, each.z_m - one.z_m) for each in said[:nth]]
            check.that(min(before, default=1.0) > SAID_M, f"two words for {place}",
                       "one word is said of a place", "take one out")  # fmt: skip
            read = self.layout == "scan" or where_said([one], one.said, self.x_m, self.z_m).any()
            check.that(bool(read), f"{one.said!r} for {place}", "it is said of a reading, and there is none",
                       "give the place of a reading, or take it out")  # fmt: skip
        if self.layout != "scan" and not so_far:
            out, word, face = where_said(said, "left out", self.x_m, self.z_m), "left out", "wall"
            if not in_a_line(self.x_m[~out], self.z_m[~out]):
                out, word, face = out | where_said(said, "hollow", self.x_m, self.z_m), "hollow", "sound face"
            check.that(
                not in_a_line(self.x_m[~out], self.z_m[~out]),
                f"{int((~out).sum())} readings of the {face} once others are {word}",
                "a plane takes at least three, not on one straight line",
                "keep some of them, or measure more of the wall",
            )
        check.done()
        return replace(self, said=tuple(said))


def _layout_of(wall: Wall, x: Floats, z: Floats) -> Layout:
    """A grid if each crossing is filled, a scan if nobody could have read so many by hand, else a list."""
    if fills_a_grid(x, z):
        return "grid"
    return "scan" if x.size > BY_HAND_PER_M2 * wall.width_m * wall.height_m else "list"
