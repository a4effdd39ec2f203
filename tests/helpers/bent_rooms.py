"""Rooms as an invented instrument sees them whose bow is known, or whose walls are bowed themselves."""

from __future__ import annotations

import numpy as np
from clouds import rectangle

WIDE, DEEP, HIGH = 4.0, 5.0, 2.6
STOOD = (1.7, 2.2, 1.2)
WALLS = (
    ((0, 0, 0), (WIDE, 0, 0), (0, 0, HIGH)), ((0, DEEP, 0), (WIDE, 0, 0), (0, 0, HIGH)),
    ((0, 0, 0), (0, DEEP, 0), (0, 0, HIGH)), ((WIDE, 0, 0), (0, DEEP, 0), (0, 0, HIGH)),
)  # fmt: skip
LEVEL = (((0, 0, 0), (WIDE, 0, 0), (0, DEEP, 0)), ((0, 0, HIGH), (WIDE, 0, 0), (0, DEEP, 0)))


def room(bowed_mm: dict[int, float] | None = None, faces: tuple[int, ...] = (0, 1, 2, 3)) -> np.ndarray:
    """Points about the instrument, and the axis that each one's face is square to (n, 4).

    Some walls are bowed into the room along their length, by so much [mm].
    """
    random = np.random.default_rng(0)
    parts = [np.insert(rectangle(random, *each, 700) - STOOD, 3, 2, axis=1) for each in LEVEL]
    for nth in faces:
        points = rectangle(random, *WALLS[nth], 1400)
        along, out = (0, 1) if nth < 2 else (1, 0)
        share = 2.0 * points[:, along] / (WIDE, DEEP)[along] - 1.0
        into = 1.0 if nth in (0, 2) else -1.0
        points[:, out] += into * (bowed_mm or {}).get(nth, 0.0) / 1000.0 * (1.0 - share**2)
        parts.append(np.insert(points - STOOD, 3, out, axis=1))
    return np.concatenate(parts)


def seen_by(faces: np.ndarray, angle: str, mm: float, noise_m: float = 0.002) -> np.ndarray:
    """The points as an instrument measures them whose ranges err by so much at a radian [mm]."""
    points, square_to = faces[:, :3], faces[:, 3].astype(int)
    ray = points / np.linalg.norm(points, axis=1)[:, None]
    to_it = {
        "from the line of sight": np.arccos(ray @ np.array([0.6, 0.8, 0.0])),
        "above level": np.arcsin(ray[:, 2]),
        "from the perpendicular": np.arccos(np.abs(np.take_along_axis(ray, square_to[:, None], 1)[:, 0])),
    }[angle]
    error = mm / 1000.0 * to_it**2 + np.random.default_rng(1).normal(0.0, noise_m, len(points))
    seen = to_it < 0.67 if angle == "from the line of sight" else slice(None)  # a camera's field of view
    return (points + ray * error[:, None])[seen]
