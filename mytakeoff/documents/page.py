"""A document as one page for the browser, which asks for nothing from outside, runs nothing, prints on A4."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from mytakeoff.documents.logo import Logo
from mytakeoff.documents.pictures import Pictures
from mytakeoff.documents.plain import plain
from mytakeoff.quotation.blocks import Document

if TYPE_CHECKING:
    from jinja2 import Template


def page_bytes(document: Document, pictures: Pictures, logo: Logo | None) -> bytes:
    """A document as HTML, in UTF-8."""
    from markupsafe import Markup

    style = Markup(files("mytakeoff.documents").joinpath("quotation.css").read_text("utf-8"))
    text = _template().render(plain(document, pictures, logo), style=style)
    return f"{text}\n".encode()


@cache
def _template() -> Template:
    """The page's template; whatever is put into it is escaped."""
    from jinja2 import Environment, StrictUndefined

    text = files("mytakeoff.documents").joinpath("quotation.html").read_text("utf-8")
    return Environment(autoescape=True, undefined=StrictUndefined).from_string(text)
