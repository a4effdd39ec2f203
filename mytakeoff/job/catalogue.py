"""Marked defaults: mixes, coverages and the items that a price list covers.

Everything here is common practice, no source, unless its row says otherwise; the product's sheet wins. There
are no prices here: those are the user's own.

Notes
-----
Mixes: coats, totals, water, pot life and setting are common practice, no source, but for what `source` of
each names. Before the next coat a day for each mm is published for gypsum, lime and lime-cement, 28 days for
cement (ausbauundfassade.de, lexikon, Standzeiten, secondary): that is for another plaster over one that has
dried, and says nothing of coats of one mix that follow while the last is green, nor of drying before paint.
"""

from __future__ import annotations

from mytakeoff.job.mixes import Mix

COMMON = "common practice, no source"
DRYING = f"{COMMON}; drying before paint 1 day a mm: rule of thumb, hausjournal.net, Wartezeit (secondary)"
# ready-mixed gypsum, labels of seven makes in a trade article (its address holds brands): all, most [kg/l]
PUBLISHED_GYPSUM_KG_PER_L, MOST_GYPSUM_KG_PER_L = (0.8, 1.3), (0.85, 1.0)
GYPSUM_DENSITY = "density within the 0.8 to 1.3 kg/l of seven makes' labels (trade article, secondary)"
CEMENT_WAIT = (
    f"{DRYING}; 48 h between coats: ASTM C926 practice, edition not said, plastertalk.blog 2017-03-14; kept "
    "damp 7 days: IS 1661:1972 clause 16, a plaster inspection checklist (both secondary)"
)

LIGHT_GYPSUM = Mix(
    "light gypsum backing", 0.8, 25, 8, 15, 35, "gypsum", 0.6, 90, set_h=4, dry_days_per_mm=1,
    source=f"{DRYING}; {GYPSUM_DENSITY}",
)  # fmt: skip
ONE_COAT_GYPSUM = Mix(
    "one-coat gypsum", 0.9, 25, 6, 25, 40, "gypsum", 0.55, 90, set_h=4, dry_days_per_mm=1,
    source=f"{DRYING}; {GYPSUM_DENSITY}",
)  # fmt: skip
CEMENT_LIME = Mix(
    "cement-lime", 1.55, 25, 8, 12, 25, "cement-lime", 0.2, 120, set_h=48, cure_days=7, dry_days_per_mm=1,
    source=CEMENT_WAIT,
)  # fmt: skip
LIME_SAND = Mix(
    "lime-sand", 1.55, 25, 6, 10, 25, "lime", 0.22, 240, set_h=96, cure_days=7, dry_days_per_mm=1,
    source=DRYING,
)  # fmt: skip
GYPSUM_SKIM = Mix(
    "gypsum skim", 1.25, 25, 2, 3, 5, "gypsum", 0.5, 60, set_h=2, dry_days_per_mm=1,
    source=f"{DRYING}; {GYPSUM_DENSITY}",
)  # fmt: skip

DEFAULT_MIXES: tuple[Mix, ...] = (LIGHT_GYPSUM, ONE_COAT_GYPSUM, CEMENT_LIME, LIME_SAND, GYPSUM_SKIM)

PLASTERER = "plasterer"
LABOURER = "labourer"
PROTECTION = "floor protection"
RUBBLE = "tipping, mixed rubble"
GYPSUM_RUBBLE = "tipping, gypsum"
SACKS = "rubble sack"
PRIMER = "primer"
GRIT_PRIMER = "grit primer"
BONDING_AGENT = "bonding agent"
SPATTERDASH = "spatterdash"
MESH = "mesh"
ANGLE_BEAD = "angle bead"
STOP_BEAD = "stop bead"
RAIL = "rail"
RAIL_FIXING = "rail fixing"
RAIL_DAB = "rail dab"
SOCKET = "socket brought forward"
RADIATOR = "radiator off and on"
CEMENT = "cement"
LIME = "lime"
SAND = "sand"
DELIVERY = "delivery"
MIXER_HIRE = "mixer hire"
EXTRACTOR_HIRE = "dust extractor hire"
SKIRTING = "skirting and architrave"
STRIP_PAPER = "stripping paper"
STRIP_PAINT = "stripping paint"
PLATFORM = "working platform hire"
TRAVEL = "travel"
PARKING = "parking"

# What a price list covers, and the unit of its price; a bagged mix stands there by its own name and the bag.
UNITS = {
    PLASTERER: "h",  # a plasterer's hour
    LABOURER: "h",  # a labourer's hour
    PROTECTION: "m²",  # sheets and boards on the floor, by room
    RUBBLE: "kg",  # old plaster and masonry to the tip, by weight
    GYPSUM_RUBBLE: "kg",  # gypsum to the tip, kept apart, by weight
    SACKS: "piece",  # sacks for rubble, by bulk
    PRIMER: "l",  # evens out the suction of a thirsty wall
    GRIT_PRIMER: "kg",  # gives a smooth wall a grip
    BONDING_AGENT: "l",  # holds plaster on a sound but closed face
    SPATTERDASH: "kg",  # thrown cement key under cement mixes
    MESH: "m²",  # glass fibre mesh in deep places and over old plaster
    ANGLE_BEAD: "m",  # corners and reveals
    STOP_BEAD: "m",  # where plaster ends
    RAIL: "m",  # screed rails
    RAIL_FIXING: "piece",  # screw and 6 mm plug that holds a rail
    RAIL_DAB: "piece",  # dab that a rail is bedded on
    SOCKET: "piece",  # longer screws and a spacer for one socket or switch
    RADIATOR: "piece",  # one radiator taken off and hung again
    CEMENT: "bag",  # for site mixes
    LIME: "bag",  # for site mixes
    SAND: "kg",  # for site mixes
    DELIVERY: "delivery",  # bringing the materials, by load
    MIXER_HIRE: "day",  # an extra that a job may name
    EXTRACTOR_HIRE: "day",  # an extra that a job may name
    SKIRTING: "m",  # off and on again, by wall or as an extra that a job names
    STRIP_PAPER: "m²",  # off the wall before anything else, the work with it
    STRIP_PAINT: "m²",  # off the wall before anything else, the work with it
    PLATFORM: "day",  # trestle or tower for what is above reach
    TRAVEL: "day",  # to the site and back, for each day on it
    PARKING: "day",  # for each day on site
}

# What is taken of a treatment for each square metre, in its own unit: common practice, no source.
COVERAGE_PER_M2 = {PRIMER: 0.15, GRIT_PRIMER: 0.3, BONDING_AGENT: 0.2, SPATTERDASH: 5.0}
# From here on common practice, no source, each of them.
MESH_OVERLAP_SHARE = 0.1  # strips overlap by 100 mm in a metre
OLD_PLASTER_KG_PER_L = 1.7  # lime or cement render off a wall
OLD_GYPSUM_KG_PER_L = 1.1
MASONRY_KG_PER_L = 1.8
BULKING = 1.5  # loose rubble takes this many times its place on the wall
SACK_L = 20.0  # what one person carries down the stairs
LIME_BAG_KG = 25.0
LOAD_KG = 1000.0  # one delivery

# Not in the price unless the job prices it as an extra of that name.
STANDARD_EXCLUSIONS = (
    SKIRTING,
    TRAVEL,
    PARKING,
    "painting and decoration",
    "electrical work beyond sockets brought forward",
    "damp and structural repairs",
)
