"""Quotations of the demo job on coarse cells, each worked out once; what a reader finds in their files."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

from demo import coarse_demo
from pypdfium2 import PdfDocument

import mytakeoff as mt
from mytakeoff.quotation.content import Quotation, quotation_of

DAY = date(2027, 2, 15)


def asking(**terms: Any) -> mt.Job:
    """The demo job with other words on its quotation."""
    job = coarse_demo()
    return replace(job, quotation=replace(job.quotation, **terms))


@cache
def fixed() -> Quotation:
    """At a fixed price, as the demo job has it."""
    return quotation_of(mt.evaluate(asking()), DAY, "0.0.0")


@cache
def estimate() -> Quotation:
    """As an estimate."""
    return quotation_of(mt.evaluate(asking(kind="estimate")), DAY, "0.0.0")


def pdf_text(content: bytes) -> str:
    """The words of a PDF, page after page, each blank one space."""
    pages = [page.get_textpage().get_text_bounded() for page in PdfDocument(content)]
    return re.sub(r"\s+", " ", " ".join(pages).replace("\ufffe", ""))


def as_read(text: str) -> str:
    """A text as `pdf_text` gives it."""
    return re.sub(r"\s+", " ", text)
