"""Hours on site: fixed set-up plus rates per coat, square metre, metre and patch."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated

from mytakeoff.bounds import Within, check_numbers
from mytakeoff.errors import Check
from mytakeoff.job.mixes import Mix

# A plasterer's hours for a m² of one coat of cement plaster, 12 to 20 mm, 8 h a day: 0.07435 day per m² and
# coat (Indian official analysis of rates; pdfyar.com, secondary); 8 days per 100 m²
# (civilatwork.blogspot.com); 6.50 h per 10 m² (Pakistani rate analysis; scribd.com/doc/93775305).
PUBLISHED_FLOAT_H_PER_M2 = (0.595, 0.64, 0.65)
# Cement mixes: the middle of those. Lime: as cement, common practice, no source. Gypsum out of bags: common
# practice, no source. Not the same work, so not in the middle: a levelling coat of lime mortar on concrete at
# 0.42 for all hands (GESN 2001-15 table 15-02-019-1; zakonbase.ru), "about 18 m² a day" at 0.44 (zaro.info).
FLOAT_H_PER_M2 = {"gypsum": 0.5, "lime": 0.64, "cement-lime": 0.64, "cement": 0.64}
# What a further coat takes beside its litres. Cement: with 0.2 h for 10 mm the 0.595 h/m² that every coat of
# cement plaster is published at. Others: common practice, no source; a third coat of lime is published at
# 0.13 more in all (two plasterers 40 to 50 sq yd of three-coat, 60 to 70 of two-coat work in 8 h; Cyclopedia
# of Carpentry and Building, "Plastering: measurements"; chestofbooks.com).
FURTHER_H_PER_M2 = {"gypsum": 0.1, "lime": 0.1, "cement-lime": 0.4, "cement": 0.4}
DUB_OUT_H_PER_M2_PER_10_MM = 0.2  # common practice, no source
# A labourer's hours for a plasterer's hour. Mixed on site: 4.50 for 6.50 h, 0.0929 for 0.07435 day, 12 for 8
# days (the three sources above; water carriers apart); 1.1 lies in their middle. Out of bags: common
# practice, no source.
PUBLISHED_LABOURER_SHARE = (0.69, 1.25, 1.5)
SITE_MIX_LABOURER_SHARE = 1.1
LABOURER_SHARE = 0.5
# Fine work takes days for a square metre; nothing is floated, ruled or hung in more than a fortnight.
RECORDS = "write hours from your own records"
PerM2 = Annotated[float, Within(0.0, 50.0, usual=RECORDS)]
PerM = Annotated[float, Within(0.0, 50.0, usual=RECORDS)]
Hours = Annotated[float, Within(0.0, 100.0, usual=RECORDS)]
Factor = Annotated[float, Within(1.0, 20.0, usual="1 for no more than elsewhere")]
EachFloor = Annotated[float, Within(1.0, 1.5, usual="1.03 is usual")]  # without a lift
PerHour = Annotated[float, Within(0.0, 10.0, usual="0.5 is usual with bags")]


@dataclass(frozen=True)
class LabourRates:
    """A plasterer's hours (common practice, no source, but for the published ones; the user's own win).

    Every field is 0 or more, a factor and the crew 1 or more; the last part of its name is
    its unit: rates [h/m²], [h/m], [h] each, sizes [m], [m²], [mm], factors and shares [-].

    Four of them are None unless the user enters them, and then go by the mix: see the tables above.
    `float_h_per_m2` is for the coat that is ruled to the plane, `skim_h_per_m2` for the last coat of finish
    whatever its thickness. Each coat under one of these takes `further_coat_h_per_m2`, and
    `dub_out_h_per_m2_per_10_mm` for its thickness. Who enters the latter alone has it for all further coats
    together, whatever their number, as before there was a rate for each. `labourer_share` are a labourer's
    hours for each plasterer's hour. Hours are charged by half days, at least `least_half_days`; 0: by the
    hour.

    Raises
    ------
    TakeoffError
        Every field out of its range.

    Examples
    --------
    >>> LabourRates(skim_h_per_m2=0.25).skim_h_per_m2
    0.25
    """

    hack_off_h_per_m2: PerM2 = 0.35
    prime_h_per_m2: PerM2 = 0.05
    take_down_h_per_m2: PerM2 = 0.35
    float_h_per_m2: PerM2 | None = None
    float_to_mm: Annotated[float, Within(0.0, 200.0, above=True, usual="15 mm is usual")] = 15.0
    float_more_h_per_m2_per_5_mm: PerM2 = 0.1
    further_coat_h_per_m2: PerM2 | None = None
    dub_out_h_per_m2_per_10_mm: PerM2 | None = None
    skim_h_per_m2: PerM2 = 0.3
    mesh_h_per_m2: PerM2 = 0.08
    rails_h_per_m: PerM = 0.15
    make_good_h_per_m: PerM = 0.06
    beads_h_per_m: PerM = 0.13
    reveals_h_per_m: PerM = 0.45
    patch_h_each: Hours = 0.5
    patch_h_per_m2: PerM2 = 1.0
    fitting_h_each: Hours = 0.25
    radiator_h_each: Hours = 1.0
    room_set_up_h: Hours = 1.25
    return_visit_h: Hours = 0.5
    clean_up_h_per_day: Annotated[float, Within(0.0, 24.0, usual=RECORDS)] = 0.5
    labourer_share: PerHour | None = None
    small_wall_m2: Annotated[float, Within(0.0, 1000.0, usual="4 m² is usual")] = 4.0
    small_wall_factor: Factor = 1.35
    high_wall_m: Annotated[float, Within(0.0, 20.0, usual="2.5 m is usual")] = 2.5
    high_wall_factor: Factor = 1.15
    narrow_m: Annotated[float, Within(0.0, 60.0, usual="0.6 m is usual")] = 0.6
    narrow_factor: Factor = 1.35
    storey_factor: EachFloor = 1.03
    day_h: Annotated[float, Within(0.5, 24.0, usual="8 h is usual")] = 8.0
    crew: Annotated[int, Within(1, 100, usual="count the plasterers")] = 1
    least_half_days: Annotated[int, Within(0, 100, usual="0 charges by the hour")] = 1

    def __post_init__(self) -> None:
        check = Check("labour rates")
        check_numbers(self, check)
        check.done()

    @property
    def figures(self) -> tuple[float, ...]:
        """Every figure that hours may come from: those entered, and those that go by the mix."""
        entered = (getattr(self, field.name) for field in fields(self))
        by_mix = (*FLOAT_H_PER_M2.values(), *FURTHER_H_PER_M2.values(), DUB_OUT_H_PER_M2_PER_10_MM)
        labourer = (SITE_MIX_LABOURER_SHARE, LABOURER_SHARE)
        return (*(value for value in entered if value is not None), *by_mix, *labourer)

    def float_for(self, mix: Mix) -> float:
        """Hours to float a square metre of a mix, up to `float_to_mm` [h/m²].

        Examples
        --------
        >>> from mytakeoff.job.catalogue import CEMENT_LIME
        >>> LabourRates().float_for(CEMENT_LIME), LabourRates(float_h_per_m2=0.45).float_for(CEMENT_LIME)
        (0.64, 0.45)
        """
        return FLOAT_H_PER_M2[mix.family] if self.float_h_per_m2 is None else self.float_h_per_m2

    def further_for(self, mix: Mix) -> float:
        """Hours that a further coat takes beside its litres [h/m²]."""
        if self.further_coat_h_per_m2 is not None:
            return self.further_coat_h_per_m2
        return FURTHER_H_PER_M2[mix.family] if self.dub_out_h_per_m2_per_10_mm is None else 0.0

    @property
    def each_10_mm_h_per_m2(self) -> float:
        """Hours that 10 mm of a further coat take [h/m²]."""
        own = self.dub_out_h_per_m2_per_10_mm
        return DUB_OUT_H_PER_M2_PER_10_MM if own is None else own

    @property
    def site_mix_labourer(self) -> float:
        """A labourer's hours for a plasterer's hour at what is mixed on site [-]."""
        return SITE_MIX_LABOURER_SHARE if self.labourer_share is None else self.labourer_share

    def labourer_for(self, mix: Mix | None = None) -> float:
        """A labourer's hours for a plasterer's hour at a mix; None: at any other work [-].

        Examples
        --------
        >>> from mytakeoff.job.catalogue import LIGHT_GYPSUM
        >>> LabourRates().labourer_for(LIGHT_GYPSUM), LabourRates(labourer_share=0.8).labourer_for()
        (0.5, 0.8)
        """
        if mix is not None and mix.recipe is not None:
            return self.site_mix_labourer
        return LABOURER_SHARE if self.labourer_share is None else self.labourer_share
