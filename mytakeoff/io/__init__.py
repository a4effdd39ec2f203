"""Files to types and back: no arithmetic of the trade, no drawing."""
