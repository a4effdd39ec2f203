"""What the files are called that the program writes beside a job: none of them is ever a survey."""

from __future__ import annotations

from mytakeoff.audience import AUDIENCES, named_for

COSTED_TABLE = "costed-table.csv"
OPTIONS = "options.csv"
SETTING_OUT = "setting-out.csv"
ORDER = "order.csv"
PROGRAMME = "programme.csv"
TABLES = (COSTED_TABLE, OPTIONS, SETTING_OUT, ORDER, PROGRAMME)
OF_THE_JOB = ("prices.csv", "packs.csv")
BESIDE = (".csv", ".txt", "-range.csv")  # a table, its companion text, its table of ranges


def is_written(name: str) -> bool:
    """Tell whether a file has the name of one that the program writes, or of the job's own lists.

    Examples
    --------
    >>> is_written("costed-table-range.csv"), is_written("options.txt"), is_written("packs.csv")
    (True, True, True)
    >>> is_written("costed-table-client.csv")
    True
    >>> is_written("kitchen.csv")
    False
    """
    stems = [named_for(table, audience).removesuffix(".csv") for table in TABLES for audience in AUDIENCES]
    return name.lower() in (*OF_THE_JOB, *(f"{stem}{ending}" for stem in stems for ending in BESIDE))
