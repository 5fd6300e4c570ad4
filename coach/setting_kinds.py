"""Of what kind a setting is, and what is said of one that is unknown or of another.

A kind is told by an example: what is shipped is the example for the player's own
file, and a field's declared type for what is shipped.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NoReturn, cast

from coach.errors import ConfigError

Table = Mapping[str, Any]

NOT_SETTINGS = {"source", "about", "units"}
"""Words beside the settings of a table."""

OPEN = "other"
"""A table that has a table of this name takes more of its kind, under any name."""

LARGEST = 2**63 - 1
"""The largest whole number that TOML 1.0 knows (its part “Integer”)."""

EXAMPLES: Mapping[str, Any] = {
    "float": 0.5,
    "Seconds": 0.5,
    "int": 1,
    "str": "word",
    "bool": True,
    "tuple[float, ...]": (0.5,),
    "tuple[int, ...]": (1,),
    "tuple[str, ...]": ("word",),
    "tuple[tuple[str, float], ...]": (("word", 0.5),),
    "Mapping[str, Mapping[str, Any]]": {"name": {}},
}
"""A value of each kind that settings have, by the kind's name in Python."""


def check_kind(value: object, kind: str, place: str) -> None:
    """Refuse a value that is not of the kind that a field is declared with."""
    wanted = EXAMPLES.get(kind.removesuffix(" | None"))
    if wanted is not None and not _fits(value, wanted):
        refuse_kind(place, value, wanted)


def check_settings(own: Table, shipped: Table, path: object) -> None:
    """Hold what a player has set against all that is shipped, table by table."""
    tables: list[tuple[str, Table, Table]] = [("", own, shipped)]
    for place, values, patterns in tables:
        for key, value in values.items():
            name = f"{place}{key}"
            wanted = (
                "" if key in NOT_SETTINGS else patterns.get(key, patterns.get(OPEN))
            )
            if wanted is None:
                near = nearest_key(key, patterns, place) or _elsewhere(key, shipped)
                refuse_unknown(f"{path}: there is no setting “{name}”.", near)
            if not _fits(value, wanted):
                refuse_kind(f"{path}: {name}", value, wanted)
            if isinstance(wanted, Mapping):
                tables.append((f"{name}.", cast(Table, value), wanted))


def _fits(value: object, wanted: object) -> bool:
    """Tell whether a value is of the same kind as another."""
    if isinstance(wanted, float) and isinstance(value, float):
        return math.isfinite(value)
    if isinstance(wanted, bool | str):
        return type(value) is type(wanted)
    if isinstance(wanted, int | float):
        return type(value) is int and abs(value) <= LARGEST
    if isinstance(wanted, Mapping):
        return isinstance(value, Mapping)
    return isinstance(value, list | tuple) and _items_fit(
        value, cast(Sequence[object], wanted)
    )


def _items_fit(values: Sequence[object], wanted: Sequence[object]) -> bool:
    """Tell whether a list's items are: all like the first, or a pair each like its own.

    A list of different kinds is a pair; one that is shipped empty may hold anything.
    """
    if not wanted:
        return True
    if len({type(item) for item in wanted}) > 1:
        return len(values) == len(wanted) and all(map(_fits, values, wanted))
    return bool(values) and all(_fits(value, wanted[0]) for value in values)


def refuse_unknown(sentence: str, near: str) -> NoReturn:
    """Say what is not known, and what may have been meant."""
    meant = f"Did you mean “{near}”?" if near else "Mend its name or take it out."
    raise ConfigError(sentence, meant)


def refuse_kind(place: str, value: object, wanted: object) -> NoReturn:
    """Say what a value must be."""
    # Here, since a good file needs none of it.
    from json import dumps

    is_short = isinstance(value, int | float | str)
    shown = dumps(value, ensure_ascii=False) if is_short else _kind_name(value)
    must = _kind_name(wanted).replace("an empty list", "a list")
    raise ConfigError(f"{place} is {shown}, and must be {must}.", "Mend its value.")


def _kind_name(value: object) -> str:
    """Name the kind of a value as one says it."""
    match value:
        case bool():
            return "true or false"
        case int():
            return "a whole number"
        case float():
            return "a number"
        case str():
            return "a word in quotes"
        case Mapping():
            return "a table"
        case [str(), float()]:
            return "a word with a number"
        case [first, *_]:
            return f"a list, each of it {_kind_name(first)}"
        case []:
            return "an empty list"
    return f"a {type(value).__name__}"


def refuse_together(
    area: str, wrong: Mapping[str, bool], hint: str = "Mend them in your player file."
) -> None:
    """Refuse settings that do not work together: a sentence for each, and if so."""
    for sentence, is_wrong in wrong.items():
        if is_wrong:
            raise ConfigError(f"The settings for {area} do not work: {sentence}.", hint)


def nearest_key(key: str, here: Iterable[str], place: str = "") -> str:
    """Give the full name of what was meant here; empty when nothing is near."""
    # Here, since a good file needs none of it.
    from difflib import get_close_matches

    near = get_close_matches(key, here, n=1)
    return f"{place}{near[0]}" if near else ""


def _elsewhere(key: str, table: Table) -> str:
    """Give the full name of a key that stands in another table; empty if none does."""
    names = (name for name in _full_names(table) if name.split(".")[-1] == key)
    return next(names, "")


def _full_names(table: Table, place: str = "") -> Iterator[str]:
    """Give the full name of every table and key."""
    for key, value in table.items():
        yield f"{place}{key}"
        if isinstance(value, Mapping):
            yield from _full_names(value, f"{place}{key}.")
