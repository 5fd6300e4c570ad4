"""Own etudes keep their text, their name and their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.edges.scores.given_words import (
    give_part,
    give_title,
    given_part,
    given_title,
)
from coach.edges.scores.own_etudes import (
    END,
    keep_place,
    open_own,
    own_path,
    put_back,
    read_place,
    rename_own,
    renamed,
    save_own,
    throw_away,
)
from coach.edges.scores.score_process import ScoreChild
from coach.edges.scores.typed_etude import TypedReader
from coach.errors import CoachError
from coach.score.abc.new_tune import new_tune
from coach.wiring.own_writing import rename

pytestmark = pytest.mark.usefixtures("home")


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        ".",
        "..",
        "../up",
        "a/b",
        "a\\b",
        ".hidden",
        "-o",
        "a\0b",
        "a\nb",
        "ü" * 50,
    ],
)
def test_what_no_file_can_be_called_is_refused(name: str) -> None:
    with pytest.raises(CoachError, match="cannot be the name"):
        own_path(name)


def test_a_new_one_begins_with_the_head_and_an_old_one_stays() -> None:
    path = own_path("Träumerei 2.abc")
    assert open_own(path, "fresh") == "fresh"
    save_own(path, "typed ♭")
    assert open_own(path, "fresh") == "typed ♭"
    assert [file.name for file in path.parent.iterdir()] == ["Träumerei 2.abc"]


def test_renaming_keeps_text_and_place_and_never_hits_another() -> None:
    old, new = own_path("old"), own_path("new")
    with pytest.raises(CoachError, match="no own etude"):
        rename_own(old, new)
    save_own(old, "text")
    assert read_place(old) == END
    keep_place(old, (3, 4))
    rename_own(old, new)
    assert (new.read_text(), read_place(new)) == ("text", (3, 4))
    save_own(old, "other")
    with pytest.raises(CoachError, match="already"):
        rename_own(old, new)


def test_a_file_that_is_no_text_is_told() -> None:
    path = own_path("bad")
    save_own(path, "")
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(CoachError, match="not text in UTF-8"):
        open_own(path, "")


def test_a_disk_that_refuses_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "in-the-way").write_text("")
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "in-the-way"))
    with pytest.raises(CoachError, match="cannot be saved"):
        save_own(own_path("x"), "text")


def test_what_is_typed_is_read_again_and_again_with_its_slips() -> None:
    head = new_tune("x", "bass", 0)
    path = own_path("x")
    with TypedReader() as reader:
        well = reader.read(path, head + "B,,8|C,8|]")
        assert well.part is not None
        assert (len(well.part.notes), well.says) == (2, "")
        wrong = reader.read(path, head + "B,,8|C#8|]")
        assert wrong.part is None
        assert wrong.says.startswith("Line 9, column 7 (bar 2)")
        empty = reader.read(path, head)
        assert (empty.part, empty.says) == (None, "")
        assert reader.read(path, "").part is None


def test_one_child_reads_all_that_is_typed(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[object] = []
    begin = ScoreChild._begin

    def noted(child: ScoreChild) -> object:
        begun.append(child)
        return begin(child)

    monkeypatch.setattr(ScoreChild, "_begin", noted)
    head = new_tune("x", "bass", 0)
    with TypedReader() as reader:
        for tune in ("B,,8|", "B,,8|C", "%", "B,,8|C8|]"):
            reader.read(own_path("x"), head + tune)
    assert len(begun) == 1


def test_a_new_name_takes_place_given_title_and_part_along(home: Path) -> None:
    old, new = own_path("old"), renamed(own_path("old"), "new")
    save_own(old, "X:1\nK:C\nC|]\n")
    keep_place(old, (2, 1))
    give_title(old, "Given")
    give_part(old, "2")
    rename_own(old, new)
    assert not old.exists()
    assert (read_place(new), given_title(new), given_title(old)) == (
        (2, 1),
        "Given",
        "",
    )
    assert (given_part(new), given_part(old)) == ("2", "")
    assert renamed(home / "etudes" / "a.musicxml", "b").name == "b.musicxml"


def test_what_is_thrown_away_can_be_put_back(home: Path) -> None:
    path = own_path("x")
    save_own(path, "first")
    assert throw_away(path) == home / "thrown-away" / "x.abc"
    save_own(path, "second")
    kept = throw_away(path)
    assert not path.exists()
    assert kept.read_text() == "second"
    put_back(kept, path)
    assert path.read_text() == "second"
    with pytest.raises(CoachError, match="There is an etude “x” already"):
        put_back(kept, path)
    path.unlink()
    with pytest.raises(CoachError, match="“x” cannot be thrown away"):
        throw_away(path)


@pytest.mark.parametrize("has_runs", [True, False])
def test_a_renamed_etude_keeps_its_title_only_where_it_has_runs(
    *, has_runs: bool
) -> None:
    abc, other = own_path("a"), own_path("b").with_suffix(".musicxml")
    save_own(abc, "X:1\nT:a\nK:C\nC|]\n")
    save_own(other, "<score-partwise/>")
    new = rename(abc, "c", has_runs=has_runs)
    assert new.read_text() == f"X:1\nT:{'a' if has_runs else 'c'}\nK:C\nC|]\n"
    assert given_title(rename(other, "d", has_runs=has_runs)) == (
        "" if has_runs else "d"
    )
