"""Words as HTML: escaped once, whatever they are put into, and written in one place only."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

from mytakeoff import panels
from mytakeoff.panels.parts.html import Html, element, grouped_table, headline, listed, titled

NASTY = "<b>'\"&amp;"


def test_a_text_is_read_as_it_was_wherever_it_stands() -> None:
    groups = [(NASTY, [(NASTY, NASTY)]), ("", [(NASTY, element("strong", NASTY))])]
    made = grouped_table([NASTY, NASTY], groups, "mt-list", NASTY, numbers=(1,))
    parts = (made, listed([NASTY]), titled(NASTY, [(NASTY, NASTY)]), headline(NASTY, NASTY, NASTY))
    page = ElementTree.fromstring(element("div", *parts, title=NASTY))
    texts = [text.strip() for text in page.itertext()]
    assert set(texts) == {NASTY}
    assert len(texts) == 2 + 2 + 5 + 3 + 3
    assert page.get("title") == NASTY


def test_a_table_says_what_its_cells_belong_to() -> None:
    rows = [("sand", "3", "t")]
    made = grouped_table(["item", "amount", "unit"], [("mason", rows), ("", rows)], "mt-list", numbers=(1,))
    page = ElementTree.fromstring(made)
    assert [cell.get("scope") for cell in page.iter("th")] == ["col"] * 3 + ["rowgroup", "row", "row"]
    assert [cell.text for cell in page.iter("td") if cell.get("class") == "mt-number"] == ["3", "3"]


def test_nothing_to_list_is_no_list() -> None:
    assert listed([]) == titled("found", []) == Html()


def test_html_and_text_give_html() -> None:
    assert element("p", "so") + " < that" == "<p>so</p> &lt; that"


def test_no_panel_writes_tags_by_hand() -> None:
    for file in Path(panels.__file__).parent.rglob("*.py"):
        if file.name != "html.py":
            assert not re.findall(r"</?(?:p|ul|li|t[rdh]|table|div|span|h\d)\b", file.read_text("utf-8")), (
                file
            )
