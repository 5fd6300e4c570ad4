"""The house as DEVELOPERS.md describes it: checked, not remembered."""

from __future__ import annotations

import ast
import re
import shlex
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import networkx
import pytest

from coach.command_line.command_parser import build_parser

ROOT = Path(__file__).parent.parent
HEAVY = (
    *("music21", "numpy", "mido", "rtmidi", "sounddevice", "soundfile"),
    *("sqlite3", "textual"),
    *("verovio", "resvg_py", "PIL"),
)
PURE = ("score", "planning", "rehearsal")
UNITS = (
    *("_l", "_lps", "_s", "_ms", "_cm", "_m", "_hz", "_bpm", "_cents", "_share"),
    *("_weight", "_steps", "_mps", "_mps2", "_years", "_beats", "_bars", "_notes"),
    *("_midi", "_percent", "_per_s", "_key", "_velocity", "_channel", "_semitones"),
    *("_db", "_fps", "_cells", "_columns", "_rows", "_mb", "_bytes", "_kpa"),
    *("_quarters", "_runs", "_count", "_cc", "_power", "_factor", "_dial", "_qpm"),
    *("_samples", "_frames", "_units", "_partials", "_days", "_cmh2o", "_deg"),
)


def loaded_by(code: str) -> set[str]:
    """Tell which heavy modules a fresh process has after running `code`."""
    ask = f"{code}\nimport sys; print(*(m for m in {HEAVY!r} if m in sys.modules))"
    result = subprocess.run(
        [sys.executable, "-c", ask], capture_output=True, text=True, check=True
    )
    return set(result.stdout.split("\n")[-2].split())


def test_help_loads_nothing_heavy() -> None:
    code = (
        "from coach.cli import main\ntry: main(['--help'])\nexcept SystemExit: print()"
    )
    assert loaded_by(code) == set()


@pytest.mark.parametrize("wish", ["auto", "on", "off"])
def test_the_screens_load_no_engraver(wish: str) -> None:
    """Engraving is in a process of its own, whatever the terminal can show."""
    code = (
        "import argparse\n"
        "from coach.wiring.terminal.engraving_choice import choose_engraving\n"
        "from coach.edges.engraving.engraver import Engraver\n"
        "from coach.screens import app\n"
        "from coach.screens.phrase import phrase_screen\n"
        "from coach.screens.run import run_screen\n"
        f"asked = argparse.Namespace(engraved={wish!r})\n"
        "known = {'TERM': 'xterm-ghostty'}\n"
        "made = choose_engraving(asked, known, is_plain=False).engraver\n"
        f"assert (made is None) == ({wish!r} == 'off')\n"
        "print()"
    )
    assert loaded_by(code) <= {"textual", "sqlite3"}


@pytest.mark.parametrize("room", PURE)
def test_a_pure_room_loads_nothing_from_outside(room: str) -> None:
    modules = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in sorted((ROOT / "coach" / room).rglob("*.py"))
    ]
    code = "\n".join(f"import {module}" for module in modules) + "\nprint()"
    assert loaded_by(code) <= {"numpy"}


def rooms() -> list[Path]:
    """Give every folder of the package that holds code."""
    return sorted({path.parent for path in (ROOT / "coach").rglob("*.py")})


def guide() -> str:
    """Give the developers' guide."""
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def sentence(room: Path) -> str:
    """Give what a room says of itself."""
    lines = (room / "__init__.py").read_text(encoding="utf-8").splitlines()
    return lines[0].strip('"')


def test_the_map_has_every_room_with_its_own_sentence() -> None:
    lines = [" ".join(line.split()) for line in guide().splitlines()]
    wanted = [
        f"{room.relative_to(ROOT).as_posix()}/ {sentence(room)}"
        for room in rooms()[1:]
        if room.name != "in_child"
    ]
    assert [line for line in wanted if line not in lines] == []


def test_the_map_has_no_room_that_is_not_there() -> None:
    named = {line.split()[0] for line in guide().splitlines() if line[:6] == "coach/"}
    assert {name for name in named if not (ROOT / name).exists()} == set()


def test_files_that_the_guide_names_are_there() -> None:
    """A name in back quotes that looks like a file of ours is one."""
    names = re.findall(r"`([a-z_/]+\.(?:py|toml|tcss))`", guide())
    folders = [ROOT / name for name in ("coach", "config", "tests")]
    here = [path.as_posix() for room in folders for path in room.rglob("*.*")]
    here += [path.as_posix() for path in ROOT.glob("*.*")]
    assert [n for n in names if not any(h.endswith(f"/{n}") for h in here)] == []


def test_a_room_has_at_most_sixteen_files() -> None:
    counts = {room: len([*room.glob("*.py")]) - 1 for room in rooms()}
    assert {room.name: n for room, n in counts.items() if n > 16} == {}


@cache
def tree(path: Path) -> ast.Module:
    """Parse a file, once for all that looks into it."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def classes(*folders: str) -> dict[str, list[ast.ClassDef]]:
    """Give every class in some folders, by its name."""
    found: dict[str, list[ast.ClassDef]] = {}
    for folder in folders:
        for path in (ROOT / folder).rglob("*.py"):
            for node in ast.walk(tree(path)):
                if isinstance(node, ast.ClassDef):
                    found.setdefault(node.name, []).append(node)
    return found


def bases(node: ast.ClassDef) -> list[str]:
    """Name what a class is made from."""
    given = (b.value if isinstance(b, ast.Subscript) else b for b in node.bases)
    return [base.id for base in given if isinstance(base, ast.Name)]


def can_do(name: str, known: dict[str, list[ast.ClassDef]]) -> set[str]:
    """Name what objects of a class have: methods, properties, attributes."""
    has: set[str] = set()
    for node in known.get(name, []):
        has |= {inner.name for inner in node.body if isinstance(inner, ast.FunctionDef)}
        for inner in ast.walk(node):
            if isinstance(inner, ast.Attribute) and isinstance(inner.ctx, ast.Store):
                has.add(inner.attr)
            elif isinstance(inner, ast.AnnAssign):
                has.add(ast.unparse(inner.target))
            elif isinstance(inner, ast.Assign):
                has |= {ast.unparse(target) for target in inner.targets}
        has = has.union(*(can_do(base, known) for base in bases(node) if base != name))
    return has


def protocol_rows() -> Iterator[tuple[str, list[str]]]:
    """Read the guide's table: a protocol, and the classes that keep it."""
    for line in guide().partition("| protocol |")[2].split("\n\n")[0].splitlines()[2:]:
        first, _, *others = line.strip("|").split("|")
        makers = re.findall(r"`(\w+)`", " ".join(others))
        names = re.findall(r"`(\w+)`", first)
        for k, name in enumerate(names):
            yield name, makers[k : k + 1] if len(names) > 1 else makers


def test_the_guide_names_every_protocol() -> None:
    ours = {
        name
        for name, nodes in classes("coach").items()
        if any("Protocol" in bases(node) for node in nodes)
    }
    named = [name for name, _ in protocol_rows()]
    assert sorted(named) == sorted(n for n in ours if not n.endswith("Needs"))


@pytest.mark.parametrize(
    ("protocol", "maker"),
    [(name, maker) for name, makers in protocol_rows() for maker in makers],
)
def test_what_the_guide_names_keeps_its_protocol(protocol: str, maker: str) -> None:
    known = classes("coach", "tests")
    promised = [n for n in known[protocol] if "Protocol" in bases(n)]
    wanted = can_do(protocol, {**known, protocol: promised})
    kept = [n for n in known.get(maker, []) if "Protocol" not in bases(n)]
    assert wanted
    assert wanted <= can_do(maker, {**known, maker: kept})


def test_two_pure_functions_read_settings_and_the_guide_says_which() -> None:
    reading = {
        name.rpartition(".")[2]
        for name, module in sources().items()
        if name.split(".")[1] in (*PURE, "conductor")
        and {
            f"coach.config.{name}"
            for name in ("read_settings", "read_tables", "read_player_file")
        }
        & set(imports(module))
    }
    assert reading == {"phrasing", "onsets"}
    assert all(f"`{name}`" in guide() for name in ("phrase_ends", "find_onsets"))


MOST_LINES = 300
LONG = "Long, since "
"""How the docstring of a longer file begins the sentence that says why."""


def test_a_long_file_says_why_and_a_short_one_does_not() -> None:
    wrong = []
    for path in (ROOT / "coach").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        says_why = LONG in str(ast.get_docstring(tree(path)))
        if says_why != (len(text.splitlines()) > MOST_LINES):
            wrong.append(f"{path.relative_to(ROOT)}: {len(text.splitlines())} lines")
    assert wrong == [], f"split it, or say “{LONG}…” in the docstring of the file"


KEY_LINES = {"shown", "hidden", "asked"}
"""What binds keys in a screen's table."""


def test_a_key_is_bound_on_one_line() -> None:
    """A table of keys is read down its columns."""
    bound = [
        (node, f"{name}: {ast.unparse(node)}")
        for name, module in sources().items()
        for node in ast.walk(module)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in KEY_LINES
    ]
    assert len(bound) > 100
    assert [words for node, words in bound if node.end_lineno != node.lineno] == []


def test_file_names_are_unique() -> None:
    names = Counter(path.name for path in (ROOT / "coach").rglob("*.py"))
    del names["__init__.py"]
    assert [name for name, count in names.items() if count > 1] == []


SAME_NAME = {"Engraver"}
"""A protocol and what keeps it."""


def test_class_names_are_unique() -> None:
    """What a class is called is found by one search, whatever room it stands in."""
    counts = Counter(
        node.name
        for module in sources().values()
        for node in module.body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert {name for name, count in counts.items() if count > 1} == SAME_NAME


@cache
def sources() -> dict[str, ast.Module]:
    """Give every module of the package by its name, as it is written."""
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts): tree(path)
        for path in (ROOT / "coach").rglob("*.py")
    }


def imports(module: ast.Module) -> Iterator[str]:
    """Name what a file imports anywhere in it: in functions, and for types only."""
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield str(node.module)
            yield from (f"{node.module}.{name.name}" for name in node.names)


def circles(modules: dict[str, ast.Module]) -> list[list[str]]:
    """Find the files that import each other, by whatever way round."""
    arrows = networkx.DiGraph(
        (name, other)
        for name, module in modules.items()
        for other in imports(module)
        if other in modules
    )
    found = networkx.strongly_connected_components(arrows)
    return [sorted(circle) for circle in found if len(circle) > 1]


def test_no_files_import_each_other() -> None:
    assert circles(sources()) == []


def test_a_circle_is_found_in_functions_and_for_types_too() -> None:
    files = {
        "a": "import b",
        "b": "def f():\n    from c import d",
        "c": "if TYPE_CHECKING:\n    from a import e",
        "d": "import a",
    }
    modules = {name: ast.parse(words) for name, words in files.items()}
    assert circles(modules) == [["a", "b", "c"]]


UNASKED = {
    "compared": "a plain tuple, taken apart where time counts",
    "is_added": "the same",
    "most_cost": "the same",
}
"""What a class of a pure room has and nobody asks for by its name, and why."""


def test_what_a_pure_room_gives_is_asked_for() -> None:
    """A value that only tests look at is worked out for nobody."""
    asked: set[str] = set()
    given: set[str] = set()
    for name, module in sources().items():
        for node in ast.walk(module):
            if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
                asked.add(node.attr)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                asked.add(node.value)
            elif isinstance(node, ast.ClassDef) and name.split(".")[1] in PURE:
                for inner in node.body:
                    if isinstance(inner, ast.AnnAssign):
                        given.add(ast.unparse(inner.target))
                    elif isinstance(inner, ast.FunctionDef):
                        given.add(inner.name)
    hidden = {name for name in given if name.startswith("__")}
    unasked = given - asked - hidden
    assert unasked == set(UNASKED), "show it, leave it out, or say why it stays"


MOST_PARAMETERS = 6
"""Besides `self`; what travels together is one frozen value."""

MANY = {
    "plan_slide": "three of its seven are wishes, of which most calls have none or one",
}
"""Functions that take more, and why."""


def parameters(function: ast.FunctionDef | ast.AsyncFunctionDef) -> list[str]:
    """Name what a function is handed, its own object left out."""
    given = function.args
    every = (*given.posonlyargs, *given.args, *given.kwonlyargs)
    return [one.arg for one in every if one.arg not in ("self", "cls")]


def test_what_travels_together_is_one_value() -> None:
    crowded = {
        node.name
        for module in sources().values()
        for node in ast.walk(module)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and len(parameters(node)) > MOST_PARAMETERS
    }
    assert crowded == set(MANY)


def childs_folder(module: str) -> str:
    """Give the folder that runs only in a child process; empty for any other file."""
    before, mark, _ = f"{module}.".partition(".in_child.")
    return before + mark if mark else ""


def test_nothing_imports_what_runs_only_in_a_child_process() -> None:
    modules = sources()
    wrong = {
        f"{name} imports {other}"
        for name, module in modules.items()
        for other in imports(module)
        if other in modules and childs_folder(other) not in ("", childs_folder(name))
    }
    assert wrong == set()


def test_each_child_is_started_from_one_place() -> None:
    """A child is named in a string by the file that starts it, and nowhere else."""
    modules = sources()
    starts = Counter(
        node.value
        for name, module in modules.items()
        for node in ast.walk(module)
        if isinstance(node, ast.Constant) and node.value in modules
        if childs_folder(str(node.value)) not in ("", childs_folder(name))
    )
    assert {child for child, count in starts.items() if count > 1} == set()
    folders = {childs_folder(name) for name in modules} - {""}
    assert {childs_folder(str(child)) for child in starts} == folders


def readme_commands() -> Iterator[str]:
    """Find every ``coach …`` line in README's code blocks."""
    is_code = False
    for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("```"):
            is_code = not is_code
        elif is_code and line.split("#")[0].strip().startswith("coach"):
            yield line.split("#")[0].strip()


def test_readme_shows_commands() -> None:
    assert len(list(readme_commands())) >= 5


@pytest.mark.parametrize("line", sorted(set(readme_commands())))
def test_a_command_in_the_readme_exists(line: str) -> None:
    build_parser().parse_args(shlex.split(line)[1:])


def config_files() -> list[Path]:
    """Give every shipped settings file."""
    return sorted((ROOT / "config").rglob("*.toml"))


def unsourced(table: dict[str, Any], name: str, *, is_sourced: bool) -> Iterator[str]:
    """Walk a table; name the keys whose number has no source or no unit."""
    is_sourced = is_sourced or bool(str(table.get("source", "")).strip())
    table_unit = bool(str(table.get("units", "")).strip())
    for key, value in table.items():
        place = f"{name}.{key}"
        if isinstance(value, dict):
            yield from unsourced(value, place, is_sourced=is_sourced)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for k, item in enumerate(value):
                yield from unsourced(item, f"{place}[{k}]", is_sourced=is_sourced)
        elif is_number(value):
            if not is_sourced:
                yield f"{place} has no source"
            if not table_unit and not key.endswith(UNITS):
                yield f"{place} has no unit"


def is_number(value: object) -> bool:
    """A number, or a list of them."""
    if isinstance(value, list):
        return any(is_number(item) for item in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


@pytest.mark.parametrize("path", config_files(), ids=lambda path: path.stem)
def test_every_number_in_config_has_a_source_and_a_unit(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert list(unsourced(table, path.stem, is_sourced=False)) == []


def test_the_config_check_can_fail() -> None:
    assert list(unsourced({"speed": 3}, "x", is_sourced=False)) == [
        "x.speed has no source",
        "x.speed has no unit",
    ]


IN_THE_ROOT = {
    *("README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", ".gitignore", ".ci"),
    *("coach", "config", "docs", "etudes", "tests"),
}


def test_nothing_stray_lies_in_the_root() -> None:
    """What a command left there, and was kept with the rest by mistake."""
    asked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if asked.returncode:
        pytest.skip("this is no checkout: git keeps no list of it")
    assert {path.partition("/")[0] for path in asked.stdout.split()} == IN_THE_ROOT
