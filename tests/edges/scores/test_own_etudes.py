"""Own etudes keep their text, their name and their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.edges.scores.own_etudes import (
    END,
    keep_place,
    open_own,
    own_path,
    read_place,
    rename_own,
    save_own,
)
from coach.edges.scores.typed_etude import read_typed
from coach.errors import CoachError
from coach.score.abc.new_tune import new_tune

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


def test_what_is_typed_is_read_with_its_slips() -> None:
    head = new_tune("x", "bass", 0)
    path = own_path("x")
    well = read_typed(path, head + "B,,8|C,8|]")
    assert well.part is not None
    assert (len(well.part.notes), well.says) == (2, "")
    wrong = read_typed(path, head + "B,,8|C#8|]")
    assert wrong.part is None
    assert wrong.says.startswith("Line 9, column 7 (bar 2)")
    empty = read_typed(path, head)
    assert (empty.part, empty.says) == (None, "")
    assert read_typed(path, "").part is None
