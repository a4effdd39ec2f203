"""What may import what, read from the source itself: rooms and layers are named, modules are not.

Every file is read once a session. A room that is named here and not there fails, and so does one that is
there and not named.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from places import CHECKOUT, PACKAGE

import mytakeoff

# Earliest first: a file imports its own room and earlier layers; rooms of one layer do not see each other.
LAYERS = (
    ("errors",),
    ("bounds",),
    ("units", "steps", "threads", "resources", "audience"),
    ("formats",),
    ("survey",),
    ("corners",),
    ("job", "scan", "finished"),
    ("surface", "rails"),
    ("plane",),
    ("rooms",),
    ("coats",),
    ("flatness",),
    ("repair", "simulation"),
    ("treatment", "change"),
    ("measure",),
    ("labour",),
    ("takeoff",),
    ("cost",),
    ("result",),
    ("chain",),
    ("settingout", "ranges", "account"),
    ("buying", "programme", "learning"),
    ("figures",),
    ("options",),
    ("acceptance",),
    ("quotation",),
    ("variations",),
    ("store",),
    ("io", "charts"),
    ("documents", "jobs"),
    ("panels", "terminal"),
    ("launch",),
)
RANK = {room: layer for layer, rooms in enumerate(LAYERS) for room in rooms}
OUTER = ("io", "charts", "documents", "jobs", "panels", "terminal", "launch")
CORE = [room for room in RANK if room not in (*OUTER, "store", "resources")]
SCREEN = ("matplotlib", "ipywidgets", "anywidget", "IPython", "traitlets", "jupyterlab", "voila")
# Rooms of `panels` that know no panel: every panel may import them.
SHARED = ("parts", "findings", "elevation", "scenarios", "wall_map", "readings", "lessons")
MOST_MODULES = 16  # in one room
MOST_LINES, MOST_IN_A_FUNCTION = 400, 50


def name_of(file: Path) -> str:
    """The dotted name of a module below the package; "" for the package itself."""
    return (
        file.relative_to(PACKAGE)
        .with_suffix("")
        .as_posix()
        .replace("/", ".")
        .removesuffix("__init__")
        .strip(".")
    )


TREES = {name_of(file): ast.parse(file.read_text(encoding="utf-8")) for file in sorted(PACKAGE.rglob("*.py"))}
FILES = {name_of(file): file for file in sorted(PACKAGE.rglob("*.py"))}
MODULES = [name for name in TREES if name]


def room_of(module: str) -> str:
    return module.partition(".")[0]


def in_rooms(*rooms: str) -> list[str]:
    return [module for module in MODULES if room_of(module) in rooms]


@cache
def imported(module: str, typing_too: bool = True) -> frozenset[str]:
    """Full dotted names of everything a module imports, wherever in it; ours without the package's name.

    Modules import by full names only: a relative import fails here.
    """
    names: set[str] = set()
    for node in _reached(TREES[module], typing_too):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{module} imports by a relative name"
            base = node.module or ""
            names |= {base} | {f"{base}.{alias.name}" for alias in node.names}
    return frozenset(names)


def _reached(tree: ast.AST, typing_too: bool) -> Iterator[ast.AST]:
    """All nodes of a tree, without what stands there for type checkers only, unless that counts too."""
    if isinstance(tree, ast.If) and "TYPE_CHECKING" in ast.dump(tree.test) and not typing_too:
        return
    yield tree
    for child in ast.iter_child_nodes(tree):
        yield from _reached(child, typing_too)


@cache
def uses(module: str) -> frozenset[str]:
    """Which of our modules a module imports when it is loaded or run."""
    own = {name.removeprefix("mytakeoff.") for name in imported(module, typing_too=False)}
    return frozenset(own & set(MODULES) - {module})


@cache
def rooms_used(module: str) -> frozenset[str]:
    """Which other rooms a module imports, for types too."""
    own = {name.removeprefix("mytakeoff.") for name in imported(module) if name.startswith("mytakeoff.")}
    return frozenset(room_of(name) for name in own if room_of(name) in RANK) - {room_of(module)}


def reaches(module: str, *forbidden: str) -> list[str]:
    """Which of a module's imports are, or lie inside, one of the forbidden packages."""
    return sorted(n for n in imported(module) if any(n == f or n.startswith(f"{f}.") for f in forbidden))


def ours(*rooms: str) -> list[str]:
    return [f"mytakeoff.{room}" for room in rooms]


def calls(module: str) -> set[str]:
    called = [node.func for node in ast.walk(TREES[module]) if isinstance(node, ast.Call)]
    plain = {function.id for function in called if isinstance(function, ast.Name)}
    return plain | {f".{function.attr}" for function in called if isinstance(function, ast.Attribute)}


def test_rooms_that_are_named_are_there_and_no_others():
    assert {room_of(module) for module in MODULES} == set(RANK)


def test_a_room_sees_earlier_layers_only():
    late = {
        module: sorted(room for room in rooms_used(module) if RANK[room] >= RANK[room_of(module)])
        for module in MODULES
    }
    assert {module: rooms for module, rooms in late.items() if rooms} == {}


def test_no_two_modules_import_each_other_on_any_way():
    """Whoever is left once all that imports nothing left is taken away stands in a circle."""
    left = {module: set(uses(module)) for module in MODULES}
    while done := {module for module, used in left.items() if not used & left.keys()}:
        left = {module: used for module, used in left.items() if module not in done}
    assert left == {}


@pytest.mark.parametrize("outer", ["charts", "io", "panels"])
def test_rooms_inside_a_room_import_each_other_one_way_only(outer):
    def inner(module: str) -> str:
        return module.split(".")[1] if module.count(".") > 1 else ""

    ways = {(inner(m), inner(used)) for m in in_rooms(outer) for used in uses(m) if room_of(used) == outer}
    both = {(one, other) for one, other in ways if one < other and (other, one) in ways}
    assert both == set()


def test_a_panel_never_imports_another_panel():
    panels = {name.split(".")[1] for name in in_rooms("panels") if name.count(".") == 2} - set(SHARED)
    assert len(panels) >= 5
    found = {
        module: sorted(used for used in uses(module) if used.startswith("panels."))
        for module in in_rooms("panels")
        if module.count(".") == 2
    }
    others = {
        module: [used for used in several if used.split(".")[1] not in (*SHARED, module.split(".")[1])]
        for module, several in found.items()
    }
    assert {module: several for module, several in others.items() if several} == {}


@pytest.mark.parametrize("room", CORE)
def test_core_knows_no_screen_and_no_file(room):
    files = {"open", ".open", ".read_text", ".write_text", ".read_bytes", ".write_bytes"}
    files |= {".read_csv", ".to_csv", ".loadtxt", ".genfromtxt", ".savetxt"}
    never = files | {"print", "input", "eval", "exec", "compile", "__import__"}
    for module in in_rooms(room):
        assert reaches(module, *SCREEN, *ours(*OUTER, "store")) == []
        assert calls(module) & never == set()


def test_core_asks_no_clock():
    """An answer that stops by the clock is another one on a busy machine: work is bounded by its steps."""
    assert {module: found for module in in_rooms(*CORE) if (found := reaches(module, "time"))} == {}
    limits = [
        module
        for module in in_rooms(*CORE)
        for node in ast.walk(TREES[module])
        if isinstance(node, ast.Constant) and node.value == "time_limit"
    ]
    assert limits == []


def test_charts_draw_without_a_screen():
    screen = ("matplotlib.pyplot", "pylab", "ipywidgets", "anywidget", "IPython")
    assert {m: found for m in in_rooms("charts") if (found := reaches(m, *screen))} == {}


def test_io_draws_nothing():
    drawing = ("matplotlib", "ipywidgets", "anywidget")
    assert {m: found for m in in_rooms("io") if (found := reaches(m, *drawing))} == {}


def test_panels_never_use_pyplot_and_never_print():
    assert {m: found for m in in_rooms("panels") if (found := reaches(m, "matplotlib.pyplot", "pylab"))} == {}
    assert [module for module in in_rooms("panels") if "print" in calls(module)] == []


def test_the_store_holds_state_and_no_widget():
    assert reaches("store", "ipywidgets", "anywidget", "matplotlib") == []


def test_nothing_imports_workbooks_or_tests():
    outside = ("workbooks", "tests", "mytakeoff.workbooks", "pytest", "hypothesis")
    assert {module: found for module in TREES if (found := reaches(module, *outside))} == {}


def test_a_plain_import_stays_light():
    heavy = ["ipywidgets", "anywidget", "matplotlib", "pandas", "IPython", "jupyterlab", "tkinter"]
    heavy += ["typst", "xlsxwriter", "jinja2", "numpy", "scipy", "distributed"]
    script = f"import sys, mytakeoff; print([name for name in {heavy!r} if name in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", script],
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
        check=True,
    )
    assert run.stdout.strip() == "[]"


def test_public_names_are_listed_alike_for_people_types_and_imports():
    typed = {
        (node.module, alias.name)
        for node in ast.walk(TREES[""])
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("mytakeoff.")
        for alias in node.names
    }
    assert typed == {(f"mytakeoff.{module}", name) for name, module in mytakeoff._MODULES.items()}
    assert set(mytakeoff.__all__) <= mytakeoff._MODULES.keys() | mytakeoff._OLD_NAMES.keys()
    assert set(mytakeoff.__all__) <= set(dir(mytakeoff))
    for name in mytakeoff.__all__:
        assert getattr(mytakeoff, name) is getattr(mytakeoff, mytakeoff._OLD_NAMES.get(name, name))


def test_a_public_name_is_defined_once():
    """Classes all over the package; functions wherever they are imported by name, which is up to `io`."""

    def twice(modules: list[str], kinds: tuple[type, ...]) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for module in modules:
            for node in TREES[module].body:
                if isinstance(node, kinds) and not node.name.startswith("_"):
                    found.setdefault(node.name, []).append(module)
        assert len(found) > 50
        return {name: several for name, several in found.items() if len(several) > 1}

    assert twice(MODULES, (ast.ClassDef,)) == {}
    assert twice(in_rooms(*CORE, "store", "io"), (ast.FunctionDef,)) == {}


def test_no_room_is_crowded():
    in_room: dict[Path, int] = {}
    for name, file in FILES.items():
        if file.name != "__init__.py" and name:
            in_room[file.parent] = in_room.get(file.parent, 0) + 1
    crowded = {folder.name: modules for folder, modules in in_room.items() if modules > MOST_MODULES}
    assert crowded == {}


def test_modules_and_functions_stay_small():
    lines = {name: len(file.read_text(encoding="utf-8").splitlines()) for name, file in FILES.items()}
    assert {name: size for name, size in lines.items() if size > MOST_LINES} == {}
    long = {
        f"{module}.{node.name}": size
        for module, tree in TREES.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and (size := code_lines(node)) > MOST_IN_A_FUNCTION
    }
    assert long == {}


def code_lines(function: ast.FunctionDef) -> int:
    """Lines of a function without its docstring."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
