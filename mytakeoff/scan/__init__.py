"""A cloud of points becomes readings: pure arrays, files are of `io`."""
