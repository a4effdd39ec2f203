"""A priced job as it is read in a terminal: headline and costed table, ruled or plain."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence

from mytakeoff.audience import CLIENT, Audience
from mytakeoff.cost.shown import shown_table
from mytakeoff.figures.in_words import NOTHING_PRICED, facts, first_step, to_know
from mytakeoff.result import Result
from mytakeoff.terminal.out import harmless, say
from mytakeoff.units import decimal_of

TEXTS = ("item", "unit")  # columns that stand to the left
GAP = "  "
Cells = tuple[str, ...]
Line = tuple[Cells, bool]
"""A row of the table, and whether it stands out."""


def show(result: Result, audience: Audience) -> None:
    """Print a priced job under its title."""
    known = headline_lines(result, audience)
    head, lines = table_lines(result, audience) if result.walls else ((), [])
    if sys.stdout.isatty():
        _ruled(known, head, lines)
    else:
        say([*known, *(_aligned(head, lines) if head else ())])


def headline_lines(result: Result, audience: Audience) -> list[str]:
    """The headline as the budget has it, in lines."""
    if not result.walls:
        return [NOTHING_PRICED, *filter(None, [first_step(result.job)])]
    total, *others = facts(result, audience).values()
    return [total, " · ".join(others), *to_know(result, audience)]


def table_lines(result: Result, audience: Audience) -> tuple[Cells, list[Line]]:
    """The head of the costed table and its rows, all of them: as the budget has it with nothing gathered."""
    job = result.job
    under = decimal_of(job.small_item_amount)
    table = shown_table(result.cost, job.formats, under, audience == CLIENT)
    head: Cells = table["head"]
    lines: list[Line] = []
    for section in table["sections"]:
        lines.append((_cells(head, section["title"], section["amount"]), True))
        lines += [(tuple(f"{GAP * (name == 'item')}{row[name]}" for name in head), False)
                  for row in section["rows"]]  # fmt: skip
    lines += [(_cells(head, label, amount), strong) for label, amount, strong in table["foot"]]
    return head, lines


def _cells(head: Cells, item: str, amount: str) -> Cells:
    said = {"item": item, "amount": amount}
    return tuple(said.get(name, "") for name in head)


def _aligned(head: Cells, lines: Sequence[Line]) -> Iterator[str]:
    rows = [head, *(cells for cells, _ in lines)]
    widths = [max(len(row[nth]) for row in rows) for nth in range(len(head))]
    yield ""
    for row in rows:
        cells = (
            cell.ljust(width) if name in TEXTS else cell.rjust(width)
            for name, cell, width in zip(head, row, widths, strict=True)
        )
        yield GAP.join(cells).rstrip()
    yield ""


def _ruled(known: Sequence[str], head: Cells, lines: Sequence[Line]) -> None:
    """With rules, as wide as the terminal is, broken between words."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    def cell(text: str) -> Padding:
        bare = harmless(text).lstrip()
        return Padding(Text(bare), (0, 0, 0, len(text) - len(text.lstrip())))

    console = Console(highlight=False)
    console.print(*(Text(harmless(line)) for line in known), sep="\n")
    table = Table(box=SIMPLE_HEAD, header_style="bold", pad_edge=False)
    for name in head:
        left = name in TEXTS
        table.add_column(name, justify="left" if left else "right", overflow="fold", no_wrap=not left)
    for cells, strong in lines:
        table.add_row(*map(cell, cells), style="bold" if strong else "")
    if head:
        console.print(table)
