"""Names for the handles of stock sliders, and a way back to the saved value."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class SliderHandles(anywidget.AnyWidget):
    """Unseen: tells screen readers what each slider is, and reports a double click or Delete on a handle.

    Attributes
    ----------
    names : dict
        Label of each slider, by the name of its CSS class without ``mt-``.
    back : dict
        The slider that was last asked to go back: name.
    """

    _esm = (Path(__file__).parent / "handles.js").read_text(encoding="utf-8")

    names: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    back: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
