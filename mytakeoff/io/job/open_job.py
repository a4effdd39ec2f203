"""A job folder to a job: ``job.toml``, the surveys that it names, ``prices.csv``."""

from __future__ import annotations

from collections.abc import Callable, Mapping, MutableMapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any
from weakref import WeakValueDictionary

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.atomic import read_together
from mytakeoff.io.files.journal import half_done
from mytakeoff.io.files.text import FileText, path_inside, read_text
from mytakeoff.io.files.toml_fields import construct, place_of, read_table, toml_document
from mytakeoff.io.job.claims import check_claims
from mytakeoff.io.job.packs import read_packs
from mytakeoff.io.job.prices import read_prices
from mytakeoff.io.job.scenario_keys import check_scenarios
from mytakeoff.io.job.shape import (
    APART,
    FORMAT,
    JOB_FILE,
    JOB_KEYS,
    KNOWN_MIXES,
    NOT_READ,
    PACK_FILE,
    PRICE_FILE,
    WALL_KEYS,
    SurveyEntry,
    SystemEntry,
    mix_keys,
)
from mytakeoff.io.job.worked_out import read_worked_out
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.io.survey.survey_file import read_survey
from mytakeoff.job.choices import Room
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix, System
from mytakeoff.job.packs import PackList
from mytakeoff.job.prices import PriceList
from mytakeoff.resources import demo_folder
from mytakeoff.survey.laid_edge import LaidEdge
from mytakeoff.survey.said import SaidOf
from mytakeoff.survey.survey import Survey
from mytakeoff.survey.wall import Wall


@dataclass(frozen=True)
class FoundBeside:
    """What was found on a wall and belongs to its survey: high spots [m, m, mm], laid edges, words."""

    spots: tuple[tuple[float, float, float], ...] = ()
    sweeps: tuple[LaidEdge, ...] = ()
    said: tuple[SaidOf, ...] = ()


_SCANS: WeakValueDictionary[Any, Survey] = WeakValueDictionary()  # read already, as long as a job has them
WALL_FIELDS = frozenset(Wall.__dataclass_fields__)


def open_job(folder: str | Path | None = None) -> Job:
    """The job in a folder. Nothing in the folder is executed, no path in it leaves it.

    Nothing in it is changed either, but for a save that was cut off: that is finished first.

    Parameters
    ----------
    folder : str or Path, optional
        Holds ``job.toml``, ``prices.csv`` and the surveys that the job names. Unless given: the folder that
        one is in, if it holds a job, else the demo job.

    Returns
    -------
    Job

    Raises
    ------
    TakeoffError
        No job there, a file missing or not readable, a key unknown or missing, a value that breaks its rule:
        all that can be found at once, each with its place. Or a save was cut off and cannot be finished.
    """
    folder = _here_or_demo() if folder is None else Path(folder)
    return read_together(folder, (JOB_FILE, PRICE_FILE, PACK_FILE), lambda: _job_of(folder))


def _job_of(folder: Path) -> Job:
    """The job as its files say it."""
    document = parsed(job_text(folder))
    check = Check(JOB_FILE)
    prices, packs = _prices(folder, check), _packs(folder, check)
    job = job_in(document, prices, packs, folder, check)
    check.done()
    assert job is not None  # else a mistake was noted
    return job


def _here_or_demo() -> Path:
    """The working folder if it holds a job, else the demo job."""
    here = Path.cwd()
    return here if (here / JOB_FILE).is_file() or half_done(here) else demo_folder()


def job_text(folder: Path) -> FileText:
    """The text of the folder's ``job.toml``.

    Raises
    ------
    TakeoffError
        There is none, or it is not text.
    """
    if not (folder / JOB_FILE).exists():
        found = f"no {JOB_FILE}" if folder.is_dir() else "no such folder"
        raise TakeoffError(
            Mistake(
                found,
                f"a job folder holds {JOB_FILE}, {PRICE_FILE} and the surveys",
                "make one with: mytakeoff new FOLDER, or name the folder that holds the job",
                str(folder),
            )
        )
    return read_text(path_inside(folder, JOB_FILE, str(folder)), JOB_FILE)


def parsed(file: FileText) -> dict[str, Any]:
    """The tables of a job file, those of an older format brought up to this one.

    Raises
    ------
    TakeoffError
        It is no TOML, or of a newer format.
    """
    document = toml_document(file.text, JOB_FILE)
    upgrade(document)
    return document


def upgrade(document: MutableMapping[str, Any]) -> None:
    """Bring the tables of an older format up to this one, in place.

    Format 0 gave waste as ``waste_percent``. ``price_at_confidence`` says nothing any more: a job is priced
    at its confidence unless millimetres are entered.

    Raises
    ------
    TakeoffError
        A newer format, or none said.

    Examples
    --------
    >>> document = {"format": 0, "waste_percent": 12}
    >>> upgrade(document)
    >>> document
    {'format': 1, 'waste_share': 0.12}
    """
    sureness = document.get("sureness")
    if isinstance(sureness, MutableMapping):
        sureness.pop("price_at_confidence", None)
    found = document.get("format")
    if isinstance(found, bool) or not isinstance(found, int) or not 0 <= found <= FORMAT:
        newer = isinstance(found, int) and found > FORMAT
        raise TakeoffError(
            Mistake(
                "no format" if found is None else f"format {found!r}",
                f"this version reads job files up to format {FORMAT}",
                "open it with a newer mytakeoff" if newer else f"write format = {FORMAT} at the top",
                JOB_FILE,
            )
        )
    if found == FORMAT:
        return
    percent = document.get("waste_percent")
    if isinstance(percent, (int, float)) and not isinstance(percent, bool):
        document["waste_share"] = float(Decimal(repr(percent + 0)) / 100)
        del document["waste_percent"]
    document["format"] = FORMAT


def _prices(folder: Path, check: Check) -> PriceList:
    try:
        return read_prices(path_inside(folder, PRICE_FILE, JOB_FILE), PRICE_FILE)
    except TakeoffError as error:
        check.add(error)
        return PriceList()


def _packs(folder: Path, check: Check) -> PackList:
    """The packs of a job; none where there is no such file."""
    if not (folder / PACK_FILE).exists():
        return PackList()
    try:
        return read_packs(path_inside(folder, PACK_FILE, JOB_FILE), PACK_FILE)
    except TakeoffError as error:
        check.add(error)
        return PackList()


def read_entry(path: Path, entry: SurveyEntry, wall: Wall, found: FoundBeside) -> Survey:
    """The survey that a wall's entry names, from its file.

    Raises
    ------
    TakeoffError
        Whatever is wrong with the file.
    """
    key = (path, _look(path), entry, wall, found) if is_scan(path) else None
    if (known := _SCANS.get(key)) is not None:
        return known
    read = read_survey(path, wall, entry.plumb, swept=entry.swept, high_spots=found.spots, name=entry.file,
                       said=found.said, so_far=True, **asdict(entry.scan))  # fmt: skip
    read = read.with_sweeps(found.sweeps) if found.sweeps else read
    if key is not None:
        _SCANS[key] = read
    return read


def _not_read(entry: SurveyEntry, wall: Wall, found: FoundBeside) -> Survey:
    """The survey of a wall of which nothing is read yet."""
    survey = Survey.none(wall, entry.plumb, scan=entry.scan)
    return (
        survey.with_said(found.said, so_far=True)
        .with_high_spots(found.spots, entry.swept)
        .with_sweeps(found.sweeps)
    )


def _look(path: Path) -> tuple[int, ...]:
    """What changes with a file; nothing of one that is not there."""
    try:
        known = path.stat()
    except OSError:
        return ()
    return known.st_mtime_ns, known.st_size, known.st_ino


Reader = Callable[[Path, SurveyEntry, Wall, FoundBeside], Survey]


def job_in(
    document: Mapping[str, Any],
    prices: PriceList,
    packs: PackList,
    folder: Path,
    check: Check,
    reader: Reader = read_entry,
) -> Job | None:
    """The job that a document describes, its surveys read by `reader`, or None with the mistakes noted."""
    values = read_table(JOB_KEYS, document, JOB_FILE, check, APART)
    mixes = mixes_in(document.get("mix", []), check)
    known = {**KNOWN_MIXES, **{mix.name: mix for mix in mixes}}
    tables = _tables(document, "wall", check)
    if not check_claims(tables, check):
        return None
    walls = [_wall(table, place, known, folder, check, reader) for place, table in tables]
    read = tuple(wall for wall in walls if wall is not None)
    entry = values.pop("system", None)
    system = system_in(entry, known, f"{JOB_FILE}, system", check) if entry else None
    if len(read) < len(walls):
        for name in ("only", "compare"):  # they may name a wall that could not be read
            values.pop(name, None)
    rooms = _rooms(values.get("rooms", ()), document.get("room", []))
    if len(read) < len(walls):
        rooms = tuple(room.of_walls([wall.name for wall in read]) for room in rooms)
    values["rooms"] = rooms
    if system is None or "title" not in values or (walls and not read):
        return None
    rest = {"walls": read, "system": system, "prices": prices, "mixes": mixes, "packs": packs}
    rest |= {"folder": str(folder), "worked_out": read_worked_out(folder)}
    check_scenarios(values.get("scenarios", ()), JOB_FILE, check)
    job: Job | None = construct(Job, {**values, **rest}, JOB_FILE, check)
    return job


def _rooms(rooms: Sequence[Room], tables: Any) -> tuple[Room, ...]:
    """The rooms, and by their names alone those that could not be read: walls still stand in them."""
    listed = tables if isinstance(tables, list) else []
    names = [table.get("name") for table in listed if isinstance(table, dict)]
    missed = dict.fromkeys(name for name in names if isinstance(name, str))
    return (*rooms, *(Room(name) for name in missed if name not in [room.name for room in rooms]))


def check_tables(document: Mapping[str, Any], check: Check) -> None:
    """Note each key that is unknown, missing or of another kind; reads no other file."""
    read_table(JOB_KEYS, document, JOB_FILE, check, APART)
    mixes_in(document.get("mix", []), check)
    for place, table in _tables(document, "wall", check):
        read_table(WALL_KEYS, table, place, check)


def _tables(document: Mapping[str, Any], name: str, check: Check) -> list[tuple[str, Any]]:
    """Each table of an array with its place."""
    found = document.get(name, [])
    if not isinstance(found, list):
        check.that(False, f"{name} is {found!r}", "a list of tables stands here", f"write [[{name}]]")
        return []
    return [(place_of(f"{JOB_FILE}, {name}", nth, table), table) for nth, table in enumerate(found, start=1)]


def mixes_in(found: Any, check: Check) -> tuple[Mix, ...]:
    """The user's own mixes; one with a known mix's name takes the figures that it does not say from that."""
    mixes: dict[str, Mix] = {}
    for place, table in _tables({"mix": found}, "mix", check):
        name = table.get("name") if isinstance(table, dict) else None
        before = len(check.mistakes)
        values = read_table(mix_keys(name), table, place, check)
        if len(check.mistakes) > before:
            continue
        defaults = {key.field: key.default for key in mix_keys(name).values() if not key.required}
        mix = construct(Mix, {**defaults, **values}, place, check)
        if mix is None:
            continue
        check.that(mix.name not in mixes, f"two mixes called {mix.name!r}", "a mix is known by its name",
                   "rename one", place)  # fmt: skip
        mixes[mix.name] = mix
    return tuple(mixes.values())


def system_in(entry: SystemEntry, known: Mapping[str, Mix], place: str, check: Check) -> System | None:
    """The mixes that a system names, or None with the mistakes noted."""
    before = len(check.mistakes)
    for name in (name for name in (entry.backing, entry.finish, entry.dubbing) if name not in (None, *known)):
        near = get_close_matches(str(name), list(known), 1)
        remedy = f"write {near[0]!r}" if near else f"choose from {', '.join(known)}, or add a [[mix]]"
        check.that(False, f"mix {name!r}", "a mix is a known one or one of the job's own", remedy, place)
    if len(check.mistakes) > before:
        return None
    finish, dubbing = (known[name] if name else None for name in (entry.finish, entry.dubbing))
    values = {"backing": known[entry.backing], "finish": finish, "finish_mm": entry.finish_mm}
    system: System | None = construct(System, {**values, "dubbing": dubbing}, place, check)
    return system


def _wall(
    table: Any, place: str, known: Mapping[str, Mix], folder: Path, check: Check, reader: Reader
) -> JobWall | None:
    """One wall with its readings, or None with the mistakes noted."""
    before = len(check.mistakes)
    values = read_table(WALL_KEYS, table, place, check)
    entry, mixes = values.pop("survey", None) or NOT_READ, values.pop("system", None)
    spots, sweeps, said = (values.pop(name, ()) for name in ("high_spots", "sweeps", "said"))
    found = FoundBeside(tuple(spot.reading for spot in spots), sweeps, said)
    system = system_in(mixes, known, f"{place}, system", check) if mixes else None
    sizes = {name: value for name, value in values.items() if name in WALL_FIELDS}
    if not {"name", "width_m", "height_m"} <= set(sizes):
        return None
    wall = construct(Wall, sizes, place, check)
    survey = None
    if wall and entry.file:
        inside = folder, entry.file, f"{place}, survey"
        survey = check.made(lambda: reader(path_inside(*inside), entry, wall, found))
    elif wall:
        survey = check.made(lambda: _not_read(entry, wall, found))
    if len(check.mistakes) > before or survey is None:
        return None
    rest = {name: value for name, value in values.items() if name not in WALL_FIELDS}
    made: JobWall | None = construct(
        JobWall, {**rest, "wall": wall, "survey": survey, "system": system}, place, check
    )
    return made
