"""What the program tells a player to type exists: commands, and options of theirs."""

from __future__ import annotations

import argparse
import ast
import re
from collections.abc import Iterator
from functools import cache
from itertools import chain
from pathlib import Path

from coach.command_line.command_parser import build_parser

PACKAGE = Path(__file__).parent.parent / "coach"
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*[a-z]")
COMMAND = re.compile(r"(?<![Tt]he )\bcoach (?:--as \S+ )?([a-z]+)([^,;.:)]*)")
"""``coach plan NAME --check``: what follows belongs to it up to the next stop."""

SURELY = re.compile(r"[:(] ?coach ([a-z]+)|\bwith coach ([a-z]+)")
"""Where a command stands, and no sentence about the coach."""

OF_OTHERS = frozenset({"--force-reinstall"})
"""Options of other programs that we tell a player to call."""


@cache
def options() -> dict[str, frozenset[str]]:
    """Give each command with its options; ``""`` is ``coach`` alone."""
    return {
        name: frozenset(command._option_string_actions)
        for name, command in commands().items()
    }


@cache
def commands() -> dict[str, argparse.ArgumentParser]:
    """Give each command; ``""`` is ``coach`` alone."""
    parser = build_parser()
    found = {"": parser}
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            found |= action.choices
    return found


def untrue(source: str, own: str | None = None) -> Iterator[str]:
    """Name what strings of a source tell to type, and nobody can.

    `own` is the command whose file it is: options that stand alone are of that.
    """
    tree = ast.parse(source)
    every = frozenset(chain.from_iterable(options().values()))
    alone = every if own is None else options()[own]
    for words in strings(tree):
        rest = words
        for told in COMMAND.finditer(words):
            command, behind = told.groups()
            if command in options():
                wrong = set(OPTION.findall(behind)) - options()[command]
                yield from (f"coach {command} {option}" for option in sorted(wrong))
                rest = rest.replace(told[0], "")
        for told in SURELY.finditer(words):
            command = told[1] or told[2]
            if command not in options():
                yield f"coach {command}"
        for option in OPTION.findall(rest):
            if option not in alone | OF_OTHERS:
                yield option
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and ast.unparse(call.func) == "copied":
            yield from wrongly_copied(call)


def strings(tree: ast.AST) -> Iterator[str]:
    """Give every string but docstrings and names of styles, each gap as ``GAP``."""
    bare: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):
            bare.add(id(node.value))
        if isinstance(node, ast.JoinedStr):
            bare |= {id(value) for value in node.values}
            yield "".join(
                str(value.value) if isinstance(value, ast.Constant) else "GAP"
                for value in node.values
            )
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and id(node) not in bare:
            yield node.value if isinstance(node.value, str) else ""


def wrongly_copied(call: ast.Call) -> Iterator[str]:
    """Name what is wrong in a command that is written for a shell."""
    command, *others = call.args
    if not isinstance(command, ast.Constant):
        return
    told = str(command.value)
    if told not in options():
        yield f"coach {told}"
        return
    for option in OPTION.findall(" ".join(map(ast.unparse, others[1:]))):
        if option not in options()[told]:
            yield f"coach {told} {option}"


def test_what_the_program_tells_to_type_is_there() -> None:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.stem.partition("_")[0]
        is_own = path.match("commands/*_command.py") and name in options()
        wrong = [*untrue(path.read_text(encoding="utf-8"), name if is_own else None)]
        if wrong:
            found[path.relative_to(PACKAGE).as_posix()] = wrong
    assert found == {}


def test_every_option_says_what_it_is_for() -> None:
    for command in commands().values():
        options = command._option_string_actions.values()
        silent = [one.option_strings for one in options if not one.help]
        assert silent == [], command.prog


def test_untrue_words_are_found() -> None:
    def told(source: str, own: str | None = None) -> list[str]:
        return list(untrue(source, own))

    assert told('say("The coach plans. Try: coach plan NAME --check")') == []
    assert told('say("Try: coach plan NAME --chek, or --part")') == [
        "coach plan --chek"
    ]
    assert told('say("Try: coach pla")') == ["coach pla"]
    assert told('say("Say --parts")') == ["--parts"]
    assert told('say("Say --pin")') == []
    assert told('say("Say --pin")', "today") == ["--pin"]
    assert told('say(f"coach gear --{option}: coach gear --minutes {n}")') == [
        "coach gear --minutes"
    ]
    assert told('copied("plan", name, f"--pin {n}")') == ["coach plan --pin"]
