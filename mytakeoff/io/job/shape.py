"""How ``job.toml`` is laid out, and a job as those tables.

The keys are the names of the fields of `Job`, `Room`, `JobWall`, `Wall` and the rest. What the file says in
another way than the types do stands here: a survey is named by its file, a mix by its name, a high spot by
its reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, asdict, dataclass, field, is_dataclass
from types import NoneType
from typing import Annotated, Any, get_args, get_origin

from mytakeoff.bounds import Across, Up, Within
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.job.catalogue import DEFAULT_MIXES
from mytakeoff.job.choices import Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import FinishDepth, Mix, System
from mytakeoff.survey.as_taken import MOST_OFF_MM
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.said import FoundNumber, SaidOf, ScanChoice
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall

FORMAT = 1
JOB_FILE, PRICE_FILE = "job.toml", "prices.csv"
PACK_FILE = "packs.csv"  # need not be there
Off = Annotated[float, Within(-MOST_OFF_MM, MOST_OFF_MM)]
KNOWN_MIXES = {mix.name: mix for mix in DEFAULT_MIXES}


@dataclass(frozen=True)
class SurveyEntry:
    """Where a wall's readings stand, "" as long as there are none, and what they are taken from."""

    file: str = ""
    plumb: bool = field(
        kw_only=True,
        metadata={"why": 'a survey says whether its plane was plumb: without that "leans" means nothing'},
    )
    swept: bool = False
    unit: str | None = None
    up: str | None = None
    found: FoundNumber | None = None
    other_side: bool = False
    bow_out: bool = False
    headings: str | None = None

    @property
    def scan(self) -> ScanChoice:
        """What it says about a scan, or about a sheet that does not say it itself."""
        return ScanChoice(self.unit, self.up, self.found, self.other_side, self.bow_out, self.headings)


NOT_READ = SurveyEntry(plumb=True)


@dataclass(frozen=True)
class HighSpot:
    """A high spot found by sweeping, read like the survey or given towards the room [m, m, mm]."""

    x_m: Across
    z_m: Up
    off_line_mm: Off | None = None
    proud_mm: Off | None = None

    def __post_init__(self) -> None:
        if (self.off_line_mm is None) == (self.proud_mm is None):
            raise TakeoffError(
                Mistake(
                    f"off_line_mm {self.off_line_mm}, proud_mm {self.proud_mm}",
                    "a high spot has one reading",
                    "give off_line_mm, or proud_mm, and not both",
                    "high spot",
                )
            )

    @property
    def reading(self) -> tuple[float, float, float]:
        """Place and how far it stands towards the room [m, m, mm]."""
        proud_mm = 0.0 - self.off_line_mm if self.off_line_mm is not None else self.proud_mm
        return self.x_m, self.z_m, proud_mm or 0.0


@dataclass(frozen=True)
class SystemEntry:
    """The mixes of a wall or a job by their names."""

    backing: str
    finish: str | None = None
    finish_mm: FinishDepth = 0.0
    dubbing: str | None = None


@dataclass(frozen=True)
class _WallParts:
    """What a wall's table says in another way than `JobWall`."""

    survey: SurveyEntry | None = None
    system: SystemEntry | None = None
    high_spots: tuple[HighSpot, ...] = ()
    sweeps: tuple[LaidEdge, ...] = ()
    said: tuple[SaidOf, ...] = ()


@dataclass(frozen=True)
class _JobParts:
    """What a job's table says in another way than `Job`: a new one has no rooms."""

    system: SystemEntry
    rooms: tuple[Room, ...] = ()


WALL_KEYS = keys_of(Wall, JobWall, _WallParts, without=frozenset({"wall"}))
JOB_KEYS = keys_of(
    Job, _JobParts, without=frozenset({"walls", "prices", "mixes", "packs", "folder", "worked_out"})
)
APART = ("format", "mix", "wall")


def mix_keys(name: Any) -> Mapping[str, Key]:
    """Keys of a mix's table: one that has a known mix's name says only what differs from it."""
    known = KNOWN_MIXES.get(name) if isinstance(name, str) else None
    if known is None:
        return keys_of(Mix)
    return {
        key.name: Key(key.name, key.field, key.hint, getattr(known, key.field)) if key.name != "name" else key
        for key in keys_of(Mix).values()
    }


def own_mixes(job: Job) -> tuple[Mix, ...]:
    """The mixes that the job's file has to describe: the user's own, and known ones with changed figures.

    Raises
    ------
    TakeoffError
        Two mixes of one name that are used with different figures.
    """
    used: dict[str, Mix] = {}
    for system in (job.system, *(wall.system for wall in job.walls if wall.system)):
        for mix in system.mixes:
            if used.setdefault(mix.name, mix) != mix:
                raise TakeoffError(
                    Mistake(
                        f"two mixes called {mix.name!r} with different figures",
                        "a mix is known by its name",
                        "change it for the whole job, or give one of them another name",
                        JOB_FILE,
                    )
                )
    listed = {mix.name for mix in job.mixes}
    found = {**{mix.name: mix for mix in job.mixes}, **used}
    return tuple(mix for name, mix in found.items() if name in listed or KNOWN_MIXES.get(name) != mix)


def tables_of(job: Job, survey_files: Mapping[str, str]) -> dict[str, Any]:
    """The job as the tables of its file, every key said.

    Parameters
    ----------
    job : Job
    survey_files : mapping of str to str
        The file of each wall's survey, by the wall's name; "" for one that is not read yet.
    """
    tables = {name: as_toml(getattr(job, key.field)) for name, key in JOB_KEYS.items() if name != "system"}
    tables["system"] = _system_table(job.system)
    tables["mix"] = [as_toml(mix) for mix in own_mixes(job)]
    tables["wall"] = [_wall_table(wall, survey_files[wall.name]) for wall in job.walls]
    return tables


def _wall_table(entry: JobWall, survey_file: str) -> dict[str, Any]:
    apart = ("survey", "system", "high_spot", "sweep", "said")
    table = {
        name: as_toml(getattr(entry.wall if hasattr(entry.wall, key.field) else entry, key.field))
        for name, key in WALL_KEYS.items()
        if name not in apart
    }
    read, scan = entry.survey, asdict(entry.survey.scan)
    survey = SurveyEntry(survey_file, plumb=read.plumb, swept=read.swept, **scan)
    system = None if entry.system is None else _system_table(entry.system)
    found = {"high_spot": _high_spots(entry.survey), "sweep": as_toml(entry.survey.sweeps)}
    found["said"] = as_toml(entry.survey.said)
    return {**table, "survey": None if survey == NOT_READ else as_toml(survey), "system": system, **found}


def _system_table(system: System) -> dict[str, Any]:
    finish, dubbing = (mix.name if mix else None for mix in (system.finish, system.dubbing))
    return as_toml(SystemEntry(system.backing.name, finish, system.finish_mm, dubbing))  # type: ignore[no-any-return]


def _high_spots(survey: Survey) -> list[dict[str, Any]]:
    spots = zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True)
    return [as_toml(HighSpot(x_m, z_m, off_line_mm=0.0 - proud_mm)) for x_m, z_m, proud_mm in spots]


def key_kind(key: Key) -> tuple[str, Any]:
    """Whether a key holds one "table", "tables" or a "value", and the dataclass of the table."""
    hint = next((part for part in get_args(key.hint) if part is not NoneType), key.hint)
    if get_origin(key.hint) is not tuple:
        hint = key.hint if is_dataclass(key.hint) else hint
        return ("table", hint) if is_dataclass(hint) else ("value", None)
    return ("tables", hint) if is_dataclass(hint) else ("value", None)


def full(document: Mapping[str, Any]) -> dict[str, Any]:
    """A document that has been checked with every key said, so that it compares with `tables_of`."""
    tables = table_with_all(document, JOB_KEYS)
    tables["mix"] = [table_with_all(mix, mix_keys(mix.get("name"))) for mix in document.get("mix", [])]
    tables["wall"] = [table_with_all(wall, WALL_KEYS) for wall in document.get("wall", [])]
    return tables


def table_with_all(table: Mapping[str, Any], keys: Mapping[str, Key]) -> dict[str, Any]:
    """A table with every key said."""
    filled = {}
    for name, key in keys.items():
        kind, cls = key_kind(key)
        value = table.get(name, None if key.default is MISSING else as_toml(key.default))
        if kind == "table" and value is not None:
            value = table_with_all(value, keys_of(cls))
        elif kind == "tables":
            value = [table_with_all(one, keys_of(cls)) for one in value or []]
        filled[name] = value
    return as_read_off(filled)


def as_read_off(table: dict[str, Any]) -> dict[str, Any]:
    """A high spot's table with its reading off the line; any other table as it is."""
    if "off_line_mm" in table and table.get("proud_mm") is not None:
        return {**table, "off_line_mm": 0.0 - table["proud_mm"], "proud_mm": None}
    return table
