"""Turn ``config/*.toml`` and the player's own file into frozen settings.

A shipped file holds tables of numbers.  Every table that holds numbers says where
they come from in ``source``, in itself or in the table around it, and every key
carries its unit (``_l``, ``_lps``, ``_s``, ``_cm``, ``_share``, ``_weight`` …).
What is shipped is the one home of a default and of its kind: a number with a point
may be any number, one without must be whole.

The player's file, ``player.toml`` in the player's folder, may set any of the same
keys anew, a table ``[click.track]`` standing for ``[track]`` in ``click.toml``.  It is
held against what is shipped each time it is read, as a whole.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import MISSING, fields
from functools import cache
from pathlib import Path
from typing import Any, TextIO, TypeVar, cast, get_type_hints

from coach.errors import ConfigError, what_to_do
from coach.setting_kinds import (
    NOT_SETTINGS,
    check_kind,
    check_settings,
    nearest_key,
    refuse_kind,
    refuse_unknown,
)

Settings = TypeVar("Settings")
Table = Mapping[str, Any]

PACKAGE = Path(__file__).parent
PLAYER_VARIABLE = "COACH_PLAYER"
NO_SETTINGS = {"cautions"}
"""Shipped texts that nobody sets anew."""

SHARED = {"step_db": "dynamics"}
"""Settings that several rooms go by, and the file in which each stands once."""


def home() -> Path:
    """Give the player's folder: ``COACH_HOME``, or the platform's own."""
    named = os.environ.get("COACH_HOME")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("coach", appauthor=False)


def player_name() -> str:
    """Tell who plays: ``COACH_PLAYER``; empty for the one the laptop belongs to."""
    return os.environ.get(PLAYER_VARIABLE, "")


def players_folder() -> Path:
    """Give where the others who play at this laptop have their folders."""
    return home() / "players"


def player_home() -> Path:
    """Give the folder of whoever plays; that of the laptop's owner is the coach's."""
    name = player_name()
    return players_folder() / name if name else home()


def player_path() -> Path:
    """Give the file of whoever plays."""
    return player_home() / "player.toml"


def shipped(folder: str) -> Path:
    """Give a folder that travels with the program: ``config`` or ``etudes``."""
    in_wheel = PACKAGE / "shipped" / folder
    return in_wheel if in_wheel.is_dir() else PACKAGE.parent / folder


@cache
def read_shipped(name: str) -> Table:
    """Read one shipped file, as ``"air"`` or ``"instruments/trumpet"``."""
    return read_toml(shipped("config") / f"{name}.toml")


@cache
def read_shipped_json(name: str) -> Table:
    """Read one shipped file of learned numbers, as ``"phrasing_trees"``."""
    import json

    path = shipped("config") / f"{name}.json"
    try:
        return cast(Table, json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise ConfigError(
            f"{path} cannot be read: {error}.", "Install the coach again."
        ) from error


def read_player_file() -> dict[str, Any]:
    """Read what the player has set; empty when nothing is.

    Raises
    ------
    ConfigError
        If the file cannot be read, or holds a setting that is unknown or of the
        wrong kind.
    """
    path = player_path()
    if not path.exists():
        return {}
    values = dict(read_toml(path))
    check_settings(values, _ShippedSettings(), path)
    return values


def write_player_file(settings: Table) -> None:
    """Write what the player has set, whole or not at all."""
    import tomli_w

    path = player_path()
    try:
        write_whole(path, tomli_w.dumps(dict(settings)))
    except OSError as error:
        raise ConfigError(
            f"The settings in {path} cannot be written: {error.strerror}.",
            what_to_do(error),
        ) from error


def write_whole(path: Path, text: str) -> None:
    """Write a file of the player's folder, whole or not at all; a link stays one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with open_whole_or_not(path) as file:
        file.write(text)


@contextmanager
def open_whole_or_not(path: Path) -> Iterator[TextIO]:
    """Open a file to be written, which takes its place when all of it is there.

    Behind a link the file that it leads to is written.  A device or a pipe, in whose
    place no file may come to stand, takes the text as it comes.
    """
    if path.exists() and not path.is_file():
        with path.open("w", newline="", encoding="utf-8", errors="replace") as device:
            yield device
        return
    goal = path.resolve()
    fresh = goal.with_name(f"{os.urandom(8).hex()}.new")
    try:
        with fresh.open("x", newline="", encoding="utf-8", errors="replace") as file:
            yield file
        fresh.replace(goal)
    finally:
        fresh.unlink(missing_ok=True)


def read_settings(kind: type[Settings], name: str, table: str = "") -> Settings:
    """Read a frozen dataclass from a table of a shipped file.

    A field of `SHARED` comes from the file in which it stands.

    Parameters
    ----------
    kind : type
        A dataclass whose fields are the table's keys.
    name : str
        The shipped file, without its ending.
    table : str
        Dotted name of the table inside it; empty for the whole file.

    Returns
    -------
    Settings
        The shipped values, with the player's own (same table under the file's
        name in ``player.toml``) in their place.

    Raises
    ------
    ConfigError
        If a key is missing, unknown or of the wrong kind.
    """
    own = _inner(read_player_file().get(name, {}), table)
    values = {**dict(_shared(kind)), **_inner(read_shipped(name), table), **own}
    place = str(shipped("config") / f"{name}.toml")
    return settings_from(kind, values, where=place, table=table)


def read_tables(kind: type[Settings], name: str) -> Settings:
    """Read a frozen dataclass of frozen ones, each from the table of its own name."""
    kinds = get_type_hints(kind)
    return kind(
        **{
            field.name: read_settings(kinds[field.name], name, field.name)
            for field in fields(cast(Any, kind))
        }
    )


def _shared(kind: type) -> Iterator[tuple[str, Any]]:
    """Give what a dataclass asks for of the settings that have a file of their own."""
    for field in fields(cast(Any, kind)):
        if field.name in SHARED:
            name = SHARED[field.name]
            own = read_player_file().get(name, {})
            yield field.name, {**read_shipped(name), **own}[field.name]


def settings_from(
    kind: type[Settings], values: Table, *, where: str, table: str = ""
) -> Settings:
    """Make a frozen dataclass from a table, naming what does not fit."""
    place = f"{where}: [{table}]" if table else f"{where}:"
    if not isinstance(values, Mapping):
        refuse_kind(place.rstrip(":"), values, {})
    known = {field.name: field for field in fields(cast(Any, kind))}
    given = {key: _frozen(value) for key, value in values.items() if key in known}
    for key, value in values.items():
        is_left_out = key in NOT_SETTINGS or isinstance(value, Mapping)
        if key not in known and not is_left_out:
            refuse_unknown(f"{place} does not know “{key}”.", nearest_key(key, known))
    for name, field in known.items():
        has_default = (
            field.default is not MISSING or field.default_factory is not MISSING
        )
        if name not in given and not has_default:
            raise ConfigError(f"{place} lacks {name}.", "Write it there.")
    for key, value in given.items():
        check_kind(value, str(known[key].type), f"{place} {key}")
    return kind(**given)


class _ShippedSettings(Mapping[str, Table]):
    """What a player may set anew, by file; a file is read when it is asked for.

    The shelf waits for this at every start, and a player has set but little.
    """

    def __getitem__(self, name: str) -> Table:
        if name in _setting_files():
            return read_shipped(name)
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        return iter(_setting_files())

    def __len__(self) -> int:
        return len(_setting_files())


@cache
def _setting_files() -> tuple[str, ...]:
    """Name the shipped files that a player may set anew."""
    names = sorted(path.stem for path in shipped("config").glob("*.toml"))
    return tuple(name for name in names if name not in NO_SETTINGS)


def _frozen(value: Any) -> Any:
    """Give a value in which no list can be changed."""
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _inner(values: Table, table: str) -> Table:
    """Follow a dotted name into nested tables; an absent one is empty."""
    for key in filter(None, table.split(".")):
        values = values.get(key, {})
    return values


def read_toml(path: Path) -> Table:
    """Read a TOML file, naming it when that fails."""
    if path.is_fifo():  # To open it would wait for somebody to write into it.
        raise ConfigError(f"{path} is a pipe, and no file.", "Take it away.")
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError as error:
        raise ConfigError(f"There is no {path.name} in {path.parent}.") from error
    except (OSError, ValueError, RecursionError) as error:  # what tomllib raises
        raise ConfigError(
            f"{path} cannot be read: {_say_why(error)}.", "Mend it or take it away."
        ) from error


def _say_why(error: Exception) -> str:
    """Say in words why a file cannot be read."""
    match error:
        case OSError(strerror=str(why)):
            return why
        case UnicodeDecodeError():
            return "it is no text in UTF-8"
        case RecursionError():
            return "its lists lie too deep in each other"
    return str(error)
