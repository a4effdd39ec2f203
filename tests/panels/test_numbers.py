"""A job says how its numbers are written: every panel follows, in words, tables and pictures."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import pytest
from babel import Locale
from babel.numbers import format_currency
from demo import demo
from shown_texts import PANELS, shown

import mytakeoff as mt
from mytakeoff.formats.numerals import THIN_SPACE
from mytakeoff.panels import budget

POINT = re.compile(r"\d+(?:\.\d+)+")
GROUPED = re.compile(r"[1-9]\d{0,2}(\.\d{3})+")


def with_points(texts: list[str]) -> list[str]:
    return [text for text in texts if POINT.search(text)]


@pytest.mark.parametrize("name", PANELS)
def test_with_a_decimal_comma_no_number_has_a_point(name: str) -> None:
    texts = shown(PANELS[name](replace(demo(), decimal_comma=True)))
    assert any(re.search(r"\d,\d", text) for text in texts)
    assert with_points(texts) == []


@pytest.mark.parametrize("name", PANELS)
def test_in_germany_numbers_have_commas_and_points_between_thousands(name: str) -> None:
    texts = shown(PANELS[name](replace(demo(), locale="de_DE")))
    assert any(re.search(r"\d,\d", text) for text in texts)
    assert with_points([GROUPED.sub("", text) for text in texts]) == []
    assert [text for text in texts if re.search(rf"\d{THIN_SPACE}\d", text)] == []


@pytest.mark.parametrize("locale", ["de_DE", "de_AT", "en_GB", "fr_FR"])
def test_the_total_is_written_as_the_repository_has_it(locale: str) -> None:
    panel = budget(replace(demo(), locale=locale))
    total = panel.store.result.cost.total
    whole = total.quantize(Decimal(1), ROUND_HALF_UP)
    pattern = Locale.parse(locale).currency_formats["standard"].pattern.replace(".00", "")
    written = format_currency(whole, "EUR", pattern, locale, currency_digits=False)
    assert written in "".join(shown(panel))
    assert format_currency(total, "EUR", locale=locale) in str(panel.store.result)


def test_a_locale_that_nobody_knows_is_refused() -> None:
    with pytest.raises(mt.TakeoffError) as told:
        replace(demo(), locale="de_XX")
    assert "locale 'de_XX'" in str(told.value)
    assert "as de_AT, en_GB, fr_FR" in str(told.value)
