"""What each key of a wall and of a mix is called on the job sheet, and what it means: as in `labels`."""

from __future__ import annotations

WALL_WORDS = {
    "wall.name": "Wall",
    "wall.room": "Room",
    "wall.width_m": "Width | the whole wall, openings with it",
    "wall.height_m": "Height | floor to ceiling",
    "wall.background": "Made of | what the plaster goes on",
    "wall.skirting_m": "Not plastered at the foot | a strip so high, 0 for none",
    "wall.cornice_m": "Not plastered at the top | a strip so high, 0 for none",
    "wall.old_plaster_mm": "Old plaster that stays, how thick | where it was measured: what may be taken "
    "down",
    "wall.old_plaster_gypsum": "What comes off holds gypsum | it is kept apart from other rubble",
    "wall.strip": "Stripped off before anything else",
    "wall.edge_bead": "Bead round openings | and fitted units where no reveal is plastered; none: up to "
    "the lining",
    "wall.angle_bead_m": "More angle bead | beyond those of the reveals",
    "wall.stop_bead_m": "More stop bead",
    "wall.skirting_off_m": "Skirting and architrave off and on | 0 where that is not in the price",
    "wall.sockets": "Sockets and switches to bring forward | those placed below are not counted twice",
    "wall.radiators": "Radiators off and on | those placed below are not counted twice",
    "wall.missed_high_spot_mm": "High spot that was missed | empty: as the job has it",
    "wall.rails_x_m": "Rails stand at | from the left end, a blank or semicolon between them; empty: "
    "where straightedge "
    "and openings want them",
    "wall.nibs_per_m2": "Small high spots that no reading finds | on a square metre; empty: as on its "
    "background",
    "wall.nib_mm": "Their usual height | empty: as on its background",
    "wall.system.backing": "Backing mix | none: those of the job",
    "wall.system.finish": "Finish mix",
    "wall.system.finish_mm": "Depth of the finish",
    "wall.system.dubbing": "Mix for dubbing out",
    "wall.treatment.name": "Called",
    "wall.treatment.kind": "This wall is treated so | none: as the job's walls are",
    "wall.treatment.skim": "With a skim",
    "wall.treatment.square": "Square to the corner",
    "wall.treatment.in_room": "Square in the room | with others that are treated so, nothing taken down",
    "wall.treatment.take_down": "High spots taken down where it pays",
}

MIX_WORDS = {
    "mix.name": "Mix",
    "mix.density_kg_per_l": "Density | dry powder for each litre on the wall",
    "mix.shrinkage_share": "Shrinks by | of its thickness; 0 unless your finished walls show it (no source)",
    "mix.bag_kg": "Bag",
    "mix.least_coat_mm": "Thinnest coat",
    "mix.max_coat_mm": "Thickest coat",
    "mix.max_total_mm": "Thickest in all",
    "mix.family": "Bound with",
    "mix.water_l_per_kg": "Water | 0.5 for a gypsum (no source)",
    "mix.pot_life_min": "Stays workable",
    "mix.set_h": "Before the next coat",
    "mix.cure_days": "Kept damp | 0 for gypsum; 7 for cement plaster (IS 1661:1972)",
    "mix.dry_days_per_mm": "Before paint | a day for each mm is a rule of thumb",
    "mix.recipe.sand_parts": "Mixed on site: parts of sand | to one part of binder; empty: it comes in bags",
    "mix.recipe.lime_parts": "Parts of lime | to one part of cement",
    "mix.recipe.wet_to_dry": "Loose dry volume for fresh mortar | 1.33 is usual",
    "mix.recipe.cement_kg_per_m3": "Cement, loose",
    "mix.recipe.sand_kg_per_m3": "Sand, loose",
    "mix.recipe.lime_kg_per_m3": "Lime, loose",
    "mix.source": "Figures from | the product's sheet, its date",
}
