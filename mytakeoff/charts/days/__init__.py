"""The programme as bars by day."""
