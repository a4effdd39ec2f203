"""The text of a job file with only the keys changed that say something else.

A remark in ``job.toml`` goes with its table, which is known again as `three_way` knows it.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, MutableMapping
from contextlib import suppress
from dataclasses import MISSING
from difflib import SequenceMatcher
from itertools import groupby, pairwise
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from mytakeoff.errors import Mistake, TakeoffError
from mytakeoff.io.files.text import FileText
from mytakeoff.io.files.three_way import known_again
from mytakeoff.io.files.toml_fields import Key, as_toml, keys_of
from mytakeoff.io.job.open_job import upgrade
from mytakeoff.io.job.shape import (
    JOB_FILE,
    JOB_KEYS,
    WALL_KEYS,
    full,
    key_kind,
    mix_keys,
    table_with_all,
)

Table = MutableMapping[str, Any]
HEADING = re.compile(r"\[\[?[^\[\],=#]+\]\]?[ \t]*(#.*)?")
MARK = "#\N{PILCROW SIGN}above\N{PILCROW SIGN}"


def edited_job(file: FileText, tables: Mapping[str, Any], names: Mapping[str, str]) -> str:
    """The text of a job file with the keys changed that differ from the tables.

    Parameters
    ----------
    file : FileText
    tables : plain tables
        What it shall say.
    names : mapping of str to str
        What its walls are called from now on: their remarks go with them.

    Raises
    ------
    TakeoffError
        It is laid out in a way that cannot be changed in place.
    """
    document = _editable(file)
    upgrade(document)
    for wall in document.get("wall", []):
        if names.get(wall["name"], wall["name"]) != wall["name"]:
            wall["name"] = names[wall["name"]]
    merge(document, tables, JOB_KEYS)
    _merge_many(document, "mix", tables["mix"], lambda mix: mix_keys(mix["name"]))
    _merge_many(document, "wall", tables["wall"], lambda _: WALL_KEYS)
    text = _remarks_above(tomlkit.dumps(document))
    kept = _remarks_kept(file.text, text)
    for said in (_set_apart(file.text, kept), kept, text):  # what looks like a remark may be part of a text
        with suppress(tomllib.TOMLDecodeError):
            if full(tomllib.loads(said)) == tables:
                return said
    raise _laid_out(JOB_FILE)


def _editable(file: FileText) -> tomlkit.TOMLDocument:
    """The document with its comments and layout, each remark within the table that it belongs to."""
    said = tomllib.loads(file.text)
    for text in (_remarks_below(file.text), file.text):  # a heading may be part of a text of several lines
        with suppress(TOMLKitError, ValueError):
            document = tomlkit.parse(text)
            if tomlkit.dumps(document) == text and document.unwrap() == said:
                return document
    raise _laid_out(JOB_FILE)


def _remarks_below(text: str) -> str:
    """The text with the remarks that stand right above a heading put below it.

    To the library they are the last of the table before, and would come and go with that.

    Examples
    --------
    >>> print(_remarks_below("[a]\\nb = 1\\n# of c\\n[c]").replace(MARK, "* "))
    [a]
    b = 1
    [c]
    * # of c
    """
    lines: list[str] = []
    run = 0  # remarks since the last other line
    for line in text.split("\n"):
        above = len(lines) - run
        if HEADING.fullmatch(line.strip()) and MARK not in text:
            lines[above:] = [line, *(MARK + one for one in lines[above:])]
        else:
            lines.append(line)
        run = run + 1 if line.lstrip().startswith("#") else 0
    return "\n".join(lines)


def _remarks_above(text: str) -> str:
    """The text with those remarks above their headings again."""
    lines: list[str] = []
    heading = 0
    for line in text.split("\n"):
        if line.startswith(MARK):
            lines.insert(heading, line.removeprefix(MARK))
            heading += 1
            continue
        if HEADING.fullmatch(line.strip()):
            heading = len(lines)
        lines.append(line)
    return "\n".join(lines)


def _remarks_kept(before: str, after: str) -> str:
    """A text with the remarks of one before it that stood by themselves, and went with the table above them.

    Examples
    --------
    >>> _remarks_kept("[a]\\n\\n# about all\\n\\n[b]", "[b]")
    '\\n# about all\\n\\n[b]'
    """
    old, new = before.split("\n"), after.split("\n")
    gone = Counter(old) - Counter(new)
    alone = [block for block in _alone(old) if all(gone[line] for line in old[block])]
    if not alone:
        return after
    lines: list[str] = []
    for _, start, end, new_start, new_end in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        lines += new[new_start:new_end]
        for block in (block for block in alone if start <= block.start < end):
            blank = "\r" if old[block.start].endswith("\r") else ""
            lines += [blank, *old[block], blank]
    return "\n".join(lines)


def _set_apart(before: str, after: str) -> str:
    """A text with a blank line above each heading that is new in its place, and one end of its last line.

    Examples
    --------
    >>> _set_apart("[a]\\nb = 1\\n", "[a]\\nb = 1\\n[[c]]\\nd = 2\\n\\n")
    '[a]\\nb = 1\\n\\n[[c]]\\nd = 2\\n'
    """
    old = set(pairwise(before.split("\n")))
    lines: list[str] = []
    for line in after.split("\n"):
        above = lines[-1] if lines else ""
        plain = above.strip() and not above.lstrip().startswith("#")
        if plain and HEADING.fullmatch(line.strip()) and (above, line) not in old:
            lines.append("\r" if above.endswith("\r") else "")
        lines.append(line)
    text = "\n".join(lines)
    end = "\r\n" if text.endswith("\r\n") else "\n"
    while text.endswith(2 * end) and not before.endswith(2 * end):
        text = text.removesuffix(end)
    return text


def _alone(lines: list[str]) -> Iterator[slice]:
    """Where remarks stand with nothing right above or below them."""
    start = 0
    for said, run in groupby(lines, key=lambda line: (bool(line.strip()), line.lstrip().startswith("#"))):
        end = start + len(list(run))
        free = (start == 0 or not lines[start - 1].strip()) and (end == len(lines) or not lines[end].strip())
        if said == (True, True) and free:
            yield slice(start, end)
        start = end


def _laid_out(name: str) -> TakeoffError:
    return TakeoffError(
        Mistake(
            "the file is laid out in a way that cannot be changed in place",
            "a saved job opens as the same job",
            "save the job into a new folder",
            name,
        )
    )


def check_same(same: bool, name: str) -> None:
    """Refuse to write a file that would not say what the job says."""
    if not same:
        raise _laid_out(name)


def merge(table: Table, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    """Change the keys of a table whose values differ, and no other.

    Parameters
    ----------
    table : a table of the document
        A key that is not there stands for its default.
    new : mapping
        What each key shall say; None for not there.
    keys : mapping of str to Key
    """
    for name, key in keys.items():
        kind, cls = key_kind(key)
        if kind == "tables":
            _merge_many(table, name, new[name], _always(keys_of(cls)))
        elif kind == "table" and new[name] is not None:
            _merge_one(table, key, new[name], keys_of(cls))
        else:
            _set(table, key, new[name])


def _always(keys: Mapping[str, Key]) -> Callable[[Any], Mapping[str, Key]]:
    return lambda _: keys


def _default(key: Key) -> Any:
    return None if key.default is MISSING else as_toml(key.default)


def _set(table: Table, key: Key, value: Any) -> None:
    """Say one value, where the table does not say it already."""
    if key.name in table:
        if value is None:
            del table[key.name]
        elif _bare(table[key.name]) != value:
            table[key.name] = value
    elif value is not None and (value != _default(key) or key.required):
        table[key.name] = value


def _bare(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _merge_one(table: Table, key: Key, new: Mapping[str, Any], keys: Mapping[str, Key]) -> None:
    if key.name in table:
        said = bool(table[key.name])
        merge(table[key.name], new, keys)
        if said and not table[key.name] and new == _default(key) and "#" not in table[key.name].as_string():
            del table[key.name]  # its heading says nothing any more
    elif new != _default(key):
        table[key.name] = _fresh(new, keys)


def _fresh(new: Mapping[str, Any], keys: Mapping[str, Key]) -> Any:
    made = tomlkit.table()
    merge(made, new, keys)
    return made


def _merge_many(
    table: Table, name: str, new: list[dict[str, Any]], keys: Callable[[Any], Mapping[str, Key]]
) -> None:
    """Change an array of tables: those that are known again stay, with their remarks, others come or go."""
    old = table.get(name, [])
    if not new:
        if name in table:
            del table[name]
        return
    filled = [table_with_all(one, keys(one)) for one in old]
    known = known_again(filled, new)
    if known[: len(old)] == list(range(len(old))) and (isinstance(old, AoT) or len(new) == len(old)):
        for one, wanted in zip(old, new, strict=False):  # what is there keeps its layout
            merge(one, _as_written(one, wanted), keys(wanted))
        for wanted in new[len(old) :]:
            added = _fresh(wanted, keys(wanted))
            added.add(tomlkit.nl())
            old.append(added)
        return
    made = tomlkit.aot()
    for was, wanted in zip(known, new, strict=True):
        if was is None or not isinstance(old, AoT):
            made.append(_fresh(wanted, keys(wanted)))
        else:
            merge(old[was], _as_written(old[was], wanted), keys(wanted))
            made.append(old[was])
    if isinstance(old, Array):
        del table[name]
    table[name] = made


def _as_written(table: Mapping[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """A high spot's new reading in the way in which the file gives the old one."""
    if "proud_mm" in table and new.get("off_line_mm") is not None:
        return {**new, "off_line_mm": None, "proud_mm": 0.0 - new["off_line_mm"]}
    return new
