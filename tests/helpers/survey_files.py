"""Survey files written for a test and read by the package."""

from __future__ import annotations

from pathlib import Path

from mytakeoff import Survey, Wall, read_survey


def survey_in(folder: Path, content: str | bytes, wall: Wall, name: str = "north.csv", **details) -> Survey:
    """The survey of a wall that a file of this content says."""
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_survey(path, wall, **details)


def readings(survey: Survey) -> dict[tuple[float, float], float]:
    """How proud each place is [m, mm]."""
    columns = (survey.x_m.tolist(), survey.z_m.tolist(), survey.proud_mm.tolist())
    return {(x, z): proud for x, z, proud in zip(*columns, strict=True)}
