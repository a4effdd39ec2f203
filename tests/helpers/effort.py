"""How much a test tries: little on every run, more before a landing, much when there is an hour for it."""

from __future__ import annotations

from typing import Any

from hypothesis import settings

FEWEST = 25  # of examples, where a test does not ask for fewer: a rarer fault is for the larger profiles
EXAMPLES = {"short": 40, "ci": 100, "long": 1000}  # in each profile, of a test that says nothing


def register_profiles() -> None:
    """Tell Hypothesis of the profiles.

    In all but the long one the examples are the same each time, so that nobody's change is held up by what
    another's missed.
    """
    for name, count in EXAMPLES.items():
        settings.register_profile(
            name, max_examples=count, deadline=None, derandomize=name != "long", print_blob=True
        )


def examples(count: int, **more: Any) -> settings:
    """As many examples as a test needs before a landing; fewer or more of them by the profile.

    Parameters
    ----------
    count : int
        In the profile "ci".
    **more
        Other settings of Hypothesis.
    """
    return settings(max_examples=max(min(count, FEWEST), scaled(count)), **more)


def scaled(count: int) -> int:
    """A number of trials for the profile that is loaded."""
    return round(count * settings.default.max_examples / EXAMPLES["ci"])
