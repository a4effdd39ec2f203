"""Scan or survey by hand, and which kind of scan: by a file's first bytes and its name's ending."""

from __future__ import annotations

from pathlib import Path

HEAD_BYTES = 1 << 16
MAGIC = {
    b"LASF": "LAS",
    b"ASTM-E57": "E57",
    b"ply\n": "PLY",
    b"ply\r": "PLY",
    b"# .PCD": "PCD",
    b"VERSION": "PCD",
}
TEXT_ENDINGS = (".xyz", ".asc", ".pts")  # never a survey by hand
EITHER_ENDINGS = (".txt", ".csv")
ENDINGS = {
    "XYZ": (*TEXT_ENDINGS, *EITHER_ENDINGS),
    "PLY": (".ply",),
    "LAS": (".las", ".laz"),
    "E57": (".e57",),
    "PCD": (".pcd",),
}
ONLY_SCANS = tuple(ending for known in ENDINGS.values() for ending in known if ending not in EITHER_ENDINGS)
BY_HAND_ROWS = 500  # rows of three plain numbers without a heading: more was not measured by hand


def scan_kind(head: bytes) -> str | None:
    """The kind of scan that a file's first bytes say it is; None for text and all else.

    Examples
    --------
    >>> scan_kind(b"LASF\\x00\\x00"), scan_kind(b"ply\\nformat ascii 1.0"), scan_kind(b"1 2 3")
    ('LAS', 'PLY', None)
    """
    return next((kind for magic, kind in MAGIC.items() if head.startswith(magic)), None)


def head_of(path: Path) -> bytes | None:
    """The first bytes of a file, None if it cannot be read."""
    try:
        with path.open("rb") as file:
            return file.read(HEAD_BYTES)
    except (OSError, ValueError):
        return None


def is_scan(path: str | Path) -> bool:
    """Whether a file is a scan rather than a survey by hand. One that cannot be read is none.

    Text counts as a scan if its rows begin with three numbers under a heading of x, y and z, or if there are
    more of them than anybody measures by hand.
    """
    path = Path(path)
    ending = path.suffix.lower()
    head = head_of(path)
    if head is None:
        return False
    if ending in ONLY_SCANS or scan_kind(head):
        return True
    if ending not in EITHER_ENDINGS:
        return False
    from mytakeoff.io.scan.text_cloud import column_layout

    text = head.decode("utf-8-sig", errors="replace")
    layout = column_layout(text, last_row_whole=len(head) < HEAD_BYTES)
    return layout is not None and (layout.headed or text.count("\n") >= BY_HAND_ROWS)
