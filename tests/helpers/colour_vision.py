"""How colours look to eyes that tell fewer of them apart, and how light they are."""

from __future__ import annotations

import numpy as np

# Machado, Oliveira and Fernandes 2009, "A physiologically-based model for simulation of color vision
# deficiency", severity 1.0; they act on linear red, green and blue.
DEFICIENCIES = {
    "protanopia": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deuteranopia": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritanopia": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def to_linear(rgb: np.ndarray) -> np.ndarray:
    return np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)


def light_of_linear(linear: np.ndarray) -> np.ndarray:
    luminance = np.clip(linear, 0, 1) @ [0.2126, 0.7152, 0.0722]
    cube = np.cbrt(luminance)
    return np.where(luminance > 216 / 24389, 116 * cube - 16, luminance * 24389 / 27)
