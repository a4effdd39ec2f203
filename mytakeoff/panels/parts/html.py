"""Words as HTML: every text is escaped here and nowhere else, and once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

MOST_LISTED = 5  # sentences that one reads under each other


class Html(str):
    """Text that is HTML already."""

    def __add__(self, more: str) -> Html:
        return joined([self, more])


def joined(texts: Iterable[str], between: str = "") -> Html:
    """Texts in a row, those escaped that are not HTML yet.

    Examples
    --------
    >>> joined(["sand & lime", element("br")])
    'sand &amp; lime<br>'
    """
    return Html(between.join(text if isinstance(text, Html) else escape(text) for text in texts))


def element(name: str, *contents: str, css: str = "", **attributes: str) -> Html:
    """An element; an attribute's name may have underscores for its hyphens.

    Examples
    --------
    >>> element("p", "5 < 6", css="mt-hint", aria_label="so")
    "<p class='mt-hint' aria-label='so'>5 &lt; 6</p>"
    """
    given = {"class": css, **attributes} if css else attributes
    said = "".join(f" {key.replace('_', '-')}='{escape(value)}'" for key, value in given.items())
    return Html(f"<{name}{said}>" + ("" if name == "br" else f"{joined(contents)}</{name}>"))


def paragraphs(texts: Iterable[str]) -> Html:
    """A paragraph each."""
    return joined(element("p", text) for text in texts)


def listed(texts: Iterable[str], css: str = "") -> Html:
    """A list, what is beyond five of it folded away; nothing where there is nothing to list.

    Examples
    --------
    >>> listed("abcdefg").endswith("<li>f</li><li>g</li></ul></details>")
    True
    """
    items = [element("li", text) for text in texts]
    if len(items) <= MOST_LISTED + 1:  # one more takes no more room than the words that fold it away
        return element("ul", *items, css=css) if items else Html()
    first, more = items[:MOST_LISTED], items[MOST_LISTED:]
    folded = element("details", element("summary", f"{len(more)} more"), element("ul", *more, css=css))
    return element("ul", *first, css=css) + folded


def titled(title: str, marked: Iterable[tuple[str, str]]) -> Html:
    """A heading and a list of marks with their words under it, or nothing where there are none."""
    items = listed(joined([element("strong", mark), f" {words}"]) for mark, words in marked)
    return joined([element("h3", title), items]) if items else items


def headline(total: str, facts: str, what: str = "") -> Html:
    """What a panel says first: what it is of, the one figure that matters, and the next in a line."""
    above = element("div", what, css="mt-what") if what else Html()
    return joined([above, element("div", total, css="mt-total"), element("div", facts, css="mt-facts")])


def facts(texts: Iterable[str]) -> Html:
    """Facts in a line that breaks between them only."""
    return joined((element("span", text) for text in texts), " · ")


def scrolling(content: str) -> Html:
    """What may be wider than the page, for hand and keyboard to move."""
    return element("div", content, css="mt-scroll", tabindex="0")


def problem(text: str, lead: str = "Not taken.") -> Html:
    """A refused entry, told beside the controls; nothing where there is none."""
    if not text:
        return Html()
    return element("div", element("strong", lead), f" {text}", css="mt-problem", role="alert")


def message(text: str) -> Html:
    """What a button did, or what is being done."""
    return element("div", text, css="mt-said", role="status")


def table(head: Sequence[str], rows: Iterable[Sequence[str]], css: str, caption: str = "") -> Html:
    """A table of rows under one head; see `grouped_table`."""
    return grouped_table(head, [("", rows)], css, caption)


def grouped_table(
    head: Sequence[str],
    groups: Iterable[tuple[str, Iterable[Sequence[str]]]],
    css: str,
    caption: str = "",
    numbers: Sequence[int] = (),
) -> Html:
    """A table whose rows stand in groups under titles.

    Parameters
    ----------
    head : sequence of str
        Titles of the columns.
    groups : iterable of (title, rows)
        The first cell of a row is its name; a group without a title has none.
    css : str
    caption : str
    numbers : sequence of int
        Columns that stand to the right.
    """
    titles = element("tr", *(element("th", title, scope="col") for title in head))
    bodies = [_body(title, rows, str(len(head)), numbers) for title, rows in groups]
    named = element("caption", caption) if caption else Html()
    return element("table", named, element("thead", titles), *bodies, css=css)


def _body(title: str, rows: Iterable[Sequence[str]], width: str, numbers: Sequence[int]) -> Html:
    over = element("tr", element("th", title, colspan=width, scope="rowgroup")) if title else Html()
    return element("tbody", over, *(_row(row, numbers) for row in rows))


def _row(row: Sequence[str], numbers: Sequence[int]) -> Html:
    name, *cells = row
    right = dict.fromkeys(numbers, "mt-number")
    others = (element("td", cell, css=right.get(at, "")) for at, cell in enumerate(cells, start=1))
    return element("tr", element("th", name, scope="row"), *others)
