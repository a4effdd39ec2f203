"""What each key of the job is called on the job sheet and what it means: "Label | hint".

The unit comes by itself.

Where no hint stands, the bounds beside the field say what is usual. "No source" marks common practice.
"""

from __future__ import annotations

THE_JOB = {
    "title": "What the job is called | the place and the rooms, as you know it",
    "place": "Where it is | address or flat, as it shall stand on papers",
    "client": "Client's name | as it shall stand on papers",
    "state": "How far it is | once it is signed it is kept as it stands, and a change is a variation",
    "currency": "Currency | as it is to stand beside amounts: EUR",
    "money_places": "Decimal places of amounts",
    "locale": "Numbers, amounts and days are written as in",
    "decimal_comma": "A comma before decimals | where no country is chosen above, and in exported tables",
    "feet_and_inches": "Lengths are shown in feet and inches | else metric; every box takes either. Litres, "
    "kilograms, m² and what is counted by the metre stay: mixes and price lists are sold by them",
    "built_year": "Year the house was built | for the warnings about lead paint and asbestos; empty: not "
    "known",
    "notes": "Notes | one a line, shown as they are",
    "calendar.start": "First day on site | empty: the workbook for days asks",
    "room.name": "Room",
    "room.storey": "Floors up | floors to carry up, 0 at street level",
    "room.floor_area_m2": "Floor | floor to protect; where a room's walls close, its area is offered "
    "under the table",
}

ROUND_A_ROOM = {
    "room.corner.wall": "Wall | its right end, facing it from inside the room",
    "room.corner.next_wall": "Meets | the wall whose left end is there",
    "room.corner.angle_deg": "Angle wanted | between the finished faces, inside the room: 90 in an inner "
    "corner, 270 round an outer one",
    "room.corner.one_set_up": "Measured by | one laser set-up: both walls were read off the crossing planes "
    "of one laser that was not moved, at 90 or 270°; not measured: the corner comes as it will",
    "room.corner.off_square.on": "It lies on | the wall along whose rough face the square, or a square line, "
    "lies",
    "room.corner.off_square.on_x_m": "And touches it at | two places from that wall's left end, a blank or "
    "semicolon between them",
    "room.corner.off_square.x_m": "Other wall read at | two places from the other wall's left end",
    "room.corner.off_square.off_square_mm": "Off the square by | back to the other wall at each of the two",
    "room.corner.off_square.z_m": "At a height of",
    "room.corner.off_square.sd_mm": "A reading is off by | as a standard deviation; 1 mm is usual (no "
    "source)",
    "room.corner.triangle.run_m": "Mark on the wall | from the corner, along the rough face: 3 or 4 parts",
    "room.corner.triangle.next_run_m": "Mark on the next | from the corner, along the wall that it meets",
    "room.corner.triangle.diagonal_m": "From mark to mark | 5 parts where it is square",
    "room.corner.triangle.z_m": "Taped at a height of",
    "room.corner.triangle.sd_mm": "The tape is off by | as a standard deviation; 2 mm is usual (no source)",
    "room.clear_width.name": "What has to fit",
    "room.clear_width.wall": "From the wall",
    "room.clear_width.opposite": "To the wall",
    "room.clear_width.needs_mm": "Must remain | between the finished faces",
    "room.clear_width.x_m": "Along the first wall | where, from its left end",
    "room.clear_width.must": "Kept at any cost | the planes keep it; else it is told where they do not",
    "room.clear_width.between_planes_mm": "Between the planes | those that both walls were read off, "
    "measured there to ± 2 mm; empty: worked out from the walls' widths, to ± 10 mm",
    "room.parallel": "Wall | Parallel to",
    "room.diagonals.wall": "From the wall | whose two ends the diagonals begin at",
    "room.diagonals.from_left_m": "From its left end | to the rough corner opposite",
    "room.diagonals.from_right_m": "From its right end",
    "room.diagonals.z_m": "At a height of",
    "room.diagonals.sides_m": "The four sides | by tape, clockwise from that wall, a blank or semicolon "
    "between them; empty: the widths of the walls, to ± 10 mm",
    "room.diagonals.sd_mm": "The tape is off by | as a standard deviation; 2 mm is usual (no source)",
}

QUOTATION = {
    "quotation.kind": "The price is | a fixed price holds for what is described; an estimate is printed "
    "with its range",
    "quotation.number": "Number of the quotation | empty: a line is left to fill in",
    "quotation.revision": "Revision | 0 for the first page; counted up for each page that takes the "
    "place of one handed over",
    "quotation.dated": "Dated | empty: the day it is written",
    "quotation.surveyed": "Day of the survey | empty: a line is left to fill in",
    "quotation.valid_days": "It holds for",
    "quotation.firm": "Your firm | as it stands at the head",
    "quotation.firm_lines": "Below its name | address, telephone, tax number, one a line",
    "quotation.logo": "Logo | a PNG or SVG in the job folder",
    "quotation.payment": "When it is paid | one a line",
    "quotation.terms": "Your own terms | one a line",
    "quotation.exclusions": "Also not in the price | one a line, beside what the job leaves out",
}

GENERAL = {
    "waste_share": "Waste | extra mixed, of what stays on the wall; 10 to 12 % is usual (no source). The "
    "20 % "
    "published for thin coats are for uneven walls, which the survey measures",
    "patch_waste_share": "Waste of patches | of patches and filled hollows; 20 to 25 % is usual (no source)",
    "bag_slack_share": "Slack of a bag | no bag is bought for less than this of one: the waste has it; 2 "
    "% (no source)",
    "small_item_amount": "Small items under | lines under this amount are gathered in the table; 0 "
    "gathers none",
    "reveal_thickness_mm": "Backing on reveals | 12 mm is usual (no source)",
    "loose_growth_share": "Loose areas grow by | as they come off, of their area; 25 % is usual (no source)",
    "missed_high_spot_mm": "High spot that was missed | priced on walls that were not swept; empty: "
    "worked out from "
    "the readings, at the confidence below",
    "opening_rule": "Openings are taken off | for what labour is paid by; material always follows the "
    "exact area",
    "cell_m": "Cells of the map | 0.025 m is usual; larger is quicker and coarser",
    "reach_m": "A reading is trusted for | beyond the last reading; 0.5 m is usual (no source)",
}

PLANE = {
    "plane.kind": "The finished wall is | to the measured corner, or with the other walls of its room whose "
    "corners are known",
    "plane.cut_mm": "High spots are taken down by at most | 0 for not at all; none where a room comes square",
    "plane.least_mm": "Least thickness of the backing | empty: the mix's own",
    "plane.lean_limit_mm_per_m": "It may lean by at most | only where it may lean; empty: any",
    "plane.turn_limit_mm_per_m": "It may turn by at most | empty: any",
    "plane.corner_tolerance_mm_per_m": "Corners of a room may differ by | where it comes square; 0: not",
    "rails.used": "Rails are used | else it is floated freehand",
    "rails.straightedge_m": "Straightedge that rides on the rails",
    "rails.overhang_m": "It reaches beyond each rail by",
    "rails.end_m": "First and last rail from the wall's ends",
    "rails.depth_mm": "Depth of a rail",
    "rails.head_clearance_mm": "Room for the screw head behind it",
    "rails.fixing_step_m": "Between two fixings",
    "rails.bedded": "Rails are held by",
    "rails.left_in": "Rails stay in the wall | else they are taken out and made good",
    "rails.width_mm": "Width of a rail | so of the channel that it leaves",
    "rails.opening_clear_m": "Rails from the sides of openings, at least",
    "rails.free_play_m": "Rails are cut short at each end by",
    "rails.fixing_end_m": "First fixing from a rail's end",
    "rails.stock_m": "Length in which rails are sold",
    "rails.kerf_mm": "The saw takes at each cut",
    "rails.screws_mm": "Screws at hand | their lengths, a blank or semicolon between them",
    "rails.embedment_mm": "A screw goes into the wall by | behind any old plaster that stays",
    "rails.plug_mm": "Diameter of the plugs",
    "rails.laser_mm": "Laser off the wall | how far its plane stands off the wall at the first fixing",
}

TREATED = {
    "system.backing": "Backing mix | brings the wall to its plane, on every wall that has no mixes of "
    "its own",
    "system.finish": "Finish mix | inside the plane; none where the backing is its own finish",
    "system.finish_mm": "Depth of the finish | 0 where there is none",
    "system.dubbing": "Mix for dubbing out | fills what is deeper than one coat of backing; none: the "
    "backing does",
    "treatment.name": "Called",
    "treatment.kind": "The walls are treated so",
    "treatment.skim": "With a skim | an even coat over a wall that was patched or straightened",
    "treatment.square": "Square to the corner | floated plumb only",
    "treatment.in_room": "Square in the room | floated plumb only, nothing taken down",
    "treatment.take_down": "High spots taken down where it pays",
    "option.name": "Called | as the client reads it in the table of options",
    "option.kind": "Treated so",
    "option.skim": "With a skim | an even coat over a wall that was patched or straightened",
    "option.square": "Square | to the measured corner; floated plumb only",
    "option.in_room": "In the room | square with its other walls; floated plumb only, nothing taken down",
    "option.take_down": "Taken down | high spots, where it pays",
    "compare.grade": "Finish grade | what the ways are judged by; check the contract's own standard",
    "compare.tolerance_mm": "Greatest gap of the own grade | and what counts as a hollow; 3 mm under 2 "
    "m: NHBC 2020, 9.1.3",
    "compare.straightedge_m": "Straightedge laid on the wall",
    "compare.left_mm": "Gap left in a filled hollow | 0.5 mm is usual (no source)",
    "compare.lean_mm_per_m": "Lean allowed | of the own grade, and where a wall is floated as it leans; "
    "empty: any",
    "compare.take_down": "The standard ways take high spots down where it pays | slower to work out",
    "compare.beside.name": "Plumb thing | a door frame or the side of a wardrobe shows a lean",
    "compare.beside.wall": "Beside the wall",
    "compare.beside.x_m": "Begins at | from the wall's left end",
    "compare.beside.width_m": "Width",
}

SURE = {
    "sureness.confidence_share": "Price and order are enough in, of 100 such jobs | 80 (no source)",
    "sureness.unused_bag_share": "A bag left over loses | of its price; 50 % (no source)",
    "sureness.extra_trip_price": "Fetching more costs | beside the bags; empty: one delivery",
    "sureness.strayed_ratio": "Places not read stray | so many times as far as is said; 1 unless finished "
    "walls showed otherwise",
    "sureness.likely.relief_mm": "A wall stands off its mean plane by | before anything is read, as a "
    "standard deviation",
    "sureness.likely.length_m": "It does so over",
    "sureness.likely.short_mm": "Roughness shorter than a hand | as a standard deviation",
    "sureness.likely.reading_mm": "A reading is off by | as a standard deviation",
    "sureness.likely.short_share": "Of the short roughness stands up | 100 where it is grain, less where "
    "it is joints; "
    "empty: as on the background",
    "sureness.likely.short_m": "It is alike over | waves left by a float; empty: as on the background",
    "sureness.likely.nibs_per_m2": "Small high spots that no reading finds | on a square metre; empty: "
    "as on the "
    "background",
    "sureness.likely.nib_mm": "Their usual height | empty: as on the background",
    "range.name": "What may be off",
    "range.low": "At least | a factor for density and labour, a share for waste, mm for thickness and survey",
    "range.high": "At most",
    "range.source": "From",
}

MONEY = {
    "margins.overhead_share": "Overhead | of the lines",
    "margins.profit_share": "Profit | of lines and overhead",
    "margins.contingency_share": "Contingency | of lines, overhead and profit",
    "margins.tax_share": "Tax | of all of them: that of the place",
    "site.travel": "Travel is priced | for each day on site; else it is named as not in the price",
    "site.parking": "Parking is priced | for each day on site",
    "site.platform": "A trestle or tower is priced | for days on walls higher than you reach",
    "site.reach_m": "How high you work from the floor",
    "extra.item": "Item | as prices or packs have it",
    "extra.quantity": "Quantity | in the price's unit",
    "extra.excluded": "Not in the price | named as such",
    "extra.room": "Finished work in | the client reads it there; none: shared among the walls",
    "buying.restocking_share": "Kept of a pack that is brought back | by the supplier; 15 % (no source)",
    "buying.return_trip_price": "A trip to bring packs back",
    "buying.carry_kg": "Carried up at a time",
    "buying.stack_m2": "Floor that the packs stand on",
    "buying.floor_limit_kn_per_m2": "The floor carries | 1.5 for rooms of dwellings (from memory, "
    "unconfirmed)",
    "buying.supplier.name": "Supplier | as it stands in the list of packs",
    "buying.supplier.delivery_price": "Delivery | for each order",
    "buying.supplier.least_order": "Least order | 0: no such rule",
    "buying.supplier.free_delivery_from": "Free from | nothing is charged for delivery from this on; "
    "empty: never",
    "buying.chosen.item": "Product | left out, it is bought in the pack that is listed first",
    "buying.chosen.supplier": "Bought from",
    "buying.chosen.pack": "In",
    "buying.chosen.holds": "That holds | in the pack's unit",
    "buying.in_stock": "Item | what is used of it is priced, and none is ordered",
    "prices.item": "Item | a mix under its own name, by the bag",
    "prices.unit": "For one",
    "prices.price": "Price | before tax",
    "prices.note": "Remark",
    "packs.item": "Item | as the price list has it",
    "packs.supplier": "Supplier",
    "packs.pack": "Pack | bag, tub, length, box",
    "packs.holds": "Holds",
    "packs.unit": "Of",
    "packs.price": "Price of one | before tax",
    "packs.from_packs": "From so many | a cheaper price by number is a row of its own",
    "packs.least_packs": "At least | fewer are not sold",
    "packs.weight_kg": "Weight | 0: that of what it holds, if that is in kg",
    "packs.note": "Remark",
}

HOURS = {
    "rates.hack_off_h_per_m2": "Hacking off and bagging",
    "rates.prime_h_per_m2": "Priming",
    "rates.take_down_h_per_m2": "Taking down high spots",
    "rates.float_h_per_m2": "Floating | the coat ruled to the plane; entered, it holds for every mix. "
    "Empty: 0.5 for "
    "gypsum from bags (no source), 0.64 for cement plaster (0.595 to 0.65 published) and for lime",
    "rates.float_to_mm": "That holds up to a depth of",
    "rates.float_more_h_per_m2_per_5_mm": "And for what is deeper",
    "rates.further_coat_h_per_m2": "Each coat under it | empty: 0.1 for gypsum and lime (no source), 0.4 "
    "for cement",
    "rates.dub_out_h_per_m2_per_10_mm": "And such coats, by depth | entered alone, it is all that they "
    "take; empty: 0.2",
    "rates.skim_h_per_m2": "Skimming | the last coat of finish; 0.3 (no source)",
    "rates.mesh_h_per_m2": "Bedding mesh",
    "rates.rails_h_per_m": "Setting rails",
    "rates.make_good_h_per_m": "Taking rails out and making good",
    "rates.beads_h_per_m": "Beads",
    "rates.reveals_h_per_m": "Reveals",
    "rates.patch_h_each": "A patch, beside its area",
    "rates.patch_h_per_m2": "Patching",
    "rates.fitting_h_each": "A socket or switch brought forward",
    "rates.radiator_h_each": "A radiator off and on",
    "rates.room_set_up_h": "Setting up a room",
    "rates.return_visit_h": "Coming back another day",
    "rates.clean_up_h_per_day": "Clearing up",
    "rates.labourer_share": "Labourer's hours for 100 of a plasterer's | empty: 50 with bags (no "
    "source), 110 at what is "
    "mixed on site (69 to 150 published)",
    "rates.small_wall_m2": "A wall is small under",
    "rates.small_wall_factor": "Small walls take so many times as long",
    "rates.high_wall_m": "A wall is high above",
    "rates.high_wall_factor": "High parts take so many times as long",
    "rates.narrow_m": "A strip is narrow under",
    "rates.narrow_factor": "Narrow strips take so many times as long",
    "rates.storey_factor": "Each floor up takes so many times as long | without a lift",
    "rates.day_h": "Hours worked in a day",
    "rates.crew": "Plasterers in the crew",
    "rates.least_half_days": "Charged at least, in half days | 0 charges by the hour",
    "calendar.weekdays": "Days worked",
    "calendar.holidays": "Not worked on",
    "calendar.from_h": "Work begins at",
    "calendar.break_from_h": "The meal break begins at | to the quarter hour",
    "calendar.break_h": "It lasts | to the quarter hour; 0 for none",
    "calendar.slow_down": "Plaster takes so many times as long | 1 in a mild aired room, 1.5 in a cold "
    "one, 2 cold and damp",
    "calendar.slow_beyond_mm": "Plaster dries more slowly beyond",
    "calendar.slow_beyond_factor": "So many times as slowly",
    "calendar.primer_h": "Wait after primer",
    "calendar.grit_primer_h": "Wait after grit primer",
    "calendar.bonding_agent_h": "Wait after bonding agent",
    "calendar.spatterdash_h": "Wait after spatterdash",
    "calendar.rails_out_h": "Rails may come out after",
    "calendar.least_gauging_l": "The smallest gauging worth mixing",
}

JOB_WORDS = {**THE_JOB, **ROUND_A_ROOM, **QUOTATION, **GENERAL, **PLANE, **TREATED, **SURE, **MONEY, **HOURS}
