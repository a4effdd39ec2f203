"""Docstrings carry units, and their examples are true."""

from __future__ import annotations

import ast
import doctest
import importlib
import re
from pathlib import Path

import pytest
from places import PACKAGE

import mytakeoff

FILES = [file for file in sorted(PACKAGE.rglob("*.py")) if file.name != "__main__.py"]
WITH_BOUNDS = re.compile(r"^(\w+) = Annotated\[\s*(?:float|Floats),", re.MULTILINE)
KINDS = {name for file in FILES for name in WITH_BOUNDS.findall(file.read_text(encoding="utf-8"))}
NUMBER = re.compile(rf"\b({'|'.join(('float', 'Floats', 'ArrayLike', *sorted(KINDS)))})\b")
UNIT = re.compile(r"\[[^\]]+\]")
SUFFIX = re.compile(r"(^|_)(m|mm|m2|l|kg|h|d|days|share|mm_per_m|kg_per_l|per_l|per_m2)$")
# these take any number at all: a conversion has its unit as an argument, a copy keeps it
ANY_UNIT = {"to_metres", "to_millimetres", "decimal_of", "say", "read_only"}


def name_of(file: Path) -> str:
    return file.relative_to(PACKAGE).with_suffix("").as_posix().replace("/", ".")


def public(tree: ast.Module):
    """Public functions, methods and classes with the names of their number parameters."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node, numbers(node)
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            fields = [a for a in node.body if isinstance(a, ast.AnnAssign) and is_number(a.annotation)]
            yield node.name, node, [a.target.id for a in fields if isinstance(a.target, ast.Name)]
            for method in node.body:
                if isinstance(method, ast.FunctionDef) and not method.name.startswith("_"):
                    yield f"{node.name}.{method.name}", method, numbers(method)


def is_number(annotation: ast.expr | None) -> bool:
    return annotation is not None and bool(NUMBER.search(ast.unparse(annotation)))


def numbers(function: ast.FunctionDef) -> list[str]:
    arguments = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return [a.arg for a in arguments if is_number(a.annotation) and not a.arg.startswith("_")]


def described(docstring: str) -> dict[str, str]:
    """Each parameter of a numpydoc section with its own text: the line that names it and what is below."""
    text: dict[str, str] = {}
    current: list[str] = []
    for line in docstring.splitlines():
        if line and not line[0].isspace():
            names = line.partition(" : ")[0]
            current = [name.strip().lstrip("*") for name in names.split(",")]
            current = current if all(name.isidentifier() for name in current) else []
        for name in current:
            text[name] = text.get(name, "") + line + "\n"
    return text


def missing_units(node: ast.AST, names: list[str]) -> list[str]:
    docstring = ast.get_docstring(node) or ""
    by_name = described(docstring)
    if "Parameters\n---" in docstring or "Attributes\n---" in docstring:
        return [name for name in names if not UNIT.search(by_name.get(name, ""))]
    return [] if UNIT.search(docstring) else names


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_every_public_thing_says_what_it_does(file):
    tree = ast.parse(file.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    assert [name for name, node, _ in public(tree) if not ast.get_docstring(node)] == []


def test_the_package_says_what_each_public_name_is():
    said = re.findall(r"`(\w+)`", (mytakeoff.__doc__ or "").partition("What there is")[2])
    assert set(mytakeoff.__all__) <= set(said)
    assert [name for name in said if not hasattr(mytakeoff, name)] == []


@pytest.mark.parametrize("name", mytakeoff.__all__)
def test_every_number_of_the_public_names_has_its_unit(name):
    module, name = (
        getattr(mytakeoff, name).__module__,
        getattr(mytakeoff, name).__name__,
    )  # it may be an alias
    tree = ast.parse(Path(importlib.import_module(module).__file__ or "").read_text(encoding="utf-8"))
    own = [(label, node, numbers) for label, node, numbers in public(tree) if label.split(".")[0] == name]
    assert own, f"{name} was not found in {module}"
    missing = {label: missing_units(node, numbers) for label, node, numbers in own}
    assert {label: numbers for label, numbers in missing.items() if numbers} == {}


OUTER = ("io", "charts", "documents", "panels", "launch")  # their numbers are units of a screen or a file
CORE = [file for file in FILES if file.relative_to(PACKAGE).parts[0] not in OUTER]


@pytest.mark.parametrize("file", CORE, ids=name_of)
def test_every_number_of_a_helper_has_its_unit_in_its_name_or_its_docstring(file):
    tree = ast.parse(file.read_text(encoding="utf-8"))
    missing = {
        label: [name for name in numbers if not SUFFIX.search(name)]
        for label, node, numbers in public(tree)
        if label not in ANY_UNIT and not UNIT.search(ast.get_docstring(node) or "")
    }
    assert {label: numbers for label, numbers in missing.items() if numbers} == {}


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_examples_in_docstrings_are_true(file):
    dotted = f"mytakeoff.{name_of(file)}".removesuffix(".__init__")
    result = doctest.testmod(importlib.import_module(dotted), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0


def test_the_chain_has_examples():
    tried = 0
    for stage in ("survey.survey", "surface.surface", "plane.target_plane", "coats.build_up", "coats.coats"):
        tried += doctest.testmod(importlib.import_module(f"mytakeoff.{stage}")).attempted
    assert tried >= 5
