"""Frozen values as plain words and back, for a pipe between two of our processes."""

from __future__ import annotations

from dataclasses import asdict, is_dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

Value = TypeVar("Value")


def to_words(value: object) -> dict[str, Any]:
    """Lay a frozen value out as what JSON knows."""
    return asdict(cast(Any, value))


def from_words(kind: type[Value], told: Any) -> Value:
    """Make a frozen value of what `to_words` laid out."""
    return cast(Value, _read(kind, told))


def _read(kind: Any, told: Any) -> Any:
    """Make a value of a kind that is declared."""
    way = get_origin(kind)
    if is_dataclass(kind):
        hints = _hints(cast(type, kind))
        return kind(**{name: _read(hints[name], told[name]) for name in told})  # type: ignore[operator]
    if way is tuple:
        return tuple(_read(get_args(kind)[0], item) for item in told)
    if way in (Union, UnionType):
        inner = next(one for one in get_args(kind) if one is not type(None))
        return None if told is None else _read(inner, told)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(told)
    return told


@cache
def _hints(kind: type) -> dict[str, Any]:
    """Tell what kind each field is of."""
    return get_type_hints(kind)
