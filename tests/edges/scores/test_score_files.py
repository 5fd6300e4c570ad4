"""Opening files: the child process, the cache, and files that are no scores."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from textual.app import App

from coach.edges.scores.in_child import score_child
from coach.edges.scores.score_files import list_parts, read_part
from coach.edges.scores.score_limits import read_score_limits
from coach.edges.scores.score_process import ScoreChild, stop_reading
from coach.errors import ConfigError, ScoreError
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from tests.benchmarks.bad_files import SMALL, entity_free_title, mxl
from tests.edges.scores.score_samples import (
    WHOLE,
    measures,
    page,
    read,
    score,
    spelled,
    xml_note,
)

Write = Callable[[str, str | bytes], Path]
STUDY = page(xml_note("C3", 24) + xml_note("D3", 24), WHOLE)
TYPED = "X:1\nM:4/4\nL:1/4\nK:C clef=bass\nC,2 D,2 | F,4 |]\n"
"""The same in ABC, which a child reads in a moment, where any score will do."""


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give the player an empty folder."""
    folder = tmp_path / "home"
    monkeypatch.setenv("COACH_HOME", str(folder))
    return folder


@pytest.fixture
def write(home: Path) -> Write:
    """Write score files outside of the player's folder."""

    def write_one(name: str, content: str | bytes) -> Path:
        path = home.parent / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write_one


def cached(home: Path) -> list[Path]:
    return sorted((home / "cache").glob("*"))


def test_a_score_is_read_and_knows_its_file(write: Write) -> None:
    path = write("study.musicxml", STUDY)
    part = read_part(path)
    assert spelled(part) == "C3 D3 F3"
    assert part.source == str(path)


def test_without_a_title_the_file_gives_its_name(write: Write) -> None:
    assert read_part(write("morning [red]air.xml", TYPED)).title == "morning (red)air"
    assert read_part(write("\x1b.xml", TYPED)).title == "Untitled"


def test_with_a_title_the_file_may_have_any_name(write: Write) -> None:
    titled = STUDY.replace(
        "<part-list>", "<movement-title>Air</movement-title><part-list>", 1
    )
    one, other = read_part(write("a.xml", titled)), read_part(write("b.xml", titled))
    assert (one.title, one.is_titled) == ("Air", True)
    assert key_of(one) == key_of(other)


def test_what_a_file_is_its_content_says(write: Write) -> None:
    assert spelled(read_part(write("study.mid", STUDY))) == "C3 D3 F3"
    assert spelled(read_part(write("study", mxl(STUDY.encode())))) == "C3 D3 F3"


def test_a_known_score_opens_without_a_child(
    write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write("study.abc", TYPED)
    first = read_part(path)
    # A Python that is not there cannot start a child.
    monkeypatch.setattr(sys, "executable", "/no/python/here")
    assert read_part(path) == first
    renamed = path.rename(path.with_name("renamed.abc"))
    assert spelled(read_part(renamed)) == spelled(first)
    assert read_part(renamed).title == "renamed"
    assert key_of(read_part(renamed)).fingerprint == key_of(first).fingerprint


def test_a_changed_score_is_read_anew(write: Write) -> None:
    read_part(write("study.abc", TYPED))
    changed = TYPED.replace("D,", "E,")
    assert spelled(read_part(write("study.abc", changed))) == "C3 E3 F3"


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: text[:0],
        lambda text: text[: len(text) // 2],
        lambda text: text.replace('"C"', '"D"'),
        lambda text: text.partition("\n")[2],
        lambda text: "\x00" * len(text),
    ],
    ids=["empty", "cut", "changed", "no-digest", "zeros"],
)
def test_a_damaged_cache_is_read_over_in_silence(
    write: Write, home: Path, damage: Callable[[str], str]
) -> None:
    path = write("study.abc", TYPED)
    first = read_part(path)
    (kept,) = cached(home)
    whole = kept.read_text()
    assert damage(whole) != whole
    kept.write_text(damage(whole))
    assert read_part(path) == first
    assert kept.read_text() == whole


def test_a_cache_of_other_columns_is_read_over_in_silence(
    write: Write, home: Path
) -> None:
    from coach.edges.scores import score_cache

    path = write("study.abc", TYPED)
    first = read_part(path)
    (kept,) = cached(home)
    score_cache.store(kept, {"part": {"ticks": 1}})
    assert read_part(path) == first


def test_without_a_place_for_the_cache_scores_are_read_all_the_same(
    write: Write, home: Path
) -> None:
    home.parent.mkdir(exist_ok=True)
    home.write_text("a file where the folder should be")
    assert spelled(read_part(write("study.abc", TYPED))) == "C3 D3 F3"


def test_nothing_half_written_is_left_in_the_cache(write: Write, home: Path) -> None:
    read_part(write("study.abc", TYPED))
    assert [path.suffix for path in cached(home)] == [".json"]


def test_many_readers_at_once_do_not_disturb_each_other(
    write: Write, home: Path
) -> None:
    path = write("study.abc", TYPED)
    with ThreadPoolExecutor(4) as readers:
        parts = list(readers.map(read_part, [path] * 4))
    assert all(part == parts[0] for part in parts)
    assert len(cached(home)) == 1


def test_a_score_is_read_from_inside_a_running_screen(write: Write) -> None:
    """The child gets pipes of its own, so it cannot disturb a screen's terminal."""
    path = write("study.abc", TYPED)

    class Screen(App[Part]):
        def on_mount(self) -> None:
            self.run_worker(self.read, thread=True)

        def read(self) -> None:
            self.exit(read_part(path))

    part = Screen().run(headless=True)
    assert part is not None
    assert spelled(part) == "C3 D3 F3"


def test_parts_are_listed(write: Write) -> None:
    content = score(
        measures(WHOLE), measures(WHOLE + WHOLE), names=("Trumpet", "[b]Tuba")
    )
    parts = list_parts(write("duo.musicxml", content))
    assert [(part.number, part.name, part.note_count) for part in parts] == [
        (1, "Trumpet", 1),
        (2, "(b)Tuba", 2),
    ]


def test_the_reading_process_does_not_load_music21_itself(write: Write) -> None:
    path = write("study.musicxml", STUDY)
    code = (
        "import sys; from pathlib import Path\n"
        "from coach.edges.scores.score_files import read_part\n"
        "read_part(Path(sys.argv[1]))\n"
        "print([m for m in ('music21', 'numpy', 'textual') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"


def test_nothing_in_the_players_folder_is_run(
    write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A module beside the score must not be taken for one of ours or music21's."""
    path = write("study.musicxml", STUDY)
    for name in ("music21.py", "json.py", "coach.py"):
        write(name, f"from pathlib import Path\nPath('{path.parent}/ran').touch()\n")
    monkeypatch.chdir(path.parent)
    assert spelled(read_part(path)) == "C3 D3 F3"
    assert not (path.parent / "ran").exists()


def test_a_planted_pickle_is_not_read(
    write: Write, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The child's temporary folder is its own and is gone afterwards."""
    shared = tmp_path / "shared"
    shared.mkdir()
    monkeypatch.setenv("TMPDIR", str(shared))
    monkeypatch.setattr(tempfile, "tempdir", None)
    read_part(write("study.musicxml", STUDY))
    assert list(shared.iterdir()) == []


# Files that are no scores.


def test_a_title_cannot_command_the_terminal(write: Write) -> None:
    part = read_part(write("evil.musicxml", entity_free_title()))
    assert part.title == "(@click=app.bell)Red"


def said_of(read_it: Callable[[], object]) -> ScoreError:
    """Give the one sentence that a bad file ends in."""
    with pytest.raises(ScoreError) as refused:
        read_it()
    error = refused.value
    assert error.hint
    assert "\n" not in str(error)
    assert error.message.count(". ") == 0
    return error


@pytest.mark.parametrize("name", SMALL)
def test_a_bad_file_is_one_sentence(name: str) -> None:
    assert name in said_of(lambda: read(SMALL[name], name=name)).message


IN_A_CHILD = {
    "truncated.musicxml": "bar 1",
    "negative.musicxml": "bar 1",
    "octave-99.musicxml": "bar 1",
    "step-h.musicxml": "bar 1",
    "million-repeats.musicxml": "bar 1",
    "billion-laughs.musicxml": "entities",
    "container-bomb.mxl": "entities",
    "deep.musicxml": "nested",
    "huge-delta.mid": "longer",
    "nonsense.krn": "no notes",
    "pitch-x.mei": "MEI",
}


@pytest.mark.parametrize("name", IN_A_CHILD)
def test_a_bad_file_is_one_sentence_that_names_the_bar_if_it_is_known(
    write: Write, name: str
) -> None:
    path = write(name, SMALL[name])
    began = time.perf_counter()
    error = said_of(lambda: read_part(path))
    assert time.perf_counter() - began < 35
    assert name in error.message
    assert IN_A_CHILD[name] in error.message


@pytest.mark.usefixtures("home")
def test_files_that_are_not_there_or_no_files_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ScoreError, match="is not in"):
        read_part(tmp_path / "gone.musicxml")
    with pytest.raises(ScoreError, match="is not in this folder"):
        read_part(Path("gone.musicxml"))
    with pytest.raises(ScoreError, match="is a folder"):
        read_part(tmp_path)
    with pytest.raises(ScoreError, match="makes no sense"):
        read_part(Path("a\0b"))


@pytest.mark.usefixtures("home")
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_that_nobody_writes_to_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.musicxml")
    with pytest.raises(ScoreError, match="no ordinary file"):
        read_part(tmp_path / "pipe.musicxml")


def limit(home: Path, line: str) -> None:
    """Set a limit as a player could."""
    home.mkdir(exist_ok=True)
    (home / "player.toml").write_text(f"[scores.limits]\n{line}\n")


def test_a_reader_that_takes_too_long_is_stopped(write: Write, home: Path) -> None:
    limit(home, "wall_s = 0.05")
    with pytest.raises(ScoreError, match=r"longer than 0\.05 s"):
        read_part(write("study.musicxml", STUDY))
    assert cached(home) == []


def count_children(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note every child that is begun."""
    begun: list[str] = []
    begin = ScoreChild._begin

    def begin_noted(child: ScoreChild) -> subprocess.Popen[bytes]:
        begun.append("child")
        return begin(child)

    monkeypatch.setattr(ScoreChild, "_begin", begin_noted)
    return begun


def test_one_child_reads_several_scores_and_a_bad_one_ends_only_itself(
    write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = count_children(monkeypatch)
    names = ("C3", "D3", "E3", "F3")
    files = [write(f"{name}.musicxml", page(xml_note(name, 24))) for name in names]
    bad = write("bad.musicxml", "<score-partwise>")
    with ScoreChild() as child:
        first = [read_part(file, child=child) for file in files[:2]]
        assert len(begun) == 1
        with pytest.raises(ScoreError, match=r"bad\.musicxml"):
            read_part(bad, child=child)
        last = [read_part(file, child=child) for file in files[2:]]
    assert len(begun) == 2
    found = [str(part.notes[0].written) for part in first + last]
    assert found == list(names)


def test_a_child_that_was_stopped_between_two_scores_is_begun_anew(
    write: Write, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = count_children(monkeypatch)
    with ScoreChild() as child:
        read_part(write("first.abc", TYPED), child=child)
        stop_reading()
        second = read_part(write("next.abc", TYPED.replace("D", "E")), child=child)
    assert second.notes
    assert len(begun) == 2


def test_what_nobody_clears_up_in_time_is_cleared_up_at_the_end(
    write: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever asked stands still meanwhile, as a thread on a busy machine does."""
    (tmp_path / "passing").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "passing"))
    with ScoreChild() as child:
        read_part(write("first.abc", TYPED), child=child)
        assert list((tmp_path / "passing").iterdir())
        stop_reading()
        assert not list((tmp_path / "passing").iterdir())


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit on this system")
def test_each_score_of_a_child_has_computing_time_of_its_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import resource

    used = resource.struct_rusage((7.2, 0.9, *([0] * 14)))
    told: dict[int, tuple[int, int]] = {}
    monkeypatch.setattr(resource, "getrusage", lambda _: used)
    monkeypatch.setattr(resource, "setrlimit", lambda k, v: told.update({k: v}))
    score_child._limit_resources(read_score_limits())
    assert told[resource.RLIMIT_CPU][0] == 9 + read_score_limits().cpu_s
    assert told[resource.RLIMIT_AS] == (read_score_limits().memory_bytes,) * 2


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux keeps this limit")
def test_a_reader_that_needs_too_much_memory_is_stopped(
    write: Write, home: Path
) -> None:
    limit(home, "memory_bytes = 60_000_000")
    with pytest.raises(ScoreError, match=r"memory|reader"):
        read_part(write("study.musicxml", STUDY))


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit on this system")
def test_a_reader_that_computes_too_long_is_stopped(write: Write, home: Path) -> None:
    limit(home, "cpu_s = 1")
    many = page(*[xml_note("C3") * 4] * 3000)
    with pytest.raises(ScoreError, match="takes too long"):
        read_part(write("long.musicxml", many))


def test_a_file_that_is_too_large_is_not_read(write: Write, home: Path) -> None:
    limit(home, "file_bytes = 2_000_000")
    with pytest.raises(ScoreError, match="larger than 2 MB"):
        read_part(write("large.musicxml", b"x" * 2_000_001))


def test_too_many_notes_with_all_repeats_are_refused(write: Write, home: Path) -> None:
    limit(home, "played_notes = 3")
    with pytest.raises(ScoreError, match="more than 3 notes with all its repeats"):
        read_part(write("study.abc", TYPED.replace("C,2", "C, C,")))


def test_a_setting_that_makes_no_sense_is_named(write: Write, home: Path) -> None:
    path = write("study.musicxml", STUDY)
    home.mkdir()
    (home / "player.toml").write_text("[scores.graces]\nquick_quarters = 'short'\n")
    with pytest.raises(ConfigError, match="quick_quarters"):
        read_part(path)


def test_settings_that_change_the_reading_are_not_hidden_by_the_cache(
    write: Write, home: Path
) -> None:
    path = write("study.abc", TYPED)
    assert read_part(path).tempo.bpm == 80
    (home / "player.toml").write_text("[scores.speeds]\ndefault_bpm = 66\n")
    assert read_part(path).tempo.bpm == 66
