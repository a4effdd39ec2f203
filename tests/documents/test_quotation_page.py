"""The page for the browser: valid, closed to the outside, its words escaped, its amounts the client's."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import html5lib
import pytest
from quoted import DAY, as_read, asking, estimate, fixed

import mytakeoff as mt
from mytakeoff.documents.page import page_bytes
from mytakeoff.documents.pictures import pictures_of
from mytakeoff.quotation.client_page import client_document
from mytakeoff.quotation.content import Quotation, quotation_of

HOSTILE = '"><script>alert(1)</script><img src=http://x onerror=y>{{ 7 * 7 }}'
XHTML = "{http://www.w3.org/1999/xhtml}"


def written(quotation: Quotation) -> bytes:
    return page_bytes(client_document(quotation), pictures_of(quotation), None)


def parsed(content: bytes):
    """The page through a parser that refuses whatever is not as the standard has it."""
    return html5lib.HTMLParser(strict=True).parse(content, transport_encoding="utf-8")


@pytest.mark.parametrize("quotation", [fixed, estimate], ids=["fixed", "estimate"])
def test_it_is_valid_and_has_every_amount(quotation):
    content = written(quotation())
    text = as_read(" ".join(parsed(content).itertext()))
    money, cost = quotation().formats.money, quotation().result.cost
    for amount in (cost.total, cost.before_tax, cost.tax, *(row.amount for row in cost.client_rows)):
        assert as_read(money(amount)) in text
    assert str(quotation().mark) in text


def test_it_has_headings_in_order_heads_of_tables_and_words_for_each_picture():
    tree = parsed(written(fixed()))
    levels = [int(each.tag[-1]) for each in tree.iter() if re.fullmatch(rf"{XHTML}h\d", str(each.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    for table in tree.iter(f"{XHTML}table"):
        assert table.find(f"{XHTML}caption").text
        assert all(head.get("scope") for head in table.iter(f"{XHTML}th"))
    drawings = list(tree.iter("{http://www.w3.org/2000/svg}svg"))
    assert len(drawings) == len(fixed().walls) + 1
    assert all(each.get("role") == "img" and each.get("aria-label") for each in drawings)


def test_it_asks_for_nothing_and_runs_nothing():
    text = written(fixed()).decode()
    assert "default-src 'none'" in text
    assert not re.search(r"<(script|link|iframe|object|embed|form)\b", text)
    addresses = re.findall(r'(?:src|href)="([^"]*)"', text)
    assert addresses
    assert all(address.startswith("data:") for address in addresses)
    assert not re.search(r"url\((?!#)|@import", text)


def test_names_with_markup_are_words():
    job = asking(firm=HOSTILE, firm_lines=(HOSTILE,), payment=(HOSTILE,), terms=(HOSTILE,), number=HOSTILE)
    job = replace(job, client=HOSTILE, place=HOSTILE, title=HOSTILE, notes=(HOSTILE,))
    content = written(quotation_of(mt.evaluate(job), DAY, "0.0.0"))
    tree = parsed(content)
    assert not list(tree.iter(f"{XHTML}script"))
    assert not list(tree.iter(f"{XHTML}img"))
    assert " ".join(tree.itertext()).count(HOSTILE) >= 8
