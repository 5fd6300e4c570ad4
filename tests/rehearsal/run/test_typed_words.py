"""What a player types after a run."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.typed_words import Said, SaidMark, read_words, say_noted

MISSED_TWO_BEATS = tuple(SaidMark(MarkKind.MISSED, 2, beat) for beat in (3, 4))
RUSHED_TWICE = [SaidMark(MarkKind.RUSHED, bar) for bar in (5, 6)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", Said(None, (), "")),
        ("clean", Said(True, (), "")),
        ("As heard.", Said(None, (), "", is_as_heard=True)),
        ("as heard, lips tired", Said(None, (), "lips tired", is_as_heard=True)),
        (" Y ", Said(True, (), "")),
        ("not clean", Said(False, (), "")),
        ("n; tired", Said(False, (), "tired")),
        ("ran out 7", Said(None, (SaidMark(MarkKind.RAN_OUT, 7, 1),), "")),
        ("Rushed 12.3", Said(None, (SaidMark(MarkKind.RUSHED, 12, 3),), "")),
        (
            "dragged in bar 4 beat 2, late 5",
            Said(
                None,
                (
                    SaidMark(MarkKind.DRAGGED, 4, 2),
                    SaidMark(MarkKind.LATE_AFTER_BREATH, 5, 1),
                ),
                "",
            ),
        ),
        (
            "late after the breath 7.2; Late after breath bar 8",
            Said(
                None,
                (
                    SaidMark(MarkKind.LATE_AFTER_BREATH, 7, 2),
                    SaidMark(MarkKind.LATE_AFTER_BREATH, 8, 1),
                ),
                "",
            ),
        ),
        *(
            (text, Said(False, (SaidMark(MarkKind.RAN_OUT, 2, 1),), "tired"))
            for text in (
                "not clean — ran out 2.1 — tired",
                "not clean—ran out 2.1—tired",
                "not clean – ran out 2.1, tired",
                "not clean - ran out 2.1 -- tired",
            )
        ),
        *(
            (text, Said(None, (SaidMark(MarkKind.RAN_OUT, 7, 3),), ""))
            for text in (
                "ran out at 7.3",
                "ran out 7,3",
                "Ran out in bar 7, beat 3.",
                "ran out at bar 7 on beat 3",
                "I ran out of air in bar 7, on beat 3",
                "and then I ran out again at 7.3",
                "out of air in measure 7, beat 3",
            )
        ),
        (
            "Not clean because I ran out at 7.3 and rushed 5, but happy and tired",
            Said(
                False,
                (
                    SaidMark(MarkKind.RAN_OUT, 7, 3),
                    SaidMark(MarkKind.RUSHED, 5, 1),
                ),
                "but happy and tired",
            ),
        ),
        *(
            (text, Said(None, tuple(RUSHED_TWICE), ""))
            for text in (
                "rushed 5-6",
                "rushed bars 5–6",
                "I rushed in bars 5 to 6",
                "rushed from bar 5 to bar 6",
                "rushed bars 5 and 6",
                "rushed 5, 6",
                "rushed 5; and again in bar 6",
            )
        ),
        (
            "rushed 5, 6 and 9.3, dragged 7",
            Said(
                None,
                (
                    *RUSHED_TWICE,
                    SaidMark(MarkKind.RUSHED, 9, 3),
                    SaidMark(MarkKind.DRAGGED, 7, 1),
                ),
                "",
            ),
        ),
        *(
            (text, Said(None, (SaidMark(MarkKind.RAN_OUT, 2, 3, 2),), ""))
            for text in (
                "ran out 2.3 time 2",
                "ran out 2.3, time 2 through",
                "ran out bar 2 beat 3 the second time",
                "ran out 2.3 2nd time",
                "ran out 2.3.5 the 2nd time",
            )
        ),
        (
            "ran out 2.3, second time better",
            Said(None, (SaidMark(MarkKind.RAN_OUT, 2, 3),), "second time better"),
        ),
        *(
            (text, Said(None, MISSED_TWO_BEATS, ""))
            for text in (
                "missed bar 2 beat 3 and 4",
                "missed bar 2, beats 3 and 4",
                "missed bar 2 beats 3-4",
                "missed 2.3 and beat 4",
                "missed 2.3, 2.4",
            )
        ),
        (
            "rushed 2.3 and 4, dragged bar 2 beat 3 and bar 4",
            Said(
                None,
                (
                    SaidMark(MarkKind.RUSHED, 2, 3),
                    SaidMark(MarkKind.RUSHED, 4),
                    SaidMark(MarkKind.DRAGGED, 2, 3),
                    SaidMark(MarkKind.DRAGGED, 4),
                ),
                "",
            ),
        ),
        ("rushed 5, tired, beat 3", Said(None, (RUSHED_TWICE[0],), "tired, beat 3")),
        ("ran out -1.2", Said(False, (), "ran out -1.2")),
        *(
            (text, Said(False, (SaidMark(MarkKind.RUSHED, 5),), "tired"))
            for text in (
                "not so clean, rushed 5, tired",
                "It was not really so clean and I rushed 5, tired",
                "wasn’t clean because I rushed 5, tired",
                "isn't quite clean; rushed 5; tired",
                "almost clean, rushing in bar 5, tired",
            )
        ),
        (
            "Not clean ran out 2.1; tired",
            Said(False, (SaidMark(MarkKind.RAN_OUT, 2),), "tired"),
        ),
        ("so clean", Said(True, (), "")),
        ("rushed 5, tired, 6", Said(None, (RUSHED_TWICE[0],), "tired, 6")),
        ("clean, 5 and 6", Said(True, (), "5, 6")),
        ("rushed 6-5", Said(False, (), "rushed 6-5")),
        ("rushed 1-99", Said(False, (), "rushed 1-99")),
        ("It was clean but lips tired", Said(True, (), "lips tired")),
        ("c", Said(True, (), "")),
        ("t", Said(False, (), "")),
        ("so and so, and I", Said(None, (), "so and so, and I")),
        ("missed bar 3", Said(None, (SaidMark(MarkKind.MISSED, 3, 1),), "")),
        ("rushed a bit, Better", Said(False, (), "rushed a bit, Better")),
        ("good, lips tired", Said(None, (), "good, lips tired")),
        *(
            (text, Said(True, (), ""))
            for text in (
                "Clean.",
                "clean!",
                "“CLEAN”",
                "cle\u202ean",
                "\x1b[1mclean\x1b[0m",
            )
        ),
        *((text, Said(False, (), "")) for text in ("Not clean!", "not-clean", "No.")),
        (
            "Clean! Lips tired. Ran-out: 7.3.",
            Said(True, (SaidMark(MarkKind.RAN_OUT, 7, 3),), "Lips tired."),
        ),
        ("clean\nlips tired", Said(True, (), "lips tired")),
        ("ran out " + "9" * 9000, Said(False, (), "ran out " + "9" * 9000)),
    ],
)
def test_verdict_marks_and_note_are_told_apart(text: str, said: Said) -> None:
    assert read_words(text) == said


@pytest.mark.parametrize(
    "text",
    [
        "rushed",
        "I ran out at the end",
        "It was a bit rushed",
        "I was out of breath",
        "tired, too fast",
        "ran out before bar 5",
    ],
)
def test_a_run_that_went_wrong_somewhere_was_not_clean(text: str) -> None:
    assert read_words(text) == Said(False, (), text)


@pytest.mark.parametrize(
    "text",
    [
        "never rushed",
        "almost ran out",
        "ran out of time to play it twice",
        "missed the breath at the end",
        "late today",
    ],
)
def test_a_word_that_only_sounds_like_a_fault_says_nothing_of_the_run(
    text: str,
) -> None:
    assert read_words(text) == Said(None, (), text)


def test_who_calls_a_run_clean_is_believed_with_a_fault_of_no_place() -> None:
    assert read_words("clean, rushed a bit").is_clean
    assert read_words("rushed a bit, but clean").is_clean


@given(st.text(alphabet=st.characters(exclude_characters=",;")))
def test_nothing_that_is_typed_is_lost(text: str) -> None:
    said = read_words(text)
    assert said.note == text.strip() or said.marks or said.is_clean is not None


@pytest.mark.parametrize(
    ("text", "how"),
    [("rushed 6-5", "rushed 7.3"), ("clean, I ran out of air", "ran out 7.3")],
)
def test_how_a_place_is_said_is_told_where_a_mark_has_none(text: str, how: str) -> None:
    said = read_words(text)
    assert said.marks == ()
    assert say_noted(said.note, said, (1, 4)) == (
        f"Kept as a note: “{said.note}”. Not marked: say where, as “{how}” for bar 7, "
        "beat 3."
    )


def test_a_mark_that_is_kept_as_a_note_is_said_to_be_none() -> None:
    said = read_words("not clean, ran out 99.1, tired")
    assert say_noted("", said, (1, 4)) == ""
    assert say_noted("tired", said, (1, 4)) == "Kept as a note: “tired”."
    assert say_noted("tired, ran out bar 99", said, (1, 4)) == (
        "Kept as a note: “tired, ran out bar 99”. Not marked: no such beat of bars 1 "
        "to 4 was played, or no breath was due there."
    )


def test_a_mark_is_said_as_it_is_typed() -> None:
    said = read_words("rushed in bar 0, missed 2.3 the second time").marks
    assert [str(one) for one in said] == [
        "rushed bar 0",
        "missed 2.3, time 2 through",
    ]
