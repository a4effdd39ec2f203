"""Pick mutants to try, by hand: ``mutmut run $(python tests/helpers/pick_mutants.py 720)``.

Run where `mutmut` has written its mutants (`mutants/`). Left out are those that change a text alone: what is
told in other words is not another result.
"""

from __future__ import annotations

import argparse
import ast
import random
import sys
from collections.abc import Iterator
from pathlib import Path

ROOMS = [
    "plane",
    "coats",
    "flatness",
    "repair",
    "measure",
    "cost",
    "takeoff",
    "labour",
    "buying",
    "programme",
]
SEED = 13
MARK = "__mutmut_"


class _WithoutWords(ast.NodeTransformer):
    """Puts one word in the place of each text that is more than a name."""

    def visit_Constant(self, node: ast.Constant) -> ast.Constant:
        text = node.value
        if isinstance(text, str) and (" " in text.strip("X ") or not _is_name(text)):
            return ast.copy_location(ast.Constant("words"), node)
        return node


def _is_name(text: str) -> bool:
    """Whether a text, without what mutmut puts round it, is like a key of a table."""
    return text.strip("X").replace("_", "").isalnum()


def without_words(function: ast.FunctionDef) -> str:
    """What a function does, texts apart and whatever it is called."""
    copy = ast.parse(ast.unparse(function)).body[0]
    assert isinstance(copy, ast.FunctionDef)
    copy.name = "f"
    return ast.dump(_WithoutWords().visit(copy))


def mutants_of(path: Path) -> Iterator[str]:
    """Names, within a module, of its mutants that change more than words."""
    every = [
        node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.FunctionDef)
    ]
    functions = {node.name: node for node in every if MARK in node.name}
    for name, function in functions.items():
        base, number = name.rsplit(MARK, 1)
        original = functions.get(f"{base}{MARK}orig")
        if number != "orig" and original and without_words(original) != without_words(function):
            yield name


def picked(root: Path, count: int, seed: int) -> list[str]:
    """So many of all mutants in the rooms, sorted by name."""
    names = [
        f"mytakeoff.{room}.{path.stem}.{name}"
        for room in ROOMS
        for path in sorted((root / "mytakeoff" / room).glob("*.py"))
        for name in mutants_of(path)
    ]
    return sorted(random.Random(seed).sample(names, count))


def main() -> None:
    """Write the names, one on a line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    sys.stdout.write("\n".join(picked(Path("mutants"), asked.count, asked.seed)) + "\n")


if __name__ == "__main__":
    main()
