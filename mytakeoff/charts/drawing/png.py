"""Pixels to PNG bytes, for a picture that has to follow a hand."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_TRUECOLOUR = 2


def _chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png_of(rgb: NDArray[np.uint8]) -> bytes:
    """A PNG of red, green and blue pixels.

    Parameters
    ----------
    rgb : (height, width, 3) uint8
        Row 0 at the top.

    Returns
    -------
    bytes
        Packed at the fastest level: a map has few colours and long runs of each.

    Notes
    -----
    Eight bits a channel, no interlacing, no row filter (PNG specification, third edition, W3C 2025).

    Examples
    --------
    >>> png_of(np.zeros((1, 1, 3), dtype=np.uint8))[:4]
    b'\\x89PNG'
    """
    height, width, _ = rgb.shape
    rows = np.zeros((height, 1 + width * 3), dtype=np.uint8)
    rows[:, 1:] = rgb.reshape(height, -1)
    header = struct.pack(">IIBBBBB", width, height, 8, _TRUECOLOUR, 0, 0, 0)
    return b"".join(
        (
            _SIGNATURE,
            _chunk(b"IHDR", header),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 1)),
            _chunk(b"IEND", b""),
        )
    )
