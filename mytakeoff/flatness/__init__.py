"""What a straightedge shows of a face, and the grades that it is held to."""
