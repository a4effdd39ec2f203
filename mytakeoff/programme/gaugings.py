"""Mixes that set in the bucket before one gauging of them is laid, and the walls that they are for."""

from __future__ import annotations

from mytakeoff.errors import Check, Mistake
from mytakeoff.formats.formats import say
from mytakeoff.job.mixes import Mix
from mytakeoff.measure.materials import pot_litres
from mytakeoff.result import Result


def set_too_soon(result: Result) -> tuple[tuple[str, ...], tuple[Mistake, ...]]:
    """Names of the walls whose mix sets before one gauging of it is laid, and what to do about each mix."""
    rates, least_l = result.job.rates, result.job.calendar.least_gauging_l
    walls_of: dict[tuple[Mix, str], list[str]] = {}
    for wall in result.walls:
        for layer in wall.layers:
            walls_of.setdefault((layer.mix, layer.role), []).append(wall.entry.name)
    check, missing = Check(), []
    for (mix, role), walls in sorted(walls_of.items(), key=lambda one: (one[0][0].name, one[0][1])):
        pot_l = pot_litres(mix, role, rates)
        if pot_l < least_l:
            missing += walls
            check.that(
                False,
                f"{mix.name}: {say(pot_l, 1)} l laid within its pot life of {mix.pot_life_min:g} minutes",
                f"one gauging, {least_l:g} l at least, is laid before it sets in the bucket",
                "take a larger crew or a mix that stays open longer, or write a smaller least gauging",
                f"mix {mix.name!r} as {role} on {', '.join(dict.fromkeys(walls))}",
            )
    return tuple(dict.fromkeys(missing)), tuple(check.mistakes)
