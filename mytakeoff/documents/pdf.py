"""A document as a tagged PDF on A4, its type embedded."""

from __future__ import annotations

import json
from datetime import date
from importlib.resources import files
from typing import Literal

from mytakeoff.documents.logo import Logo
from mytakeoff.documents.pictures import Pictures
from mytakeoff.documents.plain import plain
from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.quotation.blocks import Document

STANDARD: Literal["ua-1"] = "ua-1"  # PDF/UA-1, ISO 14289-1: tagged, in reading order, pictures with words


def pdf_bytes(document: Document, pictures: Pictures, logo: Logo | None, day: date) -> bytes:
    """A document as PDF; the same document gives the same bytes.

    Parameters
    ----------
    document : Document
    pictures : Pictures
    logo : Logo or None
    day : date
        Stands in the file as the day that it was made.

    Raises
    ------
    TakeoffError
        It cannot be set: a letter that no font has, a picture that breaks off.
    """
    import typst  # a library of 80 MB that nothing else needs

    template = files("mytakeoff.documents").joinpath("quotation.typ").read_bytes()
    said = {**plain(document, pictures, logo), "day": [day.year, day.month, day.day]}
    try:
        return bytes(
            typst.compile(
                template,
                sys_inputs={"document": json.dumps(said)},
                pdf_standards=[STANDARD],
            )
        )
    except typst.TypstError as error:
        raise TakeoffError(
            Mistake(
                f"the PDF cannot be set ({error.message})",
                "each letter needs a font on this machine, and a logo is a whole picture",
                "of a letter, install a font that has it, or write it in others; else save the logo anew",
                "quotation",
            )
        ) from error
