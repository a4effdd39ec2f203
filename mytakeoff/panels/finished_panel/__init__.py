"""The finished wall: checked, made good, settled up, learnt from. All parts of the panel share one `Desk`."""
