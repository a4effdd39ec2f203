"""Moody's surface plate: readings along eight lines, and the heights that come of them.

J. C. Moody, "How to calibrate surface plates in the plant", The Tool Engineer, October 1955, pp. 15-21,
table 1 and fig. 6; readings corrected and heights printed in full by B. Allen, "Comments on Moody's method
for surface plate calibration", 26 July 2019. Slopes in seconds of arc at steps of 4 in on a plate of
48 × 72 in; heights in 0.00001 in.
"""

from __future__ import annotations

import numpy as np

SLOPES_PRINTED = {
    "NW_SE": "6.5 6.0 5.0 5.2 5.5 5.6 5.5 5.0 5.5 4.8 5.0 5.2 5.3 4.9 4.6 4.2 5.3 4.9 4.5 3.5",
    "NE_SW": "6.6 5.4 5.4 5.2 5.5 5.7 5.0 5.0 5.4 4.5 4.4 4.5 4.5 4.8 4.2 4.2 4.2 4.8 4.3 3.2",
    "NE_NW": "20.5 19.7 20.5 20.3 20.2 19.9 19.0 19.5 18.8 18.6 18.7 18.6 18.4 18.5 19.0 17.9",
    "NE_SE": "3.5 2.1 2.5 2.8 3.4 3.2 3.5 4.0 4.2 3.5",
    "SE_SW": "16.4 15 15.6 15.5 15.1 15.3 15.1 14.6 14 13.5 13.5 13.3 13.3 13.4 14 13.9",
    "NW_SW": "6 4.6 4.5 4.7 5.0 4.5 5.9 6 6 4.9",
    "E_W": "11.7 12.4 12.1 12.5 12.0 11.5 11.5 11.3 11.3 10.3 10.8 10.3 10 10.7 10.4 10.4",
    "N_S": "6.6 6.4 6.3 6.5 6.6 6.9 7.5 7.4 7.1 7",
}
SLOPES = {line: [float(reading) for reading in text.split()] for line, text in SLOPES_PRINTED.items()}
# line, reading, as first printed: what Allen corrected
MISPRINTS = (("NE_SW", 18, 4.2), ("NE_NW", 8, 18.3))
HEIGHTS = {
    "NW_SE": "6.206 8.921 10.666 10.472 10.666 11.442 12.411 13.187 12.993 13.769 13.187 12.993 13.187 "
    "13.575 13.187 12.217 10.472 10.860 10.472 9.308 6.206",
    "NE_SW": "2.909 6.322 7.408 8.494 9.192 10.472 12.140 12.450 12.760 13.846 13.187 12.334 11.674 11.015 "
    "10.937 9.696 8.455 7.214 7.136 6.089 2.909",
    "NE_NW": "2.909 5.527 6.593 9.211 11.442 13.478 14.932 14.641 15.320 14.641 13.575 12.702 11.636 10.181 "
    "8.921 8.630 6.206",
    "NE_SE": "2.909 3.685 1.745 0.582 0.000 0.582 0.776 1.551 3.297 5.430 6.206",
    "SE_SW": "6.206 9.745 10.569 12.557 14.350 15.369 16.775 17.793 17.841 16.726 14.641 12.557 10.084 7.612 "
    "5.333 4.218 2.909",
    "NW_SW": "6.206 7.408 5.895 4.189 2.870 2.133 0.427 1.435 2.637 3.840 2.909",
    "E_W": "1.939 3.006 5.430 7.272 9.890 11.539 12.217 12.896 13.187 13.478 11.829 11.151 9.502 7.272 6.400 "
    "4.945 3.491",
    "N_S": "15.320 15.126 14.544 13.769 13.381 13.187 13.575 15.126 16.484 17.259 17.841",
}
OVERALL_IN = 0.00018  # fig. 6: two parallel planes that hold all points
CLOSURE_ARCSEC = {"E_W": -0.7, "N_S": 0.0}  # table 1
STEP_IN, RADIANS = 4.0, 4.848137e-6
TO_HEIGHT = STEP_IN * RADIANS / 1e-5
MIDDLES = {"E_W": ("NE_SE", "NW_SW"), "N_S": ("NE_NW", "SE_SW")}


def printed() -> dict[str, np.ndarray]:
    """The published heights by line [0.00001 in]."""
    return {line: np.array(text.split(), dtype=float) for line, text in HEIGHTS.items()}


def heights(slopes, over_chord) -> tuple[dict[str, np.ndarray], dict[str, float]]:
    """Heights of all lines [0.00001 in] and how far the centre lines miss the centre [arcsec].

    `over_chord` takes the chord between its ends off a line; that is all the geometry there is: diagonals are
    made level through the centre, the rim hangs on their ends, the centre lines on the rim's middles.
    """
    free = {line: over_chord(np.concatenate([[0.0], np.cumsum(own)])) for line, own in slopes.items()}
    lines = {line: free[line] - free[line][10] for line in ("NW_SE", "NE_SW")}
    corner = {
        name: lines[line][end] for line in lines for name, end in zip(line.split("_"), (0, -1), strict=True)
    }
    for line in ("NE_NW", "NE_SE", "SE_SW", "NW_SW"):
        ends = [corner[name] for name in line.split("_")]
        lines[line] = free[line] + np.linspace(*ends, free[line].size)
    closure = {}
    for line, rim in MIDDLES.items():
        ends = [lines[name][lines[name].size // 2] for name in rim]
        hung = free[line] + np.linspace(*ends, free[line].size)
        closure[line] = float(hung[hung.size // 2])
        lines[line] = hung - closure[line]
    lowest = min(own.min() for own in lines.values())
    return {line: (own - lowest) * TO_HEIGHT for line, own in lines.items()}, closure
