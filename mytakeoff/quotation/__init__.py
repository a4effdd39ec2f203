"""The page that is handed over: what it says, in which order, and what it is known by; no file, no figure."""
