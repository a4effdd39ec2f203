"""How the walls of a room join: corners and how they were measured, closing round the room, clear widths."""
