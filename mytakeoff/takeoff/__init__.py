"""The lines of the takeoff before prices, what has to be bought, the packs that meet it."""
