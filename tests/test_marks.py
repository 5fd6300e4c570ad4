"""Every kind of mark, from its key to the log: one that is half added is noticed."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import pytest
from rich.cells import cell_len

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.plain.run_json import run_as_dict
from coach.rehearsal.review.marked import map_marks
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, KINDS, MarkKind
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.typed_words import Said, SaidMark, read_words
from coach.score.tempo import Seconds
from coach.screens.run.run_keys import RUN_KEYS
from coach.screens.signs import FULL, PLAIN
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.widgets.key_bar import say_key
from tests.edges.log.kept_runs import finish, run

README = Path(__file__).parent.parent / "README.md"
OF_THE_CONTRACT = {
    *("ran-out", "rushed", "dragged", "missed", "late-after-breath", "breathed"),
    "missed-breath",
}
"""Names in JSON that scripts rely on: there may be more, these never change."""


def kept(kind: MarkKind) -> Run:
    """Keep a run to the end with one such mark, and read it again."""
    with RunLogFile(IN_MEMORY) as log:
        finish(log, run(), Mark(kind, 7, 3.0, Seconds(12.5)))
        return log.list_runs()[0]


def test_every_kind_has_its_row() -> None:
    assert set(KINDS) == set(MarkKind)


def test_the_names_that_scripts_rely_on_are_there() -> None:
    assert set(map(str, MarkKind)) >= OF_THE_CONTRACT


@pytest.mark.parametrize("signs", [FULL, PLAIN], ids=["full", "plain"])
def test_each_kind_has_a_sign_of_its_own_one_cell_wide(signs: object) -> None:
    assert signs in (FULL, PLAIN)
    shown = defaultdict(list)
    for kind in MarkKind:
        shown[mark_sign(FULL if signs is FULL else PLAIN, kind)].append(str(kind))
    shared = {sign: kinds for sign, kinds in shown.items() if len(kinds) > 1}
    assert shared == {}, "two kinds of marks look the same"
    assert {cell_len(sign) for sign in shown} == {1}
    assert signs is FULL or "".join(shown).isascii()


@pytest.mark.parametrize("kind", MarkKind)
def test_each_kind_has_a_key_of_its_own_in_a_run(kind: MarkKind) -> None:
    key = KINDS[kind].key
    bound, *others = [b for b in RUN_KEYS if key in b.key.split(",")]
    assert not others, f"“{key}” is taken in RUN_KEYS: {[b.action for b in others]}"
    assert bound.action == f"mark('{kind}')"
    assert bound.show, "a key of the bottom row"
    assert bound.tooltip


@pytest.mark.parametrize("kind", MarkKind)
def test_the_readme_names_the_key_of_each_kind(kind: MarkKind) -> None:
    row = KINDS[kind]
    rows = re.findall(r"^\| (.+?) \| (.+) \|$", README.read_text("utf-8"), re.MULTILINE)
    told = [
        said for keys, said in rows if say_key(row.key) in (keys, *keys.split(", "))
    ]
    assert any(words in said for said in told for words in (row.words, row.on_key)), (
        f"say in README's table “At the stand” that {say_key(row.key)} is: {row.on_key}"
    )


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (kind, words)
        for kind, row in KINDS.items()
        for words in (row.words, row.on_key, *row.also_typed)
    ],
)
def test_what_is_said_of_a_kind_can_be_typed(kind: MarkKind, words: str) -> None:
    said = read_words(f"{words} 7.3")
    assert said == Said(None, (SaidMark(kind, 7, 3),), "")


@pytest.mark.parametrize("kind", MarkKind)
def test_each_kind_is_kept_read_and_laid_out_under_its_name(kind: MarkKind) -> None:
    told = kept(kind)
    assert [mark.kind for mark in told.marks] == [kind]
    assert run_as_dict(told)["marks"][0]["kind"] == kind.value
    assert re.fullmatch("[a-z]+(-[a-z]+)*", kind.value)


@pytest.mark.parametrize("kind", MarkKind)
def test_faults_and_only_they_are_trouble_and_make_a_run_not_clean(
    kind: MarkKind,
) -> None:
    told = kept(kind)
    is_fault = KINDS[kind].is_fault
    assert (kind in FAULTS) == is_fault
    assert told.is_clean is (False if is_fault else None)
    is_trouble = is_fault or kind is MarkKind.MISSED_BREATH
    assert [spot.times[kind] for spot in map_marks([told])] == [1] * is_trouble
