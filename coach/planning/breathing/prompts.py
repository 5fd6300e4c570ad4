"""What to say when: breathe in so many beats, top off, next breath in bar so-and-so.

Words are few, so that a glance or a screen reader is enough, and they begin with
what to do.  A prompt falls on a felt beat, early enough to finish the thought and
to act, and never while the breath before is still being taken.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from coach.last_answers import remembered
from coach.planning.breath_place import ROUNDING, BreathPlace, name_place
from coach.planning.breathing.breaths import Breath, BreathPlan
from coach.planning.breathing.words.left_out_words import name_left_out
from coach.planning.naming import name_beat, say_beat, say_count, say_time_through
from coach.score.phrase import Bar, Part, place_of, time_through
from coach.score.tempo import Beats, Seconds, TempoMap

PromptKind = Literal["full", "catch", "hold"]

OUT_FIRST = "breathe out, then in,"
"""How a breath that is more than a sip is announced to those whose air grows stale."""


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to tell the player, early enough to act."""

    at: Seconds
    """When to say it, in run time."""

    bar: int
    """Bar on the page where it is said."""

    beat: float
    """Beat in that bar, from 1."""

    say: str
    """The words: ``top off in 2 beats, after bar 7 beat 3``."""

    kind: PromptKind
    """A full breath, a catch breath to top off, or no breath for a while."""

    breath: int | None
    """Index of the breath it announces; None for ``hold``."""


@dataclass(frozen=True, slots=True)
class PromptSettings:
    """The keys of ``config/prompts.toml``."""

    full_ahead_beats: float
    """How many felt beats ahead a full breath is announced."""

    catch_ahead_beats: float
    """How many felt beats ahead a catch breath is announced."""

    shortest_ahead_s: float
    """Nothing is announced later than this, in seconds, where there is time."""

    hold_from_bars: float
    """From so many bars without a breath on, the player is told that none comes."""

    breathes_out_first: bool
    """The player breathes out before a full breath, on whichever instrument."""


@dataclass(frozen=True, slots=True)
class _Moment:
    """A place of the page and its run time."""

    place: Beats
    time: Seconds


@dataclass(frozen=True, slots=True)
class _FeltBeats:
    """Every felt beat of a part, in order, and the end as the last."""

    places: tuple[Beats, ...]
    times: tuple[Seconds, ...]

    def number_at(self, time: float) -> float:
        """Count felt beats from the first to a run time, with parts of one."""
        k = min(bisect_right(self.times, time), len(self.times) - 1)
        start, end = self.times[k - 1], self.times[k]
        return k - 1 + (time - start) / (end - start)


def lay_prompts(
    part: Part, tempo_map: TempoMap, breaths: BreathPlan, settings: PromptSettings
) -> tuple[Prompt, ...]:
    """Lay out what to tell the player.

    Returns
    -------
    tuple of Prompt
        In order of time: one for each breath, and one for each long stretch
        without any.
    """
    felt = _felt(part, tempo_map)
    prompts = []
    free = _Moment(part.start, tempo_map.seconds_at(part.start))
    for number, breath in enumerate(breaths.breaths):
        place = place_of_breath(part, tempo_map, breath)
        moment = _moment(felt, free, breath, settings)
        hold = _hold(part, tempo_map, free, breath, breaths, settings)
        if hold is not None and hold.at < moment.time:
            prompts.append(hold)
        how = say_how(breath, is_out_first=settings.breathes_out_first)
        announced = _announce(part, felt, moment, number, breath, place)
        prompts.append(replace(announced, say=f"{how} {announced.say}"))
        free = _Moment(part.notes[breath.following].onset, breath.next_note)
    hold = _hold(part, tempo_map, free, None, breaths, settings)
    return (*prompts, hold) if hold is not None else tuple(prompts)


def bracket_optional(
    prompts: Sequence[Prompt], breaths: BreathPlan
) -> tuple[Prompt, ...]:
    """Put what is said of optional breaths in brackets."""
    bracketed = []
    for prompt in prompts:
        said = prompt.say.removeprefix("(").removesuffix(")")
        if prompt.breath is not None and breaths.breaths[prompt.breath].is_optional:
            said = f"({said})"
        bracketed.append(replace(prompt, say=said))
    return tuple(bracketed)


@remembered
def _felt(part: Part, tempo_map: TempoMap) -> _FeltBeats:
    """List the felt beats of a part."""
    places = [place for bar in part.bars for place in _felt_in(bar)]
    places.append(part.end)
    return _FeltBeats(tuple(places), tuple(tempo_map.seconds_at(p) for p in places))


def _felt_in(bar: Bar) -> Sequence[Beats]:
    """List the felt beats of a bar, and its start where that lies between two."""
    beat = bar.metre.beat
    passed = (bar.first_beat - 1) * bar.metre.unit_beats
    places = [bar.onset]
    following = bar.onset - passed % beat + beat
    while following < bar.end:
        places.append(Beats(following))
        following += beat
    return places


def _moment(
    felt: _FeltBeats, free: _Moment, breath: Breath, settings: PromptSettings
) -> _Moment:
    """Choose when to announce a breath: on a felt beat, once the last one is over."""
    is_full = breath.kind == "full"
    ahead = settings.full_ahead_beats if is_full else settings.catch_ahead_beats
    by_beats = int(max(0.0, felt.number_at(breath.start) - ahead + ROUNDING))
    by_time = bisect_right(felt.times, breath.start - settings.shortest_ahead_s) - 1
    k = max(0, min(by_beats, by_time))
    if felt.times[k] < free.time:
        k = bisect_left(felt.times, free.time)
    if felt.times[k] > breath.start:
        return free
    return _Moment(felt.places[k], felt.times[k])


def _announce(
    part: Part,
    felt: _FeltBeats,
    moment: _Moment,
    number: int,
    breath: Breath,
    place: BreathPlace,
) -> Prompt:
    """Say in how many beats a breath comes, and where."""
    said = place_of(part, float(moment.place))
    ahead = felt.number_at(breath.start) - felt.number_at(moment.time)
    count = int(ahead + ROUNDING)
    words = [
        f"in {say_count(count, 'beat')}," if count > 0 else "now,",
        "on" if place.is_on else "after",
        "" if place.bar == said.bar else f"bar {place.bar}",
        f"{_unit_of(part, place.bar)} {say_beat(place.beat)}",
    ]
    if breath.left_out:
        words[1:] = ["leave out", name_left_out(part, breath.left_out)]
    say = " ".join(word for word in words if word)
    return Prompt(
        at=moment.time,
        bar=said.bar,
        beat=said.beat,
        say=say,
        kind=breath.kind,
        breath=number,
    )


def say_how(breath: Breath, *, is_out_first: bool) -> str:
    """Say how to take a breath: ``top off``, ``breathe full`` or ``breathe deep``.

    Parameters
    ----------
    is_out_first : bool
        Stale air goes out before new air comes in, as oboists do.
    """
    if breath.kind != "full":
        return "top off"
    return OUT_FIRST if is_out_first else f"breathe {breath.depth}"


def _unit_of(part: Part, number: int) -> str:
    """Name what the places of a bar are counted in, where that is not the felt beat."""
    metre = next(bar.metre for bar in part.bars if bar.number == number)
    return name_beat(float(metre.unit_beats)) if metre.is_compound else "beat"


def _hold(
    part: Part,
    tempo_map: TempoMap,
    free: _Moment,
    breath: Breath | None,
    breaths: BreathPlan,
    settings: PromptSettings,
) -> Prompt | None:
    """Say that no breath comes for a while, or that the air runs out, where it does.

    The breath is the one that comes then; None for no more until the end.
    """
    end = len(part.notes) - 1 if breath is None else breath.after_note
    last = part.notes[end]
    dry = next((k for k in breaths.dry if part.notes[k].onset >= free.place), None)
    onsets = [bar.onset for bar in part.bars]
    bars = bisect_right(onsets, last.onset) - bisect_right(onsets, free.place)
    is_dry = dry is not None and dry <= end
    if bars < settings.hold_from_bars and not is_dry:
        return None
    said = place_of(part, float(free.place))
    if dry is not None and is_dry:
        say = f"the air runs out in {say_bar_dry(part, breaths, dry)}"
    elif breath is None:
        say = "no breath until the end"
    else:
        where = say_bar_of_breath(part, tempo_map, breath)
        say = f"play on, next breath in {where}"
    return Prompt(
        at=free.time,
        bar=said.bar,
        beat=said.beat,
        say=say,
        kind="hold",
        breath=None,
    )


def place_of_breath(part: Part, tempo_map: TempoMap, breath: Breath) -> BreathPlace:
    """Name where a breath of a plan begins."""
    return name_place(part, tempo_map, breath.after_note, breath.start)


def say_bar_of_breath(part: Part, tempo_map: TempoMap, breath: Breath) -> str:
    """Name the bar that a breath begins in, and in a repeat which time it is meant."""
    bar = place_of_breath(part, tempo_map, breath).bar
    is_in_note = part.notes[breath.after_note].bar == bar
    return _say_bar(part, breath.after_note if is_in_note else breath.following, bar)


def say_bar_dry(part: Part, breaths: BreathPlan, k: int) -> str:
    """Name the bar in which a dry note's air is gone, and which time it is meant."""
    return _say_bar(part, k, breaths.dry_place(k).bar)


def _say_bar(part: Part, k: int, bar: int) -> str:
    """Name a bar that a note sounds in, and which time it is meant."""
    return f"bar {bar}{say_time_through(time_through(part, k))}"
