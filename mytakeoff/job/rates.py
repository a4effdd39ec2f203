"""Hours on site: fixed set-up plus rates per square metre, metre and patch."""

from __future__ import annotations

from dataclasses import dataclass, fields

from mytakeoff.errors import Check


@dataclass(frozen=True)
class LabourRates:
    """A plasterer's hours (common practice, no source; the user's own records win).

    Every field is 0 or more, a factor and the crew 1 or more; the last part of its name is
    its unit: rates [h/m²], [h/m], [h] each, sizes [m], [m²], [mm], factors and shares [-].

    Raises
    ------
    TakeoffError
        Every field out of its range.

    Examples
    --------
    >>> LabourRates(skim_h_per_m2=0.25).skim_h_per_m2
    0.25
    """

    hack_off_h_per_m2: float = 0.35
    prime_h_per_m2: float = 0.05
    take_down_h_per_m2: float = 0.35
    float_h_per_m2: float = 0.5  # up to float_to_mm
    float_to_mm: float = 15.0
    float_more_h_per_m2_per_5_mm: float = 0.1
    dub_out_h_per_m2_per_10_mm: float = 0.2
    skim_h_per_m2: float = 0.3
    mesh_h_per_m2: float = 0.08
    rails_h_per_m: float = 0.15
    make_good_h_per_m: float = 0.06
    beads_h_per_m: float = 0.13
    reveals_h_per_m: float = 0.45
    patch_h_each: float = 0.5
    patch_h_per_m2: float = 1.0
    fitting_h_each: float = 0.25
    radiator_h_each: float = 1.0
    room_set_up_h: float = 1.25
    return_visit_h: float = 0.5
    clean_up_h_per_day: float = 0.5
    labourer_share: float = 0.5  # labourer's hours for each plasterer's hour
    small_wall_m2: float = 4.0
    small_wall_factor: float = 1.35
    high_wall_m: float = 2.5
    high_wall_factor: float = 1.15
    narrow_m: float = 0.6
    narrow_factor: float = 1.35
    storey_factor: float = 1.03  # for each floor without a lift
    day_h: float = 8.0
    crew: int = 1
    least_half_days: int = 1

    def __post_init__(self) -> None:
        check = Check("labour rates")
        for field in fields(self):
            value = getattr(self, field.name)
            least = 1 if field.name == "crew" or field.name.endswith("_factor") else 0
            above = field.name in ("day_h", "float_to_mm")
            check.that(
                value > 0 if above else value >= least,
                f"{field.name} {value:g}",
                f"it is {'above 0' if above else f'{least} or more'}",
                "write hours from your own records",
            )
        check.done()
