"""Languages as countries write them, that the Unicode Consortium's repository knows."""

from __future__ import annotations

from functools import cache

from babel import Locale, UnknownLocaleError
from babel.localedata import locale_identifiers

LETTERS = "en"  # of months where the job says nothing
COUNTRY_LETTERS = 2


@cache
def countries() -> tuple[tuple[str, str], ...]:
    """Every language as a country writes it, by its English name, and its locale.

    Examples
    --------
    >>> dict(countries())["German, Austria"]
    'de_AT'
    """
    english = Locale(LETTERS)
    known = (name.split("_") for name in locale_identifiers() if name.count("_") == 1)
    found = [
        (f"{english.languages[language]}, {english.territories[country]}", f"{language}_{country}")
        for language, country in known
        if language in english.languages and len(country) == COUNTRY_LETTERS
    ]
    return tuple(sorted(found))


def is_locale(name: str) -> bool:
    """Whether the Unicode Consortium's repository knows a locale of that name [-].

    Examples
    --------
    >>> is_locale("de_AT"), is_locale("de_XX"), is_locale("German")
    (True, False, False)
    """
    try:
        Locale.parse(name.replace("-", "_"), resolve_likely_subtags=False)
    except (ValueError, UnknownLocaleError):
        return False
    return True
