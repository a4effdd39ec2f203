"""Who a screen or a file is for: the estimator or the client, and how each says so."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from mytakeoff.errors import Check, Mistake, TakeoffError

Audience = Literal["estimator", "client"]
ESTIMATOR: Audience = "estimator"
CLIENT: Audience = "client"
AUDIENCES: tuple[Audience, ...] = (ESTIMATOR, CLIENT)
SHOWN_TO = "shown_to"  # the column of every table that says it
ENDING = f"-{CLIENT}"


def first_line(audience: Audience) -> str:
    """What a page or a text says first.

    Examples
    --------
    >>> first_line("client")
    'For the client'
    """
    return f"For the {audience}"


def headed(audience: Audience, title: str) -> str:
    """A title in a page's first line.

    Examples
    --------
    >>> headed("estimator", "Flat 3")
    'For the estimator: Flat 3'
    """
    return f"{first_line(audience)}: {title}"


def check_audience(audience: str) -> None:
    """See that it is one of the two.

    Raises
    ------
    TakeoffError
        It is not.
    """
    check = Check("audience")
    names = " or ".join(repr(each) for each in AUDIENCES)
    rule = "a table is for the estimator or for the client"
    check.that(audience in AUDIENCES, f"a table for {audience!r}", rule, f"write {names}")
    check.done()


def named_for(name: str, audience: Audience) -> str:
    """A file's name as it is for the one or the other.

    Examples
    --------
    >>> named_for("costed-table.csv", "client"), named_for("flat-client.csv", "estimator")
    ('costed-table-client.csv', 'flat.csv')
    """
    path = Path(name)
    bare = path.stem[: -len(ENDING)] if _ends_so(path) else path.stem
    return f"{bare}{ENDING if audience == CLIENT else ''}{path.suffix}"


def _ends_so(path: Path) -> bool:
    """Whether a file is named for the client, in small letters or capitals."""
    return path.stem.lower().endswith(ENDING)


def check_name(path: str | Path, audience: Audience) -> None:
    """See that a file is named for whom it is written, so that nobody mails the wrong one.

    Raises
    ------
    TakeoffError
        A client's file whose name does not end in ``-client``, or an estimator's whose name does.
    """
    name = Path(path).name
    if _ends_so(Path(path)) == (audience == CLIENT):
        return
    raise TakeoffError(
        Mistake(
            f"what is for the {audience} in a file called {name!r}",
            f"a file for the client has a name that ends in {ENDING}, one for the estimator has not",
            f"call it {named_for(name, audience)!r}, or change who it is shown to",
            str(path),
        )
    )
