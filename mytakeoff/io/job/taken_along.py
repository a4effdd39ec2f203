"""What a job takes along into a folder: its surveys' files, and its own files as the user wrote them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from itertools import count
from pathlib import Path, PurePosixPath
from typing import Any

from mytakeoff.errors import Check, Mistake, TakeoffError
from mytakeoff.io.files.journal import Content, digest
from mytakeoff.io.files.text import file_stem, path_inside, read_text
from mytakeoff.io.files.toml_fields import toml_document
from mytakeoff.io.files.written import FINISHED, SIGNED
from mytakeoff.io.scan.kind import is_scan
from mytakeoff.io.survey.survey_file import read_survey, survey_text
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.survey.said import ScanChoice
from mytakeoff.survey.survey import Survey


def opened_from(job: Job, folder: Path) -> Path | None:
    """The folder that a job was opened from, if it is saved into another one."""
    home = Path(job.folder) if job.folder else None
    return home if home is not None and home.resolve() != folder.resolve() else None


def signed_along(job: Job, folder: Path) -> dict[Path, Content]:
    """What was signed of a job that is saved into another folder, by where it shall stand there.

    Nothing where something is kept there already.
    """
    home = opened_from(job, folder)
    if home is None or (folder / SIGNED).exists():
        return {}
    kept = (path for path in sorted((home / SIGNED).rglob("*")) if path.is_file() and not path.is_symlink())
    return {folder / path.relative_to(home): path for path in kept}


def finished_along(job: Job, folder: Path) -> dict[Path, Content]:
    """What was written down of a finished job that is saved into another folder, with the surveys it names.

    Nothing where something is written down there already. Of a file that is no TOML the file alone: whoever
    opens it there is told.

    Raises
    ------
    TakeoffError
        Another file has the name of such a survey there: the finished wall would be read from it.
    """
    home = opened_from(job, folder)
    if home is None or (folder / FINISHED).exists() or not (home / FINISHED).is_file():
        return {}
    check = Check(FINISHED)
    named = {path_inside(folder, name, FINISHED): home / name for name in _files_named(home)}
    for there, here in named.items():
        check.that(not there.exists() or digest(there) == digest(here), f"{there.name} is there already",
                   "a finished wall goes along with its own survey, and no file is written over",
                   "save into an empty folder, or call that file something else")  # fmt: skip
    check.done()
    return {**named, folder / FINISHED: home / FINISHED}


def _files_named(home: Path) -> Iterator[str]:
    """Files of a folder that are named in what was written down there."""
    with suppress(TakeoffError):
        for text in _texts(toml_document(read_text(home / FINISHED).text, FINISHED)):
            with suppress(TakeoffError):
                if path_inside(home, text, FINISHED).is_file():
                    yield text


def _texts(value: Any) -> Iterator[str]:
    """All texts in tables and lists, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _texts(each)


def survey_places(
    job: Job, folder: Path, opened: Job | None, brought: Mapping[str, Path]
) -> tuple[dict[str, str], dict[Path, Content]]:
    """Where in a folder each wall's survey stands, and what has to be written for it.

    Parameters
    ----------
    job : Job
    folder : Path
        Files that stand there are never changed. One of the name that holds other readings is not the
        wall's: it gets a file of another name.
    opened : Job or None
        The job as it was opened or last saved; what has not changed since is not read again.
    brought : mapping of str to Path
        Survey files from elsewhere, by where they shall stand.

    Returns
    -------
    dict of str to str
        The file of each wall's survey; "" for one without readings that has no file.
    dict of Path to bytes or Path
        What shall be written: a file of the folder that the job was opened from as it is, else the readings.

    Raises
    ------
    TakeoffError
        A survey names a file outside the folder, or was read from a scan that is nowhere by now.
    """
    known = {wall.survey for wall in opened.walls} if opened else set()
    names: dict[str, str] = {}
    contents: dict[str, Content] = {}
    for wall in job.walls:
        name, content = _place(wall, job, folder, known, brought)
        if content is not None:
            name = next(one for one in _numbered(name) if _free(folder, one, content, contents))
            if not (folder / name).exists():
                contents[name] = content
        names[wall.name] = name
    return names, {path_inside(folder, name, "survey file"): content for name, content in contents.items()}


def _place(
    wall: JobWall, job: Job, folder: Path, known: set[Survey], brought: Mapping[str, Path]
) -> tuple[str, bytes | Path | None]:
    """Where a wall's survey shall stand, and what with; None where it stands there."""
    survey, source = wall.survey, wall.survey.source
    if source and (source.lower().endswith(".csv") or (folder / source).is_file() or source in brought):
        path = path_inside(folder, source, f"wall {wall.name!r}")
        if source in brought:
            _check_brought(path, brought[source])
            return source, None if path.exists() else brought[source]
        if path.is_file() and _is_of(path, survey, opened_from(job, folder) is None, survey in known):
            return source, None
    home = opened_from(job, folder)
    if home is not None and source and (home / source).is_file() and _reads(home / source, survey) == survey:
        return source, path_inside(home, source, f"wall {wall.name!r}")
    if not survey.x_m.size:
        return "", None
    _check_not_scanned(wall, folder)
    name = source if source.lower().endswith(".csv") else f"surveys/{file_stem(wall.name)}.csv"
    return name, survey_text(survey).encode()


def _check_not_scanned(wall: JobWall, folder: Path) -> None:
    """Refuse to write a scan's points as readings: they scatter, in steps that only its file tells."""
    if wall.survey.scan != ScanChoice():
        raise TakeoffError(
            Mistake(
                f"the scan {wall.survey.source!r} is neither there nor where the job was opened",
                "a scan is kept as its file, so that the wall stays the same to the cent",
                f"copy that file into {folder} and save again (join several into one first)",
                f"wall {wall.name!r}",
            )
        )


def _check_brought(path: Path, file: Path) -> None:
    """Refuse a name under which somebody else has put another file meanwhile."""
    if path.exists() and digest(path) != digest(file):
        raise TakeoffError(
            Mistake(f"{path.name} is there by now and holds something else", "no file is written over",
                    "save again: it gets a name of its own", path.name)
        )  # fmt: skip


def _is_of(path: Path, survey: Survey, at_home: bool, unchanged: bool) -> bool:
    """Whether a file holds a survey's readings. At home a scan is not read again for it, nor what has not
    changed; and a file that cannot be read is left to whoever opens the job."""
    if not at_home:
        return _reads(path, survey) == survey
    if unchanged or is_scan(path):
        return True
    read = _reads(path, survey)
    return read is None or read.readings_digest == survey.readings_digest


def _reads(path: Path, survey: Survey) -> Survey | None:
    """A file read as a survey was, with the same notes; None if it cannot be read so."""
    try:
        spots = zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True)
        read = read_survey(path, survey.wall, survey.plumb, swept=survey.swept, high_spots=list(spots),
                           said=survey.said, so_far=True, **asdict(survey.scan))  # fmt: skip
        return replace(read.with_sweeps(survey.sweeps), notes=survey.notes)
    except TakeoffError:
        return None


def _numbered(name: str) -> Iterator[str]:
    """A file's name, then the same with numbers."""
    path = PurePosixPath(name.replace("\\", "/"))
    yield name
    for nth in count(2):
        yield path.with_stem(f"{path.stem}-{nth}").as_posix()


def _free(folder: Path, name: str, content: bytes | Path, taken: Mapping[str, Content]) -> bool:
    """Whether a content may stand under a name: nothing does, or the same."""
    path = folder / name
    if name in taken:
        return taken[name] == content
    if not path.exists():
        return True
    return path.read_bytes() == content if isinstance(content, bytes) else digest(path) == digest(content)
