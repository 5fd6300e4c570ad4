"""What each screen needs from outside is promised by the studio, and kept."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from sys import modules
from typing import Any, ForwardRef, get_args, get_origin

import pytest

from coach import screens
from coach.screens.coach_screen import CoachScreen
from coach.wiring import studio
from coach.wiring.studio.real_studio import RealStudio


def screens_of_the_coach() -> list[type[CoachScreen[Any]]]:
    """Give every screen of the package that no other one builds on."""
    for module in walk_packages(screens.__path__, "coach.screens."):
        import_module(module.name)
    found: list[type[CoachScreen[Any]]] = []
    waiting = CoachScreen.__subclasses__()
    while waiting:
        screen = waiting.pop()
        waiting += screen.__subclasses__()
        found += [] if screen.__subclasses__() else [screen]
    return sorted(found, key=lambda screen: screen.__name__)


def needs_of(screen: type[CoachScreen[Any]]) -> type:
    """Give the protocol that a screen names: `object` where it needs nothing."""
    bases: tuple[Any, ...] = screen.__orig_bases__  # type: ignore[attr-defined]
    (needs,) = (get_args(base)[0] for base in bases if get_origin(base) is CoachScreen)
    if isinstance(needs, ForwardRef):  # the shelf loads no protocol at its start
        needs = next(
            vars(module)[needs.__forward_arg__]
            for name, module in modules.items()
            if name.endswith("_needs") and needs.__forward_arg__ in vars(module)
        )
    return needs  # type: ignore[no-any-return]


def promised() -> set[str]:
    """Name the protocols that the floors of the studio promise the type checker."""
    (folder,) = studio.__path__
    return {
        base.id
        for path in Path(folder).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
        for base in node.bases
        if isinstance(base, ast.Name)
    }


@pytest.mark.parametrize("screen", screens_of_the_coach(), ids=lambda s: s.__name__)
def test_what_a_screen_needs_is_promised_and_kept(
    screen: type[CoachScreen[Any]],
) -> None:
    """The type checker holds the studio to what a floor of it promises."""
    needs = needs_of(screen)
    if needs is not object:
        assert needs.__name__ in promised(), "name it in a floor of wiring/studio/"
        wanted = {name for name in dir(needs) if not name.startswith("_")}
        assert wanted - set(dir(RealStudio)) == set()
