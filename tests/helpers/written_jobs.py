"""What a job file says, to be held against another: values alone, or remarks alone."""

from __future__ import annotations

from mytakeoff.job.job import Job
from mytakeoff.survey.survey import Survey


def values_of(survey: Survey) -> tuple:
    read = sorted(zip(survey.x_m.tolist(), survey.z_m.tolist(), survey.proud_mm.tolist(), strict=True))
    high = list(zip(survey.high_x_m.tolist(), survey.high_z_m.tolist(), survey.high_mm.tolist(), strict=True))
    return (read, high, survey.plumb, survey.swept, survey.layout, survey.wall)


def values_in(job: Job) -> tuple:
    """All that a job says, surveys by their readings; unused mixes and the folder apart."""
    surveys = [values_of(wall.survey) for wall in job.walls]
    walls = [{**vars(wall), "survey": None} for wall in job.walls]
    apart = ("walls", "mixes", "folder")
    rest = {name: getattr(job, name) for name in job.__dataclass_fields__ if name not in apart}
    return (rest, walls, surveys)


def remarks(text: str) -> list[str]:
    """The words of every remark, those behind a key too."""
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]
