"""Styles that are no faults: short notes, accents, swing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.heard import Doubt, Heard
from coach.rehearsal.hearing.judging.swing import Swing, find_swing, swung_s
from coach.score.tempo import Seconds
from tests.hearing_room.players import Habits, Played, perform
from tests.hearing_room.rooms import USUAL
from tests.hearing_room.studies import Study, Style, compose_study
from tests.hearing_room.styles import accent, shorten, study_in, swing
from tests.hearing_room.takes import Change, Performed
from tests.hearing_room.voices import note_levels_db, sing
from tests.hearing_room.whole_takes import hear

SETTINGS = read_hearing_settings()
FAULTLESS = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)


def played_in(study: Study, seed: int, change: Change) -> Performed:
    """Let a study be played in a style, and without a fault."""
    played = change(study, perform(study, seed, FAULTLESS))
    dry = sing(played, seed)
    return Performed(study, played, dry, note_levels_db(dry, played))


def heard_in(study: Study, seed: int, change: Change) -> tuple[Played, Heard]:
    """Hear it in the usual room."""
    one = played_in(study, seed, change)
    heard = hear(one.taken(seed, USUAL), study.due, SETTINGS)
    assert isinstance(heard, Heard), heard
    return one.played, heard


@pytest.mark.parametrize(
    "lengths", [(3, 1, 3, 1), (2, 2, 2, 2), (5, 3), (1, 1, 1, 1, 1, 1, 1, 1)]
)
def test_who_cuts_long_notes_short_has_not_stopped(lengths: tuple[float, ...]) -> None:
    study = study_in(lengths, 80.0, 8)
    played, heard = heard_in(study, 8, shorten(0.3))
    assert heard.missed == heard.wrong == heard.began_again == ()
    assert heard.passed_over == ()
    assert heard.stopped is None
    assert [note.heard for note in heard.notes] == [
        pytest.approx(note.on, abs=0.05) for note in played.notes
    ]


@pytest.mark.parametrize(("seed", "style"), [(9, "mixed"), (10, "tongued")])
def test_soft_notes_between_accents_are_heard_and_are_no_breaths(
    seed: int, style: Style
) -> None:
    study = compose_study(seed, style, 92.0, phrase_count=2)
    _, heard = heard_in(study, seed, accent(8.0))
    assert heard.missed == heard.wrong == ()
    assert [breath for breath in heard.breaths if not breath.is_planned] == []


@pytest.mark.parametrize("ratio", [1.5, 2.0])
def test_pairs_that_are_swung_are_not_dragged(ratio: float) -> None:
    study = study_in([0.5] * 18 + [1], 120.0, 8)
    _, heard = heard_in(study, 8, swing(ratio))
    assert heard.swing_ratio == pytest.approx(ratio, abs=0.15)
    assert Doubt.SWUNG in heard.doubts
    assert heard.dragged == heard.rushed == ()
    assert heard.missed == ()
    behind = [note.behind for note in heard.notes if note.behind is not None]
    assert max(map(abs, behind)) < 0.05


def test_who_plays_even_swings_nothing() -> None:
    study = study_in([0.5] * 18 + [1], 120.0, 8)
    _, heard = heard_in(study, 8, swing(1.0))
    assert heard.swing_ratio == 1.0
    assert Doubt.SWUNG not in heard.doubts


def eighths(count: int, bars: tuple[float, ...] = (0.0,)) -> DuePart:
    """Give eighth notes of half a second, two in a beat."""
    notes = tuple(
        DueNote(Seconds(k / 2), Seconds((k + 1) / 2), Seconds((k + 1) / 2), 50, 0.0)
        for k in range(count)
    )
    return DuePart(notes, bar_starts=tuple(map(Seconds, bars)))


SECONDS_LATE = [0.0, 0.1] * 12
NUMBERS = SETTINGS.swing


def test_a_swing_is_told_by_how_late_each_second_note_is() -> None:
    swung = find_swing(eighths(24), SECONDS_LATE, NUMBERS)
    assert swung is not None
    assert (swung.unit_s, swung.delay_s) == pytest.approx((1.0, 0.1))
    assert swung.ratio == pytest.approx(1.5)
    assert swung_s(eighths(3), swung) == pytest.approx([0.0, 0.1, 0.0])
    bare = replace(eighths(24), bar_starts=())
    assert find_swing(bare, SECONDS_LATE, NUMBERS) == swung


def test_halves_of_a_beat_are_swung_too() -> None:
    slow = replace(eighths(24), beat=Seconds(2.0))
    assert find_swing(slow, SECONDS_LATE, NUMBERS) == Swing(1.0, 0.1)


@pytest.mark.parametrize(
    "late",
    [
        [0.0, 0.03] * 12,
        [-0.1, 0.0] * 2 + [0.0] * 20,
        [0.1 * k for k in range(24)],
        [0.0, 0.1, 0.0, -0.1] * 6,
        [0.1, 0.0] * 12,
        [None, 0.1] * 12,
        [0.0, None] * 12,
        [0.0, 0.6] * 12,
    ],
    ids=[
        "a little",
        "some of it",
        "slower and slower",
        "to either side",
        "the first ones",
        "no firsts heard",
        "no seconds heard",
        "more than there is time for",
    ],
)
def test_what_is_no_swing(late: list[float | None]) -> None:
    assert find_swing(eighths(24), late, NUMBERS) is None


def test_a_pair_that_a_bar_or_a_rest_breaks_tells_nothing() -> None:
    gone = eighths(24, bars=(0.0, 0.75))
    assert find_swing(gone, SECONDS_LATE, NUMBERS) is None
