"""Edits from two sides: what the job changed since it was opened, over what the file says by now."""

from __future__ import annotations

from typing import Any


def reconciled(opened: Any, now: Any, file: Any) -> Any:
    """The job's value where it was changed since the job was opened, else the file's.

    Parameters
    ----------
    opened, now, file : plain tables, lists or values
        As the job was opened, as it is now, as the file says by now. Tables in a list are told apart by
        their name.

    Returns
    -------
    Plain tables, lists or values; where both changed one value, the job's.

    Examples
    --------
    >>> reconciled({"a": 1, "b": 1}, {"a": 2, "b": 1}, {"a": 1, "b": 3})
    {'a': 2, 'b': 3}
    """
    if now == opened:
        return file
    if file == opened:
        return now
    if all(isinstance(one, dict) for one in (opened, now, file)):
        return {key: reconciled(opened.get(key), value, file.get(key)) for key, value in now.items()}
    if all(_is_tables(one) for one in (opened, now, file)):
        return _tables(*(dict(zip(labels(of), of, strict=True)) for of in (opened, now, file)))
    return now


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _tables(opened: dict[Any, Any], now: dict[Any, Any], file: dict[Any, Any]) -> list[Any]:
    """In the file's order: those of both, those that only the file has got; then those new in the job."""
    kept = [
        reconciled(opened.get(label), now[label], table) if label in now else table
        for label, table in file.items()
        if label in now or label not in opened
    ]
    added = [table for label, table in now.items() if label not in file and table != opened.get(label)]
    return [*kept, *added]


def labels(tables: Any) -> list[tuple[Any, int]]:
    """What tells the tables of an array apart: their name or item, and how often it stood before.

    Examples
    --------
    >>> labels([{"name": "north"}, {"item": "sack"}, {"item": "sack"}])
    [('north', 0), ('sack', 0), ('sack', 1)]
    """
    names = [one.get("name", one.get("item")) for one in tables]
    return [(name, names[:nth].count(name)) for nth, name in enumerate(names)]
