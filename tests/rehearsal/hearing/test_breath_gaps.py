"""Which gaps are breaths, by when notes began and stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.due_part import DueBreath, DueNote, DuePart
from coach.rehearsal.hearing.heard import HeardNote
from coach.rehearsal.hearing.judging.breath_gaps import find_breaths
from coach.score.tempo import Seconds

SETTINGS = read_hearing_settings().breaths
NOTES = 20
STEP_S = 0.5


def breaths(
    gaps: Mapping[int, float],
    *,
    usual_s: float = 0.03,
    behind: Mapping[int, float] | None = None,
    lost: Iterable[int] = (),
    left_out: Iterable[int] = (),
    rests: Iterable[int] = (),
    planned: Iterable[int] = (),
    sank_db: float = 20.0,
) -> list[tuple[int, bool]]:
    """Tell after which of twenty notes in a row a breath is found, and if planned."""
    behind = behind or {}
    due = [k * STEP_S for k in range(NOTES)]
    at = [t + behind.get(k, 0.0) for k, t in enumerate(due)]
    stops = [at[k + 1] - gaps.get(k, usual_s) for k in range(NOTES - 1)]
    lost, left_out, rests = set(lost), set(left_out), set(rests)
    notes = [
        HeardNote(Seconds(due[k]))
        if k in lost | left_out
        else HeardNote(
            due=Seconds(due[k]),
            heard=Seconds(at[k]),
            ended=Seconds([*stops, at[-1] + STEP_S][k]),
            behind=Seconds(behind.get(k, 0.0)),
        )
        for k in range(NOTES)
    ]
    part = DuePart(
        tuple(
            DueNote(
                due=Seconds(due[k]),
                end=Seconds(due[k] + STEP_S),
                written_end=Seconds(due[k] + STEP_S / (2 if k in rests else 1)),
                midi=58,
                loud=0.0,
                is_left_out=k in left_out,
            )
            for k in range(NOTES)
        ),
        tuple(
            DueBreath(k, Seconds(due[k] + STEP_S / 2), Seconds(due[k + 1]))
            for k in planned
        ),
    )
    sank = {k: sank_db for k, note in enumerate(notes) if note.heard is not None}
    found = find_breaths(notes, sank, part, SETTINGS)
    return [(breath.after_note, breath.is_planned) for breath in found]


def test_a_gap_is_a_breath_where_the_sound_sinks_in_it() -> None:
    assert breaths({9: 0.25}) == [(9, False)]
    assert breaths({9: 0.25}, sank_db=3.0) == []


def test_a_planned_breath_may_be_shorter_than_another() -> None:
    assert breaths({9: 0.13}, planned=[9]) == [(9, True)]
    assert breaths({9: 0.13}) == []


def test_gaps_everywhere_are_a_detached_player() -> None:
    assert breaths({}, usual_s=0.3) == []
    assert breaths({9: 0.4}, usual_s=0.2) == [(9, False)]
    assert breaths({9: 0.3}, usual_s=0.2, planned=[9]) == [(9, True)]


def test_notes_of_any_length_are_a_players_who_plays_each_otherwise() -> None:
    cut_s = (0.05, 0.12, 0.2, 0.28, 0.32)
    assert breaths({k: cut_s[k % len(cut_s)] for k in range(NOTES)}) == []


def test_of_too_few_notes_a_gap_is_a_breath_only_among_joined_ones() -> None:
    few = set(range(NOTES)) - set(range(8, 12))
    assert breaths(dict.fromkeys(range(NOTES), 0.3), lost=few) == []
    assert breaths({9: 0.3}, lost=few) == []
    longer = {9: 1.0}
    assert breaths({9: 0.3}, behind=_pushed_on(longer)) == [(9, False)]
    assert breaths({9: 0.3}, behind=_pushed_on(longer), usual_s=0.1) == [(9, False)]
    assert breaths({9: 0.7}, behind=_pushed_on(longer), usual_s=0.25) == []


def _pushed_on(longer: Mapping[int, float]) -> dict[int, float]:
    """Tell how far behind each note is where some are held longer."""
    return {k: sum(s for at, s in longer.items() if at < k) for k in range(NOTES)}


def test_who_rushed_and_waits_for_the_beat_has_not_breathed() -> None:
    ahead = dict.fromkeys(range(4, 10), -0.16)
    assert breaths({9: 0.19}, behind=ahead) == []
    assert breaths({9: 0.32}, behind=ahead) == [(9, False)]


@pytest.mark.parametrize("later", [0.16, 0.05])
def test_who_comes_late_after_a_gap_has_breathed(later: float) -> None:
    behind = dict.fromkeys(range(10, NOTES), later)
    assert breaths({9: 0.2}, behind=behind) == [(9, False)]


def test_a_rest_on_the_page_is_no_breath_unless_one_is_planned() -> None:
    assert breaths({9: 0.3}, rests=[9]) == []
    assert breaths({9: 0.3}, rests=[9], planned=[9]) == [(9, True)]


def test_beside_a_note_that_was_not_heard_nobody_can_say() -> None:
    assert breaths({9: 0.3}, lost=[10]) == []


def test_a_note_that_the_plan_leaves_out_is_part_of_the_breath() -> None:
    assert breaths({9: 0.2, 10: 0.2}, left_out=[10], planned=[9]) == [(9, True)]
