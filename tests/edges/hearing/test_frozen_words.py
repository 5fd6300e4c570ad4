"""Frozen values come back from a pipe as they were."""

from __future__ import annotations

import json
from dataclasses import replace

from coach.edges.hearing.frozen_words import from_words, to_words
from coach.rehearsal.hearing.due_part import DuePart, due_part
from coach.rehearsal.hearing.heard import (
    Doubt,
    Heard,
    HeardNote,
    LateEntry,
    RanOut,
    Refusal,
    Refused,
    Stretch,
    ThinTone,
)
from coach.rehearsal.hearing.take import Sounding, TakenClick
from coach.score.tempo import Seconds
from tests.hand_heard import heard_by_hand
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h"),
    [(0.9, 0.7)] * 4,
    (breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),),
)


def test_all_that_travels_comes_back_as_it_was() -> None:
    heard = heard_by_hand(
        PLAN,
        rushed=(Stretch(0, 1, Seconds(-0.06)),),
        late_after_breath=(LateEntry(2, Seconds(0.1)),),
        missed=(3,),
        ran_out=RanOut(2, Seconds(5.0)),
        thin=(ThinTone(1, 2, 4.0),),
        doubts=(Doubt.NOISY, Doubt.CLIPPED),
    )
    heard = replace(heard, notes=(*heard.notes[:3], HeardNote(Seconds(6.0))))
    values = (
        (Heard, heard),
        (Heard, replace(heard, evenness=None, stopped=Seconds(5.0))),
        (Refused, Refused(Refusal.SILENT)),
        (DuePart, due_part(PLAN)),
        (Sounding, Sounding(Seconds(-4.0), (TakenClick(Seconds(-4.0), 0),))),
        (Sounding, Sounding()),
    )
    for kind, value in values:
        told = json.loads(json.dumps(to_words(value)))
        assert from_words(kind, told) == value
