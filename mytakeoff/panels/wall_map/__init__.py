"""The wall as a panel shows it: a live map, the words that say the same, and a place asked for."""
