"""Settings: shipped once, set anew by the player, and refused in words."""

from __future__ import annotations

import ast
import os
import re
import shutil
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import date
from importlib import import_module
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from coach import config
from coach.config import (
    SHARED,
    read_player_file,
    read_settings,
    read_shipped,
    shipped,
    write_player_file,
)
from coach.edges.hearing.hearing_numbers import (
    read_following_settings,
    read_hearing_settings,
)
from coach.edges.sound.calibration_file import GearPair, write_round_trip
from coach.errors import ConfigError
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.review.sounded_bars import SoundedSettings
from coach.score.tempo import Seconds
from coach.screens.settings import RunLook
from coach.setting_kinds import EXAMPLES, NOT_SETTINGS, check_settings
from coach.wiring.screens_file import read_screen_facts, write_screen_facts

ROOT = Path(__file__).parent.parent
FILES = sorted(path.stem for path in shipped("config").glob("*.toml"))
SET_ANEW = [name for name in FILES if name != "cautions"]


def keys_of(table: Mapping[str, Any], place: str = "") -> Iterator[tuple[str, Any]]:
    """Give the full name and value of every key."""
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from keys_of(value, f"{place}{key}.")
        elif key not in NOT_SETTINGS:
            yield f"{place}{key}", value


SETTINGS = [
    (f"{file}.{name}", value)
    for file in SET_ANEW
    for name, value in keys_of(read_shipped(file))
]
TABLES = sorted({name.rpartition(".")[0] for name, _ in SETTINGS})

WRONG: Mapping[type, tuple[object, ...]] = {
    bool: (1, 0.5, "yes", "true", [], {"a": 1}, date(2026, 1, 2)),
    int: (1.5, 1.0, 2**63, True, "3", "", [1], {"a": 1}, date(2026, 1, 2)),
    float: (True, 10**400, "0.5", "", [0.5], {"a": 0.5}, float("nan"), float("inf")),
    str: (1, 1.5, False, ["on"], {"a": "on"}, date(2026, 1, 2)),
    list: (1, 1.5, True, "1, 2", {"a": 1}, [{"a": 1}], [date(2026, 1, 2)], []),
}


def set_anew(name: str, value: object) -> dict[str, Any]:
    """Give a player's file with one value."""
    *tables, key = name.split(".")
    made: dict[str, Any] = {key: value}
    for table in reversed(tables):
        made = {table: made}
    return made


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return tmp_path


def refusal(home: Path, values: Mapping[str, Any]) -> ConfigError:
    """Write a player's file and read it; give what is said."""
    (home / "player.toml").write_text(tomli_w.dumps(values), encoding="utf-8")
    with pytest.raises(ConfigError) as caught:
        read_player_file()
    assert str(home / "player.toml") in caught.value.message
    assert caught.value.hint
    return caught.value


def test_every_setting_is_refused_with_every_wrong_kind(home: Path) -> None:
    assert len(SETTINGS) > 250
    everything = {name: read_shipped(name) for name in SET_ANEW}
    for name, value in SETTINGS:
        if value == []:
            continue  # a list that is shipped empty: each user checks its lines
        for wrong in WRONG[type(value)]:
            with pytest.raises(
                ConfigError, match=f"X: {re.escape(name)} is .* must be"
            ):
                check_settings(set_anew(name, wrong), everything, "X")
        (wrong, *_) = WRONG[type(value)]
        assert (
            f"player.toml: {name} is " in refusal(home, set_anew(name, wrong)).message
        )


@given(st.sampled_from(SETTINGS), st.floats(0.5, 100.0).filter(lambda x: x % 1))
def test_a_number_with_a_point_is_refused_just_where_a_count_is_wanted(
    setting: tuple[str, Any], number: float
) -> None:
    name, value = setting
    file = name.split(".")[0]
    fits = isinstance(value, float)
    try:
        check_settings(set_anew(name, number), {file: read_shipped(file)}, "X")
    except ConfigError:
        assert not fits
    else:
        assert fits


@pytest.mark.parametrize("table", TABLES)
def test_an_unknown_key_is_refused_in_every_table(home: Path, table: str) -> None:
    said = refusal(home, set_anew(f"{table}.fish_count", 3)).message
    assert f"there is no setting “{table}.fish_count”" in said


@pytest.mark.parametrize(
    ("written", "unknown", "meant"),
    [
        ("[clik.track]\nbeat_key = 33", "clik", "click"),
        ("[click.trak]\nbeat_key = 33", "click.trak", "click.track"),
        ("[click.track]\nbeat_keys = 33", "click.track.beat_keys", "beat_key"),
        ("beat_key = 33", "beat_key", "click.track.beat_key"),
        ("[player]\nheight = 170", "player.height", "player.height_cm"),
        ("[track]\nbeat_key = 33", "track", "click.track"),
        ("[screens]\nengrave = 'on'", "screens.engrave", "screens.engraved"),
    ],
)
def test_what_is_unknown_is_named_with_what_may_be_meant(
    home: Path, written: str, unknown: str, meant: str
) -> None:
    said = refusal(home, tomllib.loads(written))
    assert f"there is no setting “{unknown}”" in said.message
    assert "Did you mean “" in said.hint
    assert meant in said.hint


def test_what_is_like_nothing_known_is_refused_all_the_same(home: Path) -> None:
    assert refusal(home, {"zzz": {"q": 1}}).hint == "Mend its name or take it out."
    assert "“cautions”" in refusal(home, {"cautions": {"first_start": "x"}}).message
    assert "must be a table" in refusal(home, {"air": 3}).message
    assert "must be a table" in refusal(home, {"air": [{"a": 1}]}).message


@pytest.mark.parametrize(
    "text", ["x = ", "x = " + "9" * 5000, "x = " + "[" * 5000, "x = 1\nx = 2", "\x00"]
)
def test_a_file_that_is_no_toml_is_named(home: Path, text: str) -> None:
    (home / "player.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match=r"player\.toml cannot be read"):
        read_player_file()


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ("age".encode("utf-16"), "it is no text in UTF-8"),
        (b"x = " + b"[" * 5000, "its lists lie too deep in each other"),
        (None, "Is a directory"),
    ],
)
def test_why_a_file_cannot_be_read_is_said_in_words(
    home: Path, content: bytes | None, why: str
) -> None:
    file = home / "player.toml"
    if content is None:
        file.mkdir()
    else:
        file.write_bytes(content)
    with pytest.raises(ConfigError) as refused:
        read_player_file()
    assert refused.value.message == f"{file} cannot be read: {why}."


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_in_place_of_a_file_is_named_and_nobody_waits_for_it(home: Path) -> None:
    file = home / "player.toml"
    os.mkfifo(file)
    writer = Thread(target=file.write_text, args=("",), daemon=True)
    writer.start()  # Where it is opened all the same, nobody hangs here.
    with pytest.raises(ConfigError) as refused:
        read_player_file()
    assert refused.value.message == f"{file} is a pipe, and no file."
    os.close(os.open(file, os.O_RDONLY | os.O_NONBLOCK))
    writer.join(timeout=5.0)


def test_a_mark_that_an_editor_puts_before_the_text_is_no_fault(home: Path) -> None:
    file = home / "player.toml"
    file.write_text("[player]\nage = 30.0\n", encoding="utf-8-sig")
    assert read_player_file() == {"player": {"age": 30.0}}


def test_all_that_is_shipped_may_be_written_into_the_players_file(home: Path) -> None:
    whole = {name: read_shipped(name) for name in SET_ANEW}
    (home / "player.toml").write_text(tomli_w.dumps(whole), encoding="utf-8")
    assert read_player_file() == whole


def test_a_whole_number_will_do_for_any_number_and_a_new_stroke_may_be_added(
    home: Path,
) -> None:
    values = {"sound": {"strokes": {"56": {"pitch_hz": 900}}}}
    write_player_file(values)
    assert read_player_file() == values
    strokes = {"sound": {"strokes": {"56": {"pitch": 900}}}}
    assert "sound.strokes.56.pitch_hz" in refusal(home, strokes).hint


def test_only_what_a_player_has_set_is_looked_up_in_what_is_shipped(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shelf reads the player's file before its first picture."""
    looked_up: list[str] = []

    def read(name: str) -> Mapping[str, Any]:
        looked_up.append(name)
        return read_shipped(name)

    monkeypatch.setattr(config, "read_shipped", read)
    (home / "player.toml").write_text('[player]\ninstrument = "trumpet"\n')
    read_player_file()
    assert set(looked_up) == {"player"}


def test_a_player_sets_one_key_and_the_rest_stays_as_it_is_shipped(home: Path) -> None:
    before = read_settings(ClickSettings, "click", "track")
    write_player_file({"click": {"track": {"beat_key": 33}}})
    after = read_settings(ClickSettings, "click", "track")
    assert (before.beat_key, after.beat_key) == (77, 33)
    assert before.accent_key == after.accent_key
    assert (home / "player.toml").is_file()


@pytest.mark.parametrize(
    ("shipped_line", "said"),
    [
        ("frame_s = 'fast'", 'frame_s is "fast", and must be a number'),
        ("frames = 2", "does not know “frames”"),
        ("", "lacks frame_s"),
    ],
)
@pytest.mark.usefixtures("home")
def test_a_shipped_file_that_is_wrong_is_the_one_that_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shipped_line: str, said: str
) -> None:
    shutil.copytree(shipped("config"), tmp_path / "config")
    file = tmp_path / "config" / "screens.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("frame_s = 0.0333", shipped_line), encoding="utf-8")
    monkeypatch.setattr(config, "shipped", lambda folder: tmp_path / folder)
    monkeypatch.setattr(config, "read_shipped", config.read_shipped.__wrapped__)
    with pytest.raises(ConfigError, match=said) as caught:
        read_settings(RunLook, "screens", "run")
    assert f"{file}: [run]" in caught.value.message


@dataclass(frozen=True)
class WiderLook(RunLook):
    """The settings of the run's picture with one more."""

    trail_s: float
    """How long the playhead leaves a trail."""


def test_a_setting_is_added_with_a_key_and_a_field(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The guide's recipe, carried out on a copy of what is shipped."""
    shutil.copytree(shipped("config"), tmp_path / "config")
    file = tmp_path / "config" / "screens.toml"
    text = file.read_text(encoding="utf-8")
    wider = text.replace("frame_s =", "trail_s = 0.5\nframe_s =")
    file.write_text(wider, encoding="utf-8")
    monkeypatch.setattr(config, "shipped", lambda folder: tmp_path / folder)
    monkeypatch.setattr(config, "read_shipped", config.read_shipped.__wrapped__)
    assert read_settings(WiderLook, "screens", "run").trail_s == 0.5
    write_player_file({"screens": {"run": {"trail_s": 2}}})
    assert read_settings(WiderLook, "screens", "run").trail_s == 2
    said = refusal(home, {"screens": {"run": {"trail": 2}}})
    assert "screens.run.trail_s" in said.hint


@pytest.mark.usefixtures("home")
def test_what_the_screens_remember_leaves_the_players_other_settings() -> None:
    write_player_file({"screens": {"run": {"frame_s": 0.05}}})
    write_screen_facts(read_screen_facts())
    assert read_player_file()["screens"]["run"] == {"frame_s": 0.05}


def readers() -> Iterator[tuple[str, str, str]]:
    """Find every ``read_settings(Kind, "file", "table")`` in the package.

    ``read_tables(Kind, "file")`` reads one for each field.
    Where the table is chosen as the coach runs, it may be any one of the file.
    """
    for path in (ROOT / "coach").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(
                    ast.Name("read_settings"), [kind, ast.Constant(file), *chosen]
                ):
                    for table in tables_meant(str(file), chosen):
                        yield ast.unparse(kind), str(file), table
                case ast.Call(ast.Name("read_tables"), [kind, ast.Constant(file)]):
                    for field in fields(kind_called(ast.unparse(kind))):
                        yield str(field.type), str(file), field.name


def tables_meant(file: str, chosen: list[ast.expr]) -> list[str]:
    """Give the tables of a file that the last argument may name."""
    if not chosen:
        return [""]
    if isinstance(chosen[0], ast.Constant):
        return [str(chosen[0].value)]
    return [key for key, value in read_shipped(file).items() if isinstance(value, dict)]


def kind_called(name: str) -> Any:
    """Find a class of the package by its name."""
    for path in (ROOT / "coach").rglob("*.py"):
        if f"\nclass {name}:" in path.read_text(encoding="utf-8"):
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            return getattr(import_module(module), name)
    raise AssertionError(name)


def kind_of(type_name: str) -> str:
    """Name the kind that stands in a file: a choice of words is a word."""
    return "str" if type_name.startswith("Literal['") else type_name


def kinds_in(value: Any) -> object:
    """Name the kind of a value, and of what is in a list."""
    if not isinstance(value, list | tuple):
        return type(value)
    kinds = [kinds_in(item) for item in value]
    return kinds if len(set(map(str, kinds))) > 1 else kinds[:1]


@pytest.mark.parametrize(("kind", "file", "table"), sorted(set(readers())))
def test_what_is_shipped_is_of_the_kind_that_its_reader_declares(
    kind: str, file: str, table: str
) -> None:
    """So the player's file, held against what is shipped, is right for the reader."""
    values: Any = read_shipped(file)
    for key in filter(None, table.split(".")):
        values = values[key]
    for field in fields(kind_called(kind)):
        if field.name in SHARED:
            assert field.name not in values, "it stands in a file of its own"
            continue
        example = EXAMPLES[kind_of(str(field.type))]
        assert field.name in values, "no default stands in the code"
        assert kinds_in(values[field.name]) == kinds_in(example), field.name
    named = {field.name for field in fields(kind_called(kind))}
    keys = {key for key, value in values.items() if not isinstance(value, dict)}
    left = keys - named - NOT_SETTINGS
    assert left == set(), f"{kind} has no field for it"


@pytest.mark.usefixtures("home")
def test_a_list_where_a_list_of_tables_belongs_is_a_sentence() -> None:
    write_player_file({"sound": {"round_trips": [3]}})
    with pytest.raises(ConfigError, match=r"sound.round_trips\] is 3, and must be a t"):
        write_round_trip(GearPair("a", "b", 48000.0, 480, 0.1), Seconds(0.1))


@pytest.mark.usefixtures("home")
def test_a_step_of_dynamics_is_worth_as_much_wherever_it_is_heard() -> None:
    write_player_file({"dynamics": {"step_db": 3.5}})
    sounded = read_settings(SoundedSettings, "rehearsal", "sounded")
    learning = read_settings(LearningSettings, "learning")
    whole, live = read_hearing_settings().evenness, read_following_settings().levels
    assert sounded.step_db == learning.step_db == 3.5
    assert whole.step_db == live.step_db == 3.5


@pytest.mark.parametrize(("key", "file"), sorted(SHARED.items()))
def test_what_many_rooms_share_stands_in_one_file(key: str, file: str) -> None:
    named = [name for name, _ in SETTINGS if name.rpartition(".")[2] == key]
    assert named == [f"{file}.{key}"]
