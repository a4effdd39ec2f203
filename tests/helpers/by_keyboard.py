"""What a hand does that has no mouse: Tab to a control, type, go on by Enter."""

from __future__ import annotations

import time
from pathlib import Path

from driving import WAIT_MS
from playwright.sync_api import Page

SAVED_LIMIT_S = 20
MOST_TABS = 400
NAME_OF = """() => {
  const held = document.activeElement;
  const label = held.id ? document.querySelector(`label[for="${held.id}"]`) : null;
  return (held.getAttribute("aria-label") ?? label?.textContent ?? held.textContent).trim();
}"""


def go_to(page: Page, name: str) -> None:
    """Press Tab until what is so called has the focus."""
    for _ in range(MOST_TABS):
        if page.evaluate(NAME_OF) == name:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never comes to {name!r}")


def at(page: Page, name: str) -> None:
    """Wait until what is so called has the focus."""
    page.wait_for_function(f"(name) => ({NAME_OF})() === name", arg=name, timeout=WAIT_MS)


def type_on(page: Page, *texts: str) -> None:
    """Type into the box that has the focus, and by Enter into those after it; "" leaves one as it is."""
    for text in texts:
        if text:
            page.keyboard.press("Control+A")
            page.keyboard.type(text)
        page.keyboard.press("Enter")


def choose(page: Page, word: str) -> None:
    """Choose from the list that has the focus by its first letters."""
    page.keyboard.type(word)
    page.keyboard.press("Enter")


def add(page: Page, button: str, box: str, row: str = "new row") -> None:
    """Add a row, and be in its first box."""
    go_to(page, button)
    page.keyboard.press("Enter")
    at(page, f"{box}, {row}")


def unfold(page: Page, title: str) -> None:
    """Open a fold."""
    go_to(page, title)
    page.keyboard.press("Enter")


def waited_for(path: Path, wanted: str) -> str:
    """What a file says, once it says that or nothing more is to be expected."""
    until = time.monotonic() + SAVED_LIMIT_S
    while path.read_text("utf-8") != wanted and time.monotonic() < until:
        time.sleep(0.1)
    return path.read_text("utf-8")
