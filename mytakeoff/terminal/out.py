"""Where lines go: the standard output and errors, with nothing in them that would steer a terminal."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from typing import TextIO

from mytakeoff.errors import Mistake, told

# controls, and marks that turn the reading direction
STEERS = re.compile(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def harmless(text: str) -> str:
    """A text without what moves the cursor, colours, renames the window or turns the reading direction.

    A job may come from anybody, and its titles are printed.

    Examples
    --------
    >>> harmless(f"flat {chr(27)}[2J 3").replace(chr(0xFFFD), "?")
    'flat ?[2J 3'
    """
    return STEERS.sub("\ufffd", " ".join(text.split("\n")))


def say(lines: Iterable[str], to: TextIO | None = None) -> None:
    """Print lines; a mark that the output's encoding does not know becomes a question mark."""
    out = to or sys.stdout
    encoding = out.encoding or "utf-8"
    for line in lines:
        out.write(harmless(line).encode(encoding, "replace").decode(encoding) + "\n")
    out.flush()


def tell(text: str) -> None:
    """A line about the work, which is no result of it."""
    say([text], sys.stderr)


def tell_done(done: int, of: int) -> None:
    """How far the work is: on one line of a terminal; else a line at each tenth."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{done} of {of}" + ("\n" if done == of else ""))
        sys.stderr.flush()
    elif done == of or done * 10 // of > (done - 1) * 10 // of:
        tell(f"{done} of {of}")


def mistake_lines(folder: str, mistakes: Iterable[Mistake]) -> list[str]:
    """Mistakes of a job, each with its folder before its place."""
    return [line if line.startswith(f"{folder}:") else f"{folder}: {line}" for line in told(mistakes)]
