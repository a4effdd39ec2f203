"""What may import what, read from the source itself."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "mytakeoff"
FILES = sorted(file for file in PACKAGE.rglob("*.py"))
OUTER = ("io", "charts", "panels", "launch")  # siblings over the chain
ABOVE_THE_CORE = ("store.py", "__main__.py")

# the chain, earliest first; a stage may use those before it and the plain helpers, never those after it
STAGES = (
    "survey",
    "sweeping",
    "surface",
    "deviation",
    "railspan",
    "raillayout",
    "between",
    "plane",
    "buildup",
    "drawnplanes",
    "wallrange",
    "nextreading",
    "bestcut",
    "straightedge",
    "spotrepair",
    "grades",
    "judging",
    "beside",
    "remains",
    "coats",
    "materials",
    "waits",
    "schedule",
    "hours",
    "lines",
    "cost",
    "findings",
    "optionwalls",
    "fillrange",
    "chain",
    "inputs",
    "sureprices",
    "sureness",
    "drivers",
    "settingout",
    "railchoice",
    "programme",
    "orderneeds",
    "offers",
    "order",
    "buying",
    "optionresult",
    "options",
    "pricecurve",
    "optionsteps",
)
VOCABULARY = (
    "errors",
    "units",
    "wall",
    "mixes",
    "prices",
    "labour",
    "treatments",
    "choices",
    "fittings",
    "sweep",
    "surechoice",
    "workdays",
    "packs",
)


def name_of(file: Path) -> str:
    return file.relative_to(PACKAGE).with_suffix("").as_posix().replace("/", ".")


def folder_of(file: Path) -> str:
    parts = file.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else ""


CORE = [file for file in FILES if not folder_of(file) and file.name not in ABOVE_THE_CORE]
CHAIN = [file for file in CORE if file.name != "__init__.py"]


def imported(file: Path) -> set[str]:
    """Full dotted names of everything a file imports, wherever in it, relative ones resolved."""
    names: set[str] = set()
    package = ["mytakeoff", *file.relative_to(PACKAGE).parts[:-1]]
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*base, *([node.module] if node.module else [])])
            names |= {module} | {f"{module}.{alias.name}" for alias in node.names}
    return names


def reaches(file: Path, *forbidden: str) -> list[str]:
    """Which of a file's imports are, or lie inside, one of the forbidden packages."""
    return sorted(n for n in imported(file) if any(n == f or n.startswith(f"{f}.") for f in forbidden))


def calls(file: Path) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    called = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
    plain = {function.id for function in called if isinstance(function, ast.Name)}
    return plain | {f".{function.attr}" for function in called if isinstance(function, ast.Attribute)}


def ours(*folders: str) -> list[str]:
    return [f"mytakeoff.{folder}" for folder in folders]


def in_folder(name: str) -> list[Path]:
    return [file for file in FILES if folder_of(file) == name]


def test_the_package_was_found():
    assert {"survey.py", "surface.py", "plane.py", "buildup.py", "coats.py"} <= {file.name for file in CORE}


@pytest.mark.parametrize("file", CORE, ids=name_of)
def test_core_knows_no_screen_and_no_file(file):
    screen = ["matplotlib", "ipywidgets", "anywidget", "IPython", "traitlets", "jupyterlab", "voila"]
    outer = [folder for folder in OUTER if (file.name, folder) != ("__init__.py", "io")]  # its public readers
    assert reaches(file, *screen, *ours(*outer, "store")) == []


@pytest.mark.parametrize("file", CHAIN, ids=name_of)
def test_core_opens_prints_and_sets_nothing(file):
    files = {"open", ".open", ".read_text", ".write_text", ".read_bytes", ".write_bytes"}
    files |= {".read_csv", ".to_csv", ".loadtxt", ".genfromtxt", ".savetxt"}
    assert calls(file) & (files | {"print", "input", "eval", "exec", "compile", "__import__"}) == set()


@pytest.mark.parametrize("file", in_folder("charts"), ids=name_of)
def test_charts_draw_without_a_screen(file):
    assert (
        reaches(
            file, "matplotlib.pyplot", "pylab", "ipywidgets", "anywidget", "IPython", *ours("io", "panels")
        )
        == []
    )


@pytest.mark.parametrize("file", in_folder("io"), ids=name_of)
def test_io_draws_nothing(file):
    assert reaches(file, "matplotlib", "ipywidgets", "anywidget", *ours("charts", "panels", "launch")) == []


@pytest.mark.parametrize("file", in_folder("panels"), ids=name_of)
def test_panels_never_use_pyplot(file):
    assert reaches(file, "matplotlib.pyplot", "pylab") == []
    assert "print" not in calls(file)


def test_the_store_holds_state_and_no_widget():
    store = PACKAGE / "store.py"
    if not store.is_file():
        pytest.skip("there is no store yet")
    assert reaches(store, "ipywidgets", "anywidget", "matplotlib", *ours("panels", "charts", "launch")) == []


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_nothing_imports_workbooks_or_tests(file):
    assert reaches(file, "workbooks", "tests", "mytakeoff.workbooks", "pytest", "hypothesis") == []


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_never_imports_a_later_one(stage):
    if not (PACKAGE / f"{stage}.py").is_file():
        pytest.skip(f"there is no {stage}.py yet")
    later = STAGES[STAGES.index(stage) + 1 :]
    found = {name: uses(name) for name in closure(stage)}
    assert {name: sorted(used & set(later)) for name, used in found.items() if used & set(later)} == {}


@pytest.mark.parametrize("word", VOCABULARY)
def test_vocabulary_comes_before_every_stage(word):
    assert closure(word) & set(STAGES) == set()


@cache
def uses(module: str) -> set[str]:
    """The core modules that a core module imports (types for annotations only do not count)."""
    tree = ast.parse((PACKAGE / f"{module}.py").read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            node.body = []
    names = {file.stem for file in CHAIN}
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("mytakeoff"):
            parts = node.module.split(".")[1:2] or [alias.name for alias in node.names]
            found |= set(parts) & names
        elif isinstance(node, ast.Import):
            dotted = [alias.name.split(".") for alias in node.names]
            found |= {parts[1] for parts in dotted if parts[0] == "mytakeoff" and len(parts) > 1} & names
    return found


@cache
def closure(module: str) -> set[str]:
    """A module and all that it imports, directly or not."""
    seen: set[str] = set()
    waiting = [module]
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting += uses(name)
    return seen


def test_no_two_core_modules_import_each_other():
    loops = [(a.stem, b) for a in CHAIN for b in uses(a.stem) if a.stem in closure(b)]
    assert loops == []


def test_a_plain_import_stays_light():
    heavy = ["ipywidgets", "anywidget", "matplotlib", "pandas", "IPython", "jupyterlab", "tkinter"]
    script = f"import sys, mytakeoff; print([name for name in {heavy!r} if name in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", script],
        capture_output=True,
        text=True,
        cwd=PACKAGE.parent,
        check=True,
    )
    assert run.stdout.strip() == "[]"


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_modules_and_functions_stay_small(file):
    text = file.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 400
    long = {
        node.name: lines
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef) and (lines := code_lines(node)) > 50
    }
    assert long == {}


def code_lines(function: ast.FunctionDef) -> int:
    """Lines of a function without its docstring."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
