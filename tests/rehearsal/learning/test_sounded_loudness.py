"""Runs as loud as they were heard: dynamics drawn to what the microphone says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.rehearsal.learning.replaying import at_step, find_edge, lay_notes
from coach.rehearsal.learning.replaying import lay_stretches as lay
from coach.rehearsal.learning.sights import see_run
from coach.rehearsal.learning.sounded_loudness import as_sounded
from coach.rehearsal.run.evidence import Evidence, SoundedNote
from tests.rehearsal.learning.played_runs import (
    AIR,
    HOLDS_S,
    SETTINGS,
    WHOM,
    play,
    tone,
)
from tests.rehearsal.learning.test_sights import CANDIDATES

COUNT = 8
STEP_DB = SETTINGS.step_db
LENGTH_S = HOLDS_S / COUNT


def fading(*steps: float, heard: bool = True) -> Evidence:
    """Ask for eight tones at mezzo-forte, each louder than its page by some steps."""
    levels = [SoundedNote(1, 0.0, -20.0 + STEP_DB * step) for step in steps]
    notes = tuple(tone(k * LENGTH_S, LENGTH_S) for k in range(COUNT))
    return Evidence(notes, (), tuple(levels) if heard else ())


SPENT = (1.5, 1.5, 1.0, 1.0, 0.0, 0.0, -1.0, -1.0)
MIDDLE = 0.5


def test_dynamics_are_drawn_to_what_was_heard_by_the_share_that_is_believed() -> None:
    sounded = as_sounded(fading(*SPENT), SETTINGS)
    share = SETTINGS.heard_loudness_share
    due = [share * (step - MIDDLE) for step in SPENT]
    assert [note.loud_start for note in sounded.notes] == pytest.approx(due)
    assert [note.loud_end for note in sounded.notes] == pytest.approx(due)


def test_what_nobody_heard_or_wants_believed_stays_as_the_page_has_it() -> None:
    unheard = fading(*SPENT, heard=False)
    assert as_sounded(unheard, SETTINGS) is unheard
    off = replace(SETTINGS, heard_loudness_share=0.0)
    assert as_sounded(fading(*SPENT), off).notes == unheard.notes
    deaf = replace(fading(*SPENT), sounded=(SoundedNote(1, None, None),) * COUNT)
    assert as_sounded(deaf, SETTINGS).notes == unheard.notes


def test_one_wild_note_is_believed_up_to_a_limit() -> None:
    wild = as_sounded(fading(*(0.0,) * 7, 9.0), SETTINGS)
    assert wild.notes[-1].loud_start == SETTINGS.most_heard_steps


def test_who_spends_the_air_early_and_is_heard_is_no_heavier_blower() -> None:
    """Out of air in the middle: without the ear all of that is laid to the flow."""
    played = play(fading(*SPENT), COUNT * LENGTH_S * 0.6)
    unheard = play(fading(*SPENT, heard=False), COUNT * LENGTH_S * 0.6)
    heard_sight = see_run(played, WHOM, CANDIDATES, SETTINGS)
    plain_sight = see_run(unheard, WHOM, CANDIDATES, SETTINGS)
    assert heard_sight is not None
    assert plain_sight is not None
    louder = replace(
        fading(*SPENT, heard=False),
        notes=tuple(
            replace(note, loud_start=step - MIDDLE, loud_end=step - MIDDLE)
            for note, step in zip(fading(*SPENT).notes, SPENT, strict=True)
        ),
    )
    laid = lay(
        louder,
        [at_step(*note, 1.0, AIR) for note in lay_notes(louder, WHOM)],
        WHOM.player.capacity_l,
    )
    span = (COUNT * LENGTH_S * 0.6 - 0.4, COUNT * LENGTH_S * 0.6 + 0.4)
    true = find_edge(laid, span, AIR).latest
    middle = CANDIDATES.step_powers.index(1.0)
    told, plain = (
        sight.edges[middle][CANDIDATES.fill_factors.index(1.0)].latest
        for sight in (heard_sight, plain_sight)
    )
    assert abs(told - true) < 0.5 * abs(plain - true)
