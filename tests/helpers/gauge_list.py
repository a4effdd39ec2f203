"""An example of a new kind of survey file: what an invented depth gauge writes, x;z;proud in cm and mm."""

from __future__ import annotations

from mytakeoff.io.survey.cells import BodyReadings, Format, Reader, Row, was_read


def is_gauge(head: Row) -> bool:
    """Whether the first row holds the gauge's three words."""
    return [cell.text.lower() for cell in head] == ["x", "z", "proud"]


def read_gauge(reader: Reader, head: Row, body: list[Row]) -> BodyReadings:
    """Places in whole centimetres and readings towards the room in millimetres, row by row."""
    readings = BodyReadings()
    for x, z, proud in (row for row in body if len(row) == 3 and was_read(row[2])):
        x_m, z_m = reader.place_m(x, "x", "cm"), reader.place_m(z, "z", "cm")
        proud_mm = reader.proud_mm(proud, "proud", "mm")
        if x_m is not None and z_m is not None and proud_mm is not None:
            readings.add(x_m, z_m, proud_mm, proud)
    return readings


GAUGE = Format("a depth gauge's list", "a depth gauge's list with x, z, proud", is_gauge, read_gauge)
