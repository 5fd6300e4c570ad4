"""What each screen needs from outside is among what the app is handed."""

from __future__ import annotations

from importlib import import_module
from pkgutil import walk_packages
from typing import Any, ForwardRef, get_args, get_origin

import pytest

from coach import screens
from coach.screens.coach_screen import CoachScreen
from coach.screens.studio import Studio


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
        needs = {kind.__name__: kind for kind in Studio.__mro__}[needs.__forward_arg__]
    return needs  # type: ignore[no-any-return]


@pytest.mark.parametrize("screen", screens_of_the_coach(), ids=lambda s: s.__name__)
def test_a_screen_needs_no_more_than_the_studio_has(
    screen: type[CoachScreen[Any]],
) -> None:
    assert needs_of(screen) in Studio.__mro__


def test_no_screen_asks_for_everything() -> None:
    assert Studio not in [needs_of(screen) for screen in screens_of_the_coach()]
