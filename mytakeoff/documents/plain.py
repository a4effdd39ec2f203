"""A document as plain values, pictures and logo among them: what both templates are filled with."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from mytakeoff.documents.logo import Logo
from mytakeoff.documents.pictures import Pictures
from mytakeoff.quotation.blocks import Block, Document, Letterhead, MapKey, WallCard

WORDS = {"page": "Page", "of": "of", "place_and_date": "place, date, signature"}


def plain(document: Document, pictures: Pictures, logo: Logo | None) -> dict[str, Any]:
    """The document, each block with its kind."""
    head = {"title": document.title, "author": document.author, "for_whom": document.for_whom}
    blocks = [_block(block, pictures, logo) for block in document.blocks]
    return {**head, "foot": document.foot, **WORDS, "blocks": blocks}


def _block(block: Block, pictures: Pictures, logo: Logo | None) -> dict[str, Any]:
    said = {"kind": type(block).__name__, **asdict(block)}
    if isinstance(block, Letterhead):
        said["image"] = None if logo is None else _logo(logo)
    if isinstance(block, WallCard):
        said["pictures"] = [asdict(each) for each in pictures.walls[block.wall]]
    if isinstance(block, MapKey):
        said["picture"] = asdict(pictures.key)
    return said


def _logo(logo: Logo) -> dict[str, Any]:
    return {
        "bytes": list(logo.content), "format": logo.format, "alt": logo.alt, "address": logo.address,
    }  # fmt: skip
