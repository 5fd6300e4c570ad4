"""Read the signs of a music21 score that are no notes; in the child process only."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from music21 import (
    bar,
    base,
    clef,
    dynamics,
    expressions,
    key,
    meter,
    repeat,
    spanner,
    stream,
    tempo,
)

from coach.edges.scores.in_child.pages.music21_notes import exact, spanned
from coach.score.loudness import Hairpin, growth_in
from coach.score.metre import Metre
from coach.score.page import BoxedWords
from coach.score.plain_text import plain_words
from coach.score.played.repeats import RepeatSigns, name_endings, route_word_in
from coach.score.speed_words import SpeedMark
from coach.score.tempo import Beats

CLEFS = {
    ("F", 4): "bass",
    ("C", 4): "tenor",
    ("C", 3): "alto",
    ("G", 2): "treble",
}


def find_hairpins(
    spanners: Sequence[spanner.Spanner], places: Mapping[int, tuple[Beats, Beats]]
) -> Iterator[Hairpin]:
    """Give the hairpins between notes whose places are known, by their identity."""
    for pin in spanners:
        ends = spanned(pin)
        if not isinstance(pin, dynamics.DynamicWedge) or not ends:
            continue
        first, last = places.get(id(ends[0])), places.get(id(ends[-1]))
        if first is not None and last is not None:
            direction = 1 if isinstance(pin, dynamics.Crescendo) else -1
            yield Hairpin(first[0], last[1], direction)


def metre_of(sign: meter.TimeSignature) -> Metre:
    """Read a time signature, with the groups that are written in it."""
    parts = [(int(n), int(d)) for n, d in re.findall(r"(\d+)/(\d+)", sign.ratioString)]
    count, unit = int(sign.numerator), int(sign.denominator)
    if len(parts) > 1 and all(unit % d == 0 for _, d in parts):
        return Metre(count, unit, tuple(n * unit // d for n, d in parts))
    return Metre(count, unit)


def clef_name(sign: clef.Clef) -> str:
    """Name a clef as `coach.score.phrase.Bar` does."""
    name = CLEFS.get((sign.sign or "", sign.line or 0))
    if name is None:
        name = f"{sign.sign or 'percussion'}{sign.line or ''}"
    octaves = sign.octaveChange
    return f"{name}{octaves * 8:+d}" if octaves else name


def key_name(sign: key.KeySignature, last_letter: str) -> str:
    """Name a key; without a written mode, minor if the last note is its tonic."""
    if isinstance(sign, key.Key):
        return _spell_key(sign.tonic.name, sign.mode)
    minor = sign.asKey("minor")
    if minor.tonic.name == last_letter:
        return _spell_key(minor.tonic.name, "minor")
    return _spell_key(sign.asKey("major").tonic.name, "major")


def _spell_key(tonic: str, mode: str) -> str:
    """Write a key in words."""
    letter, sign = tonic[0], tonic[1:]
    return f"{letter}{' flat' * sign.count('-')}{' sharp' * sign.count('#')} {mode}"


def repeat_signs(
    measures: Sequence[stream.Measure],
    spanners: Sequence[spanner.Spanner],
    words: Sequence[frozenset[str]],
    more_endings: Sequence[set[int]],
) -> list[RepeatSigns]:
    """Read each bar's repeat signs, endings and words."""
    order = {id(measure): k for k, measure in enumerate(measures)}
    endings: list[set[int]] = [set() for _ in measures]
    for found, numbers in zip(endings, more_endings, strict=False):
        found.update(numbers)
    for bracket in spanners:
        if isinstance(bracket, spanner.RepeatBracket):
            # music21 may name only the first and the last bar under a bracket.
            under = [order[id(m)] for m in spanned(bracket) if id(m) in order]
            for k in range(min(under, default=0), max(under, default=-1) + 1):
                endings[k].update(bracket.numberRange)
    named = name_endings([frozenset(numbers) for numbers in endings])
    closing = [_times(measure.rightBarline) for measure in measures]
    for k, measure in enumerate(measures[1:], 1):
        closing[k - 1] = max(closing[k - 1], _times(measure.leftBarline))
    return [
        RepeatSigns(
            opens=_opens(measure.leftBarline)
            or (k > 0 and _opens(measures[k - 1].rightBarline)),
            times=closing[k],
            endings=named[k],
            words=words[k],
        )
        for k, measure in enumerate(measures)
    ]


def _opens(line: bar.Barline | None) -> bool:
    """Tell whether a bar line opens a repeat."""
    return isinstance(line, bar.Repeat) and line.direction == "start"


def _times(line: bar.Barline | None) -> int:
    """Tell how often what a bar line closes is played; 1 when it closes nothing."""
    if not isinstance(line, bar.Repeat) or line.direction != "end":
        return 1
    return max(2, int(line.times or 2))


def route_word(sign: base.Music21Object) -> str:
    """Give the word of `RepeatSigns` that a sign or text stands for; "" for none."""
    if isinstance(sign, repeat.Segno):
        return "segno"
    if isinstance(sign, repeat.RepeatExpression):
        text = str(sign.getText())  # type: ignore[no-untyped-call]
    elif isinstance(sign, expressions.TextExpression):
        text = sign.content
    else:
        return ""
    return route_word_in(text)


def speed_mark(sign: base.Music21Object, place: Beats) -> SpeedMark | None:
    """Read a tempo mark, or words that may be one; None for anything else."""
    if isinstance(sign, tempo.MetricModulation):
        old, new = sign.oldReferent, sign.newReferent
        if old is None or new is None or sign.number is not None:
            return None
        return SpeedMark(
            place, equal=(exact(old.quarterLength), exact(new.quarterLength))
        )
    if isinstance(sign, tempo.MetronomeMark):
        return _metronome_mark(sign, place)
    if isinstance(sign, tempo.TempoText):
        return SpeedMark(place, words=plain_words(sign.text))
    if isinstance(sign, expressions.TextExpression):
        return SpeedMark(place, words=plain_words(sign.content))
    return None


def _metronome_mark(sign: tempo.MetronomeMark, place: Beats) -> SpeedMark:
    """Read a metronome mark; a number that music21 made up from words is left out."""
    words = plain_words(str(sign.text or ""))
    if sign.numberImplicit and sign.numberSounding is None:
        return SpeedMark(place, words=words)
    is_printed = sign.number is not None and not sign.numberImplicit
    number = sign.number if is_printed else sign.numberSounding or sign.number
    beat = exact(sign.referent.quarterLength)
    speed = None if number is None else float(number) * float(beat)
    return SpeedMark(place, speed, beat if is_printed else None, words)


def boxed_words(sign: base.Music21Object, place: Beats) -> BoxedWords | None:
    """Read a rehearsal mark; None for anything else."""
    if isinstance(sign, expressions.RehearsalMark):
        return BoxedWords(place, plain_words(str(sign.content)))
    return None


def growing_words(sign: base.Music21Object) -> int:
    """Tell whether a text says to grow (1), to fall (-1), or neither (0)."""
    if not isinstance(sign, expressions.TextExpression):
        return 0
    return growth_in(sign.content)
