"""The places of a wall as boxes to type readings into, all of them one widget."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from mytakeoff.panels.parts.stock import source


class ReadingKeys(anywidget.AnyWidget):
    """Boxes for readings in rows and columns, with keys for a phone; fill it with traits, observe `typed`.

    A reading stays in `typed` until `done` says that it was taken or refused, so that none is lost where
    messages are merged.

    Attributes
    ----------
    shape : dict
        `columns` and `rows`, lists of [short, spoken]; `keys`, by row and column, "" where nothing is read;
        `order`, the keys as the wall is walked; `caption`, `walk`, `unit`: in words.
    reads : dict of str to str
        What stands at a key; a dash where nothing can be read; none where nothing is read yet.
    marks : dict of str to [sign, words]
        Places worth reading next.
    limits : [float, float]
        Within which a plain number is taken for certain.
    point : str
        The decimal mark of the keys.
    typed : list of [number, key, text]
        What was typed and is not answered yet; numbers rise.
    done : int
        Number of the last one that was answered.
    refused : dict of str to [text, words]
        What was typed at a key and not taken, and why.
    said : str
        What there is to know of the whole.
    go : [str, int]
        A key to go to, and a number that rises.
    """

    _esm = source(__file__, "keys.js")
    _css = source(__file__, "keys.css")

    shape: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    reads: traitlets.Dict[str, str] = traitlets.Dict().tag(sync=True)
    marks: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    limits: traitlets.List[float] = traitlets.List([-500.0, 500.0]).tag(sync=True)
    point = traitlets.Unicode(".").tag(sync=True)
    typed: traitlets.List[Any] = traitlets.List().tag(sync=True)
    done = traitlets.Int(0).tag(sync=True)
    refused: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    said = traitlets.Unicode("").tag(sync=True)
    go: traitlets.List[Any] = traitlets.List().tag(sync=True)

    @property
    def waiting(self) -> list[tuple[int, str, str]]:
        """What was typed and is not answered yet, in the order of typing."""
        asked = ((int(number), str(key), str(text)) for number, key, text in self.typed)
        return sorted(each for each in asked if each[0] > self.done)
