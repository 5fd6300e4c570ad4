"""Turn ``config/*.toml`` and the player's own file into frozen settings.

A shipped file holds tables of numbers.  Every table that holds numbers says where
they come from in ``source``, in itself or in the table around it, and every key
carries its unit (``_l``, ``_lps``, ``_s``, ``_cm``, ``_share``, ``_weight`` …).
The player's file, ``player.toml`` in the player's folder, may set any of the same
keys anew.  Files are looked for in the player's folder, then in the installed
package, then in the checkout.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, fields
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast

from coach.errors import ConfigError

Settings = TypeVar("Settings")
Table = Mapping[str, Any]

PACKAGE = Path(__file__).parent
NOT_NUMBERS = {"source", "about"}


def home() -> Path:
    """Give the player's folder: ``COACH_HOME``, or the platform's own."""
    named = os.environ.get("COACH_HOME")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("coach", appauthor=False)


def shipped(folder: str) -> Path:
    """Give a folder that travels with the program: ``config`` or ``etudes``."""
    in_wheel = PACKAGE / "shipped" / folder
    return in_wheel if in_wheel.is_dir() else PACKAGE.parent / folder


@cache
def read_shipped(name: str) -> Table:
    """Read one shipped file, as ``"air"`` or ``"instruments/trumpet"``."""
    return _read_toml(shipped("config") / f"{name}.toml")


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
    """Read what the player has set; empty when nothing is."""
    path = home() / "player.toml"
    return dict(_read_toml(path)) if path.exists() else {}


def write_player_file(settings: Table) -> None:
    """Write what the player has set, whole or not at all."""
    import tomli_w

    path = home() / "player.toml"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(".new")
        fresh.write_text(tomli_w.dumps(dict(settings)), encoding="utf-8")
        fresh.replace(path)
    except OSError as error:
        raise ConfigError(
            f"The settings in {path} cannot be written: {error.strerror}.",
            "Check the folder's rights, or name another with COACH_HOME.",
        ) from error


def read_settings(kind: type[Settings], name: str, table: str = "") -> Settings:
    """Read a frozen dataclass from a table of a shipped file.

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
    values = dict(_inner(read_shipped(name), table))
    own = _inner(read_player_file().get(name, {}), table)
    values.update(own)
    return settings_from(kind, values, where=f"{name}.toml", table=table)


def settings_from(
    kind: type[Settings], values: Table, *, where: str, table: str = ""
) -> Settings:
    """Make a frozen dataclass from a table, naming what does not fit."""
    place = f"[{table}] in {where}" if table else where
    known = {field.name: field for field in fields(cast(Any, kind))}
    given = {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in values.items()
        if key in known
    }
    unknown = sorted(
        key
        for key, value in values.items()
        if key not in known
        and key not in NOT_NUMBERS
        and not isinstance(value, Mapping)
    )
    missing = sorted(
        name
        for name, field in known.items()
        if name not in given
        and field.default is MISSING
        and field.default_factory is MISSING
    )
    if unknown:
        raise ConfigError(
            f"{place} has a key that the coach does not know: {unknown[0]}.",
            "Take it out or mend its name.",
        )
    if missing:
        raise ConfigError(f"{place} lacks {missing[0]}.", "Put it back.")
    for key, value in given.items():
        _check_kind(key, value, str(known[key].type), place)
    return kind(**given)


def _check_kind(key: str, value: object, wanted: str, place: str) -> None:
    """Refuse a word where a number must stand, and the other way round."""
    if wanted in ("float", "int", "Seconds"):
        is_right = isinstance(value, int | float) and not isinstance(value, bool)
    elif wanted == "str":
        is_right = isinstance(value, str)
    else:
        is_right = True
    if not is_right:
        raise ConfigError(
            f"{place}: {key} is {value!r}, which is no {wanted}.", "Mend its value."
        )


def _inner(values: Table, table: str) -> Table:
    """Follow a dotted name into nested tables; an absent one is empty."""
    for key in filter(None, table.split(".")):
        values = values.get(key, {})
    return values


def _read_toml(path: Path) -> Table:
    """Read a TOML file, naming it when that fails."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise ConfigError(f"There is no {path.name} in {path.parent}.") from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ConfigError(
            f"{path} cannot be read: {error}.", "Mend it or take it away."
        ) from error
