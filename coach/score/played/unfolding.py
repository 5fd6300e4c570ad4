"""Play a page: repeats unfolded, ties merged, grace notes timed, speeds laid out.

Conventions
-----------
A `Page` has places from its own first bar; a `Part` has quarter notes from the first
beat of bar 1, a pickup before zero.  Loudness and speed are read off the page, so a
repeated bar has the same ones each time.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.errors import ScoreError
from coach.score.loudness import Loudness, LoudnessSettings, Return, shape_loudness
from coach.score.manner_words import told_of_manner
from coach.score.metre_groups import group_metres
from coach.score.note import Note
from coach.score.page import Page, PageNote
from coach.score.page_facts import page_doubts
from coach.score.phrase import Bar, Part, RehearsalMark
from coach.score.played.graces import GraceSettings, time_graces
from coach.score.played.ties import PlacedNote, clip, merge_ties
from coach.score.sound_words import told_of_sound
from coach.score.speeds import PageSpeeds, SpeedSettings, read_speeds
from coach.score.tempo import Beats, TempoMap, TempoMark


@dataclass(frozen=True, slots=True)
class PageSettings:
    """What a page leaves open."""

    loudness: LoudnessSettings
    """Hairpins and sforzati."""

    speeds: SpeedSettings
    """Tempo words and the tempo of a page without a mark."""

    graces: GraceSettings
    """Time for grace notes."""


@dataclass(frozen=True, slots=True)
class _Turn:
    """One bar as it is played."""

    k: int
    """Its place in the order of the page."""

    onset: Beats
    """Where it starts, in playing order."""

    page_start: Beats
    """Where it starts on the page."""


def unfold(page: Page, settings: PageSettings, *, most_bars: int) -> Part:
    """Play a page from its first sign to its last.

    Parameters
    ----------
    most_bars : int
        How many bars its repeats may lead through.

    Returns
    -------
    Part
        What is played; its source is empty.

    Raises
    ------
    ScoreError
        If there is no note, or the repeats make too many bars.
    """
    grouped = group_metres(page.bars)
    page = replace(page, bars=grouped.bars)
    turns = _take_turns(page, most_bars)
    ends = page.bar_starts
    speeds = read_speeds(page.speeds, page.bars[0].metre, ends[-1], settings.speeds)
    line = merge_ties(_place_notes(page, turns, settings.loudness))
    notes = clip(time_graces(line, settings.graces))
    if not notes:
        raise ScoreError("There is no note to play.", "Choose another part.")
    return Part(
        title=page.title,
        name=page.name,
        source="",
        notes=notes,
        bars=tuple(_bar(page, turn) for turn in turns),
        tempo=speeds.goal,
        tempo_map=_lay_speeds(page, turns, speeds),
        key_name=page.key_name,
        transposition=page.transposition,
        rehearsal_marks=tuple(_boxes(page, turns)),
        remarks=(
            *page.left_out,
            *page.remarks,
            *grouped.said,
            *page_doubts(page, [turn.k for turn in turns]),
            *_speed_remarks(page, speeds),
            *_word_remarks(page),
        ),
        left_out=page.left_out,
        is_tempo_guessed=speeds.is_guessed,
    )


def _take_turns(page: Page, most_bars: int) -> list[_Turn]:
    """Lay the bars end to end in playing order, zero at the beat after a pickup."""
    order = page.order(most_bars)
    if len(order) > most_bars:
        raise ScoreError(
            f"Its repeats make more than {most_bars} bars.",
            "Take repeats out of the file.",
        )
    starts = page.bar_starts
    pickup = page.bars[0]
    place = Beats(-pickup.length if pickup.number == 0 else Fraction(0))
    turns = []
    for k in order:
        turns.append(_Turn(k, place, starts[k]))
        place = Beats(place + page.bars[k].length)
    return turns


def _bar(page: Page, turn: _Turn) -> Bar:
    """Give a bar as it is played."""
    bar = page.bars[turn.k]
    return Bar(
        number=bar.number,
        onset=turn.onset,
        length=bar.length,
        metre=bar.metre,
        fifths=bar.fifths,
        clef=bar.clef,
        first_beat=bar.first_beat,
    )


def _place_notes(
    page: Page, turns: Sequence[_Turn], settings: LoudnessSettings
) -> Iterator[PlacedNote]:
    """Give every printed note its time, place and loudness."""
    loudness = _page_loudness(page, settings)
    last_bar = -1
    for turn in turns:
        bar = page.bars[turn.k]
        follows = turn.k == last_bar + 1
        for printed in bar.notes:
            note = _note(page, turn, printed, loudness)
            if not follows:
                # A slur or tie into a first ending leads into the later ones too.
                is_slurred = bool(bar.signs.endings) and _leads_on(page, last_bar)
                note = replace(note, is_slurred=is_slurred)
            yield PlacedNote(note, printed, follows or bool(bar.signs.endings))
            follows = True
        last_bar = turn.k


def _leads_on(page: Page, k: int) -> bool:
    """Tell whether a slur leads from a bar into the next one of the page."""
    following = page.bars[k + 1].notes if k + 1 < len(page.bars) else ()
    return bool(following) and following[0].is_slurred


def _note(page: Page, turn: _Turn, printed: PageNote, loudness: Loudness) -> Note:
    bar = page.bars[turn.k]
    start = Beats(turn.page_start + printed.offset)
    end = start if printed.is_grace else Beats(start + printed.length)
    return Note(
        onset=Beats(turn.onset + printed.offset),
        length=printed.length,
        written=printed.written,
        sounding=printed.sounding,
        bar=bar.number,
        beat=bar.first_beat + printed.offset / bar.metre.unit_beats,
        loud_start=loudness.at(start),
        loud_end=loudness.before(end) if end > start else loudness.at(start),
        is_slurred=printed.is_slurred,
        articulations=printed.articulations,
        is_grace=printed.is_grace,
        has_fermata=printed.has_fermata,
        breath_mark=printed.breath_mark,
        tuplet=printed.tuplet,
        marked_position=printed.marked_position,
    )


def _page_loudness(page: Page, settings: LoudnessSettings) -> Loudness:
    """Lay out the page's dynamics."""
    starts = page.bar_starts
    onsets = sorted(
        Beats(start + note.offset)
        for start, bar in zip(starts, page.bars, strict=False)
        for note in bar.notes
    )
    return shape_loudness(
        page.dynamics, page.hairpins, _returns(page), onsets, settings
    )


def _returns(page: Page) -> list[Return]:
    """Find second and later endings, and where the first of each group starts."""
    starts = page.bar_starts
    returns: list[Return] = []
    first: Beats | None = None
    for k, bar in enumerate(page.bars):
        endings = bar.signs.endings
        before = page.bars[k - 1].signs.endings if k else frozenset()
        if not endings:
            first = None
        elif first is None:
            first = starts[k]
        elif endings != before:
            returns.append(Return(starts[k], first))
    return returns


def _lay_speeds(page: Page, turns: Sequence[_Turn], speeds: PageSpeeds) -> TempoMap:
    """Lay the page's speeds out in playing order."""
    marks: list[TempoMark] = []
    for turn in turns:
        end = Beats(turn.page_start + page.bars[turn.k].length)
        here = TempoMark(turn.page_start, speeds.at(turn.page_start))
        for mark in (here, *speeds.between(turn.page_start, end)):
            speed = mark.quarters_per_minute
            if not marks or marks[-1].quarters_per_minute != speed:
                place = Beats(turn.onset + mark.at - turn.page_start)
                marks.append(TempoMark(place, speed))
    return TempoMap(tuple(marks))


def _boxes(page: Page, turns: Sequence[_Turn]) -> Iterator[RehearsalMark]:
    """Give the rehearsal marks in playing order."""
    for turn in turns:
        end = Beats(turn.page_start + page.bars[turn.k].length)
        first = bisect_left(page.boxes, turn.page_start, key=lambda box: box.at)
        last = bisect_left(page.boxes, end, key=lambda box: box.at)
        for box in page.boxes[first:last]:
            place = Beats(turn.onset + box.at - turn.page_start)
            yield RehearsalMark(place, box.text)


def _speed_remarks(page: Page, speeds: PageSpeeds) -> Iterator[str]:
    """Name the bar of each remark on tempo."""
    for place, text in speeds.remarks:
        yield text if place is None else f"{_name_bar(page, place)}: {text}"


def _word_remarks(page: Page) -> Iterator[str]:
    """Name the bar of each word that asks for what no plan reckons with."""
    for mark in page.speeds:
        for text in (*told_of_sound(mark.words), *told_of_manner(mark.words)):
            yield f"{_name_bar(page, mark.at)}: {text}"


def _name_bar(page: Page, place: Beats) -> str:
    """Name the bar that a place lies in."""
    k = max(0, bisect_right(page.bar_starts[:-1], place) - 1)
    return f"Bar {page.bars[k].number}"
