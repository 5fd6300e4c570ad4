"""The files of instruments, shipped and the player's own: found by name, and listed.

An own file that cannot be used stands in the way of nobody who does not ask for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coach.config import home, read_shipped, read_toml, shipped
from coach.errors import ConfigError
from coach.planning.instrument.instrument import Instrument, build_instrument, is_called
from coach.planning.instrument.instrument_entry import (
    KINDS,
    InstrumentEntry,
    build_entry,
)
from coach.planning.instrument.own_line import find_line, head_of, kind_of
from coach.wiring.player_file import read_facts


@dataclass(frozen=True, slots=True)
class InstrumentFile:
    """The file of an instrument, shipped or the player's own."""

    entry: InstrumentEntry
    """What stands at its top."""

    table: Mapping[str, Any]
    """All that stands in it."""

    where: str
    """Its name, for words."""


@dataclass(frozen=True, slots=True)
class BrokenFile:
    """A file of the player's own that makes no instrument."""

    name: str
    """Name of the file, without its ending."""

    table: Mapping[str, Any]
    """The shipped file in whose place it would stand; empty where there is none."""

    error: ConfigError
    """What is wrong with it, and where."""


def open_instrument(asked: str) -> Instrument:
    """Read an instrument by any of its names, or name those that there are."""
    found = _find_instrument(asked)
    return build_instrument(found.entry.name, found.table, found.where)


def describe_instrument(asked: str) -> InstrumentEntry:
    """Give the top of an instrument's file by any of its names."""
    return _find_instrument(asked).entry


def find_own_line(parts: Sequence[str], asked: str | None = None) -> int | None:
    """Find the line of a score for an instrument, else for the player's, if any."""
    asked = asked or read_facts().instrument
    found = _find_instrument(asked)
    title = found.entry.title
    called = found.table.get("also_called", ())
    return find_line(parts, title, called, _relatives(title), asked)


def _relatives(title: str) -> list[str]:
    """Give the names of all instruments of one kind, the nearest relatives first."""
    files, _ = _instrument_files()
    akin = [file for file in files if kind_of(file.entry.title) == kind_of(title)]
    nearest = sorted(akin, key=lambda f: head_of(f.entry.title) != head_of(title))
    return [
        name
        for file in nearest
        for name in (file.entry.title, *file.table.get("also_called", ()))
    ]


def list_instruments() -> list[InstrumentEntry]:
    """List every instrument that can be played: slides, valves, then the rest."""
    files, _ = _instrument_files()
    return [file.entry for file in files]


def broken_instruments() -> list[str]:
    """Say of each file of the player's own that makes no instrument what is wrong."""
    _, broken = _instrument_files()
    return [str(file.error) for file in broken]


def _find_instrument(asked: str) -> InstrumentFile:
    """Find an instrument by any of its names, or name those that there are.

    A broken file that goes by the name is told, and nothing stands in for it.
    """
    files, broken = _instrument_files()
    for own in broken:
        if is_called(asked, own.name, own.table):
            raise own.error
    for file in files:
        if is_called(asked, file.entry.name, file.table):
            return file
    names = ", ".join(file.entry.name for file in files)
    hints = [f"Choose from: {names}.", *(str(own.error) for own in broken)]
    raise ConfigError(f"There is no instrument “{asked}”.", " ".join(hints))


def _instrument_files() -> tuple[list[InstrumentFile], list[BrokenFile]]:
    """Read the file of every instrument, the likeliest first, and those that fail.

    A file in the player's folder stands before a shipped one of the same name.
    """
    shipped_ones = _files_in(shipped("config"))
    paths = shipped_ones | _files_in(home())
    files, broken = [], []
    for name in sorted(paths):
        try:
            files.append(_read_file(paths[name]))
        except ConfigError as error:
            if paths[name] in shipped_ones.values():
                raise
            table = read_shipped(f"instruments/{name}") if name in shipped_ones else {}
            broken.append(BrokenFile(name, table, error))
    usual = str(read_shipped("player")["instrument"])
    files.sort(
        key=lambda file: (
            KINDS.index(file.entry.kind),
            not file.entry.name.startswith(usual),
        )
    )
    return files, broken


def _files_in(folder: Path) -> dict[str, Path]:
    """Find the files of instruments in a folder, by name."""
    return {path.stem: path for path in (folder / "instruments").glob("*.toml")}


def _read_file(path: Path) -> InstrumentFile:
    """Read one file, or say what is wrong with it."""
    table, where = read_toml(path), str(path)
    return InstrumentFile(build_entry(path.stem, table, where), table, where)
