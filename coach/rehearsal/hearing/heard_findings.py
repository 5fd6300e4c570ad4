"""What was heard of a run beside what was planned: what happened, where, how much.

Times are told to 5 ms: what is finer is the ear's own error.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from coach.planning.naming import say_beat, say_count, say_place, say_time_through
from coach.planning.plan import Plan
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.hearing.heard import Doubt, Heard, PassedOver, Stretch
from coach.rehearsal.hearing.heard_tempo import is_other_tempo, tempo_heard
from coach.rehearsal.hearing.judging.missed_breaths import lacking_breaths
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.score.note import Pitch
from coach.score.phrase import time_through

MS = 1000.0
TIME_STEP_MS = 5.0
"""Times are told to this."""

STAFF_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Staff steps of an interval, by its semitones inside the octave."""

SEMITONES_IN_OCTAVE, STEPS_IN_OCTAVE = 12, 7


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was heard."""

    what: str
    """What happened, as a mark says it."""

    where: str
    """Where on the page."""

    amount: str
    """How much, or what instead; may be empty."""

    first: int
    """Index of the first note that it concerns."""

    last: int
    """Index of the last."""


def find_all(
    plan: Plan, heard: Heard, settings: TellingSettings
) -> tuple[Finding, ...]:
    """List what was heard beside what was planned, in order of the page."""
    findings = [*_out_of_time(plan, heard), *_pitches(plan, heard)]
    findings += [*_not_through(plan, heard), *_tempo(plan, heard, settings)]
    findings += [
        _finding(plan, "no breath after it", breath.after_note)
        for breath in lacking_breaths(plan, heard, settings)
    ]
    findings += [
        _finding(
            plan, "late after the breath", late.note, amount=say_behind(late.behind)
        )
        for late in heard.late_after_breath
    ]
    if heard.ran_out is not None:
        findings.append(_finding(plan, "ran out", heard.ran_out.note))
    findings += [
        _finding(
            plan,
            _say_passed(over),
            over.first,
            over.last,
            say_count(over.last - over.first + 1, "note"),
        )
        for over in heard.passed_over
    ]
    findings += [
        _finding(
            plan, "tone got thin", thin.first, thin.last, f"{thin.loss_db:.0f} dB less"
        )
        for thin in heard.thin
    ]
    return tuple(sorted(findings, key=lambda finding: finding.first))


def _say_passed(over: PassedOver) -> str:
    """Say why some notes were not played, or not heard."""
    if not over.is_recorded:
        return "not recorded"
    return "repeat left out" if over.is_repeat else "passed over"


def pitch_heard(plan: Plan, heard: Heard, note: int) -> Pitch | None:
    """Spell what was heard in the place of a note; None where nothing was."""
    midi, due = heard.notes[note].midi, plan.part.notes[note].sounding
    if midi is None:
        return None
    written = next(
        (one.sounding for one in plan.part.notes if one.sounding.midi == midi), None
    )
    return written or _spelled_from(due, midi)


def _spelled_from(due: Pitch, midi: int) -> Pitch:
    """Spell a pitch with as few signs as it can be, else as its interval is."""
    octaves, inside = divmod(midi - due.midi, SEMITONES_IN_OCTAVE)
    steps = octaves * STEPS_IN_OCTAVE + STAFF_STEPS[inside]
    near = [due.moved(k, midi - due.midi) for k in (steps, steps - 1, steps + 1)]
    return min(near, key=lambda pitch: abs(pitch.alter))


def say_behind(behind: float) -> str:
    """Say how far behind or ahead something was, from seconds.

    Examples
    --------
    >>> say_behind(0.0612), say_behind(-0.048)
    ('60 ms behind', '50 ms ahead')
    """
    told = round(abs(behind) * MS / TIME_STEP_MS) * TIME_STEP_MS
    return f"{told:g} ms {'behind' if behind > 0 else 'ahead'}"


def say_stretch(plan: Plan, first: int, last: int) -> str:
    """Say from where to where some notes in a row stand."""
    begin, end = plan.part.notes[first], plan.part.notes[last]
    if first == last:
        return say_place(begin.bar, float(begin.beat))
    if begin.bar == end.bar and begin.beat < end.beat:
        beats = f"{say_beat(float(begin.beat))} to {say_beat(float(end.beat))}"
        return f"bar {begin.bar}, beats {beats}"
    return (
        f"{say_place(begin.bar, float(begin.beat))}, to "
        f"{say_place(end.bar, float(end.beat))}"
    )


def _out_of_time(plan: Plan, heard: Heard) -> Iterator[Finding]:
    """List stretches ahead and behind, and how late the whole run came in."""
    if heard.came_in is not None:
        what = "came in late" if heard.came_in > 0 else "came in early"
        yield _finding(plan, what, first_heard(heard), amount=say_behind(heard.came_in))
    for what, stretches in (("rushed", heard.rushed), ("dragged", heard.dragged)):
        for stretch in stretches:
            yield _finding(plan, what, stretch.first, stretch.last, _say_much(stretch))


def _say_much(stretch: Stretch) -> str:
    """Say how far a stretch was off, and over how many notes."""
    notes = say_count(stretch.last - stretch.first + 1, "note")
    return f"{say_behind(stretch.behind)}, {notes}"


def _not_through(plan: Plan, heard: Heard) -> Iterator[Finding]:
    """Tell where the player went back, and where the run was broken off."""
    over = {passed.last + 1 for passed in heard.passed_over}
    if Doubt.BEGAN_AGAIN in heard.doubts:
        for note in heard.began_again:
            if note not in over:
                yield _finding(plan, "began again", note)
    if heard.stopped is not None:
        yield _finding(plan, "stopped after", last_heard(heard))


def _tempo(plan: Plan, heard: Heard, settings: TellingSettings) -> Iterator[Finding]:
    """Tell at which other tempo it was played."""
    if is_other_tempo(heard, settings):
        last = len(heard.notes) - 1
        amount = f"at {say_bpm(tempo_heard(plan, heard))}, not {say_bpm(plan.bpm)}"
        yield _finding(plan, "another tempo", 0, last, amount)


def first_heard(heard: Heard) -> int:
    """Name the first note of the page that was heard."""
    return next((k for k, note in enumerate(heard.notes) if note.heard is not None), 0)


def last_heard(heard: Heard) -> int:
    """Name the last note of the page that was heard."""
    there = (k for k, note in enumerate(heard.notes) if note.heard is not None)
    return max(there, default=0)


def _pitches(plan: Plan, heard: Heard) -> Iterator[Finding]:
    """List notes that were missing or wrong; what misses in a row is one thing."""
    rows: list[list[int]] = []
    for note in heard.missed:
        if rows and rows[-1][-1] == note - 1:
            rows[-1].append(note)
        else:
            rows.append([note])
    for row in rows:
        amount = say_count(len(row), "note") if len(row) > 1 else ""
        yield _finding(plan, "missed", row[0], row[-1], amount)
    for note in heard.wrong:
        instead = (
            f"{pitch_heard(plan, heard, note)} for {plan.part.notes[note].sounding}"
        )
        yield _finding(plan, "wrong note", note, amount=instead)


def _finding(
    plan: Plan, what: str, first: int, last: int | None = None, amount: str = ""
) -> Finding:
    """Make a finding of some notes in a row."""
    end = first if last is None else last
    through = say_time_through(time_through(plan.part, first))
    return Finding(what, say_stretch(plan, first, end) + through, amount, first, end)
