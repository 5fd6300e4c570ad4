"""What is kept of a score, format by format and sign by sign."""

from __future__ import annotations

import re
from fractions import Fraction

import mido
import pytest

from coach.errors import ScoreError
from coach.score.phrase import Part
from coach.score.tempo import Tempo, beats
from tests.edges.scores.score_samples import (
    ABC,
    BASS,
    HEAD,
    KERN,
    MEI,
    WHOLE,
    at_bar,
    direction,
    grace,
    keys,
    lengths,
    measures,
    metronome,
    midi_file,
    page,
    read,
    score,
    spelled,
    words,
    xml_note,
)

WEDGE_OPENS = direction('<wedge type="crescendo"/>')
WEDGE_CLOSES = direction('<wedge type="stop"/>')


def closing(number: int, kind: str = "stop") -> str:
    return (
        f'<barline location="right"><ending number="{number}" type="{kind}"/>'
        '<repeat direction="backward"/></barline>'
    )


def opening(number: int) -> str:
    return (
        f'<barline location="left"><ending number="{number}" type="start"/></barline>'
    )


REPEAT_OPENS = '<barline location="left"><repeat direction="forward"/></barline>'
REPEAT_CLOSES = '<barline location="right"><repeat direction="backward"/></barline>'


def dynamic(name: str) -> str:
    return direction(f"<dynamics><{name}/></dynamics>")


# MusicXML, sign by sign (MusicXML 4.0, W3C Community Group, 2021).


def test_pitches_lengths_key_and_clef_are_kept() -> None:
    part = read(page(xml_note("Bb2") + xml_note("F#3", 18) + xml_note("C4", 18)))
    assert spelled(part) == "Bb2 F#3 C4"
    assert lengths(part) == [1, Fraction(3, 2), Fraction(3, 2)]
    assert part.key_name == "B flat major"
    assert (part.bars[0].fifths, part.bars[0].clef) == (-2, "bass")
    assert str(part.bars[0].metre) == "4/4"


@pytest.mark.parametrize(
    ("sign", "name"),
    [
        ("<sign>F</sign><line>4</line>", "bass"),
        ("<sign>C</sign><line>4</line>", "tenor"),
        ("<sign>C</sign><line>3</line>", "alto"),
        ("<sign>G</sign><line>2</line>", "treble"),
        ("<sign>C</sign><line>1</line>", "C1"),
        (
            "<sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change>",
            "treble-8",
        ),
        (
            "<sign>F</sign><line>4</line><clef-octave-change>1</clef-octave-change>",
            "bass+8",
        ),
    ],
)
def test_every_clef_has_its_name(sign: str, name: str) -> None:
    assert read(page(WHOLE, head=f"{HEAD}<clef>{sign}</clef>")).bars[0].clef == name


def test_a_clef_change_holds_from_its_bar_on() -> None:
    tenor = "<attributes><clef><sign>C</sign><line>4</line></clef></attributes>"
    half = xml_note("F3", 24)
    part = read(page(WHOLE, tenor + WHOLE, WHOLE))
    assert [bar.clef for bar in part.bars] == ["bass", "tenor", "tenor"]
    part = read(page(half + tenor + half, WHOLE))
    assert [bar.clef for bar in part.bars] == ["bass", "tenor"]


def test_a_part_without_a_clef_gets_the_likely_one() -> None:
    assert read(page(WHOLE, head=HEAD)).bars[0].clef == "bass"
    high = xml_note("F5", 48)
    assert read(page(high, head=HEAD)).bars[0].clef == "treble"


@pytest.mark.parametrize(
    ("mode", "last", "name"),
    [
        ("<mode>minor</mode>", "F3", "G minor"),
        ("<mode>major</mode>", "G3", "B flat major"),
        ("", "G3", "G minor"),
        ("", "Bb2", "B flat major"),
    ],
)
def test_the_key_is_named_by_its_mode_or_its_last_note(
    mode: str, last: str, name: str
) -> None:
    head = HEAD.replace("</key>", f"{mode}</key>") + BASS
    assert read(page(xml_note(last, 48), head=head)).key_name == name


def test_a_transposing_part_keeps_what_is_written_and_what_sounds() -> None:
    """Horn in F: sounds a fifth lower (common practice, no published source)."""
    transpose = (
        "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>"
    )
    part = read(page(xml_note("C5", 24) + xml_note("F#4", 24), head=HEAD + transpose))
    assert [str(note.written) for note in part.notes] == ["C5", "F#4"]
    assert spelled(part) == "F4 B3"
    assert part.transposition == -7


def test_a_part_an_octave_and_a_tone_lower_is_read_so() -> None:
    """Treble-clef euphonium (common practice, no published source)."""
    transpose = (
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
        "<octave-change>-1</octave-change></transpose>"
    )
    part = read(page(xml_note("C5", 48), head=HEAD + transpose))
    assert spelled(part) == "Bb3"
    assert part.transposition == -14


def test_tuplets_are_exact() -> None:
    triplet = (
        "<type>eighth</type><time-modification><actual-notes>3</actual-notes>"
        "<normal-notes>2</normal-notes></time-modification>"
    )
    notes = xml_note("C3", 4, more=triplet) * 3
    part = read(page(notes + xml_note("D3", 36)))
    assert lengths(part) == [Fraction(1, 3)] * 3 + [3]
    assert [note.tuplet for note in part.notes] == [(3, 2)] * 3 + [None]
    assert part.notes[1].beat == Fraction(4, 3)


def test_a_tie_is_one_note() -> None:
    tied = xml_note(
        "C3", 48, more='<tie type="start"/>', notations='<tied type="start"/>'
    )
    end = xml_note("C3", 12, more='<tie type="stop"/>', notations='<tied type="stop"/>')
    part = read(page(tied, end + xml_note("D3", 36)))
    assert lengths(part) == [5, 3]


def test_a_slur_joins_each_note_to_the_one_before() -> None:
    first = xml_note("C3", notations='<slur type="start" number="1"/>')
    last = xml_note("E3", notations='<slur type="stop" number="1"/>')
    part = read(page(first + xml_note("D3") + last + xml_note("F3")))
    assert [note.is_slurred for note in part.notes] == [False, True, True, False]


def test_a_slur_that_never_ends_joins_nothing() -> None:
    first = xml_note("C3", notations='<slur type="start" number="1"/>')
    part = read(page(first + xml_note("D3", 36)))
    assert [note.is_slurred for note in part.notes] == [False, False]


def test_articulations_breaths_fermatas_and_positions_are_kept() -> None:
    signs = (
        "<articulations><staccato/><strong-accent/><detached-legato/><breath-mark/>"
        "</articulations><technical><fingering>4</fingering><double-tongue/></technical>"
        "<ornaments><trill-mark/></ornaments><fermata/>"
    )
    caesura = "<articulations><caesura/></articulations>"
    part = read(page(xml_note("C3", 24, notations=signs) + xml_note(notations=caesura)))
    first, second = part.notes
    assert first.articulations == {
        *(
            "staccato",
            "strong-accent",
            "detached-legato",
            "double-tongue",
            "trill-mark",
        ),
    }
    assert first.breath_mark == "breath"
    assert first.has_fermata
    assert first.marked_position == "4"
    assert second.breath_mark == "caesura"
    assert second.articulations == frozenset()


def test_a_breath_mark_at_a_rest_belongs_to_the_note_before() -> None:
    rest = xml_note("", notations="<articulations><breath-mark/></articulations>")
    part = read(page(xml_note("C3", 36) + rest, rest + xml_note("C3", 36)))
    assert [note.breath_mark for note in part.notes] == ["breath", ""]


def test_a_hairpin_grows_to_the_dynamic_at_its_end() -> None:
    part = read(
        page(
            dynamic("p") + WEDGE_OPENS + WHOLE,
            xml_note("F3", 48) + WEDGE_CLOSES,
            dynamic("f") + WHOLE,
        )
    )
    loud = [(note.loud_start, note.loud_end) for note in part.notes]
    assert loud == [(-2, -0.5), (-0.5, 1), (1, 1)]
    assert [note.dynamic for note in part.notes] == ["p", "mp", "f"]


def test_a_hairpin_that_leads_nowhere_goes_one_step_and_is_kept() -> None:
    part = read(page(dynamic("mf") + WEDGE_OPENS + WHOLE + WEDGE_CLOSES, WHOLE))
    assert [(note.loud_start, note.loud_end) for note in part.notes] == [(0, 1), (1, 1)]


def test_a_hairpin_that_nothing_opens_is_passed_over() -> None:
    assert read(page(WHOLE + WEDGE_CLOSES)).notes[0].loud_end == 0


def test_crescendo_in_words_leads_to_the_next_dynamic() -> None:
    part = read(page(dynamic("p") + words("cresc.") + WHOLE, dynamic("f") + WHOLE))
    assert [(note.loud_start, note.loud_end) for note in part.notes] == [
        (-2, 1),
        (1, 1),
    ]
    part = read(page(dynamic("f") + words("dim.") + WHOLE, dynamic("p") + WHOLE))
    assert part.notes[0].loud_end == -2


def test_the_first_tempo_mark_is_the_goal_in_its_own_beat() -> None:
    assert read(page(metronome("96") + WHOLE)).tempo == Tempo(96, beats(1))
    compound = HEAD.replace("<beats>4<", "<beats>6<").replace("-type>4<", "-type>8<")
    long = xml_note("F3", 36)
    part = read(page(metronome("60", "quarter", 1) + long, head=compound + BASS))
    assert part.tempo == Tempo(60, beats("3/2"))
    part = read(page('<sound tempo="90"/>' + long, head=compound + BASS))
    assert part.tempo == Tempo(60, beats("3/2"))
    part = read(page(long, head=compound + BASS))
    assert part.tempo == Tempo(80, beats("3/2"))
    assert "No tempo mark" in " ".join(part.remarks)


@pytest.mark.parametrize("number", ["96-104", "c. 96", "96,5"])
def test_a_mark_with_more_than_a_number_gives_its_first_number(number: str) -> None:
    assert read(page(metronome(number) + WHOLE)).tempo.bpm == 96


def test_tempo_changes_words_and_returns_are_followed() -> None:
    part = read(
        page(
            metronome("100") + WHOLE,
            words("rit.") + WHOLE,
            words("a tempo") + WHOLE,
            words("Largo") + WHOLE,
            metronome("60", "half") + WHOLE,
        )
    )
    speeds = [
        part.tempo_map.quarters_per_minute_at(beats(k)) for k in (0, 7, 8, 12, 16)
    ]
    assert speeds == [100, 75, 100, 50, 120]


def test_equal_note_values_change_the_tempo() -> None:
    equal = direction(
        "<metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit>"
        "</metronome>"
    )
    part = read(page(metronome("100") + WHOLE, equal + WHOLE))
    assert part.tempo_map.quarters_per_minute_at(beats(4)) == 200


def test_metre_changes_and_written_groups_are_kept() -> None:
    seven = (
        "<attributes><time><beats>2+2+3</beats><beat-type>8</beat-type></time>"
        "</attributes>"
    )
    part = read(page(WHOLE, seven + xml_note("F3", 42), xml_note("F3", 42)))
    assert [str(bar.metre) for bar in part.bars] == ["4/4", "7/8", "7/8"]
    assert part.bars[1].metre.groups == (2, 2, 3)
    assert part.bars[2].length == Fraction(7, 2)


def test_beams_group_an_irregular_metre() -> None:
    seven = (
        "<attributes><time><beats>7</beats><beat-type>8</beat-type></time></attributes>"
    )
    beams = ("begin", "continue", "end", "begin", "end", "begin", "end")
    notes = [
        xml_note("F3", 6).replace("</note>", f'<beam number="1">{beam}</beam></note>')
        for beam in beams
    ]
    part = read(page(WHOLE, seven + "".join(notes)))
    assert [bar.metre.groups for bar in part.bars] == [(), (3, 2, 2)]


@pytest.mark.parametrize(
    ("length", "metre"),
    [(36, "3/4"), (42, "7/8"), (48, "4/4"), (33, "11/16"), (5, "4/4")],
)
def test_without_a_time_signature_a_bar_counts_what_is_in_it(
    length: int, metre: str
) -> None:
    head = re.sub("<time>.*</time>", "", HEAD) + BASS
    counted = read(page(xml_note("F3", length), head=head)).bars[0].metre
    assert (counted.figures, str(counted)) == (metre, "free")


def test_a_bar_between_metres_that_is_written_free_is_counted_as_it_is() -> None:
    free, common = (
        f"<attributes><time>{time}</time></attributes>"
        for time in (
            "<senza-misura/>",
            "<beats>4</beats><beat-type>4</beat-type>",
        )
    )
    part = read(page(WHOLE, free + xml_note("F3", 84), common + WHOLE, WHOLE))
    assert [str(bar.metre) for bar in part.bars] == ["4/4", "free", "4/4", "4/4"]
    assert part.bars[1].metre.figures == "7/4"
    assert "time signature" not in " ".join(part.remarks)


def test_a_mark_before_the_first_bar_line_of_the_file_is_kept() -> None:
    """music21 puts the tempo of an ABC tune without bar lines outside of its bars."""
    part = read("X:1\nM:4/4\nL:1/4\nQ:1/4=77\nK:C\nCDEF GABc\n")
    assert part.tempo == Tempo(77, beats(1))


def test_a_score_that_needs_another_instrument_later_is_read_with_both() -> None:
    """A change of transposition in the middle of a part."""
    change = (
        "<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
        "</transpose></attributes>"
    )
    part = read(page(WHOLE, change + WHOLE))
    assert spelled(part) == "F3 Eb3"


def test_a_pickup_is_bar_0_before_zero() -> None:
    part = read(page(xml_note("F3"), WHOLE, first=0))
    assert [note.bar for note in part.notes] == [0, 1]
    assert [note.beat for note in part.notes] == [4, 1]
    assert part.start == part.notes[0].onset == -1


def test_a_pickup_that_is_counted_is_told() -> None:
    part = read(page(xml_note("F3"), WHOLE, WHOLE))
    assert [bar.number for bar in part.bars] == [0, 1, 2]
    assert "1 less than on the page" in " ".join(part.remarks)


def test_repeats_and_endings_are_unfolded() -> None:
    part = read(
        page(
            REPEAT_OPENS + xml_note("C3", 48),
            opening(1) + xml_note("D3", 48) + closing(1),
            opening(2) + xml_note("E3", 48),
            xml_note("F3", 48),
        )
    )
    assert spelled(part) == "C3 D3 C3 E3 F3"
    assert [note.bar for note in part.notes] == [1, 2, 1, 3, 4]


def test_a_bracket_over_many_bars_holds_all_of_them() -> None:
    part = read(
        page(
            xml_note("C3", 48),
            opening(1) + xml_note("D3", 48),
            xml_note("E3", 48),
            xml_note("F3", 48) + closing(1),
            opening(2) + xml_note("G3", 48),
        )
    )
    assert spelled(part) == "C3 D3 E3 F3 C3 G3"


def test_da_capo_al_fine_and_dal_segno_al_coda_are_followed() -> None:
    part = read(
        page(
            xml_note("C3", 48),
            xml_note("D3", 48) + words("Fine"),
            xml_note("E3", 48) + words("D.C. al Fine"),
        )
    )
    assert spelled(part) == "C3 D3 E3 C3 D3"
    part = read(
        page(
            xml_note("C3", 48),
            direction("<segno/>") + xml_note("D3", 48) + words("To Coda"),
            xml_note("E3", 48) + words("D.S. al Coda"),
            direction("<coda/>") + xml_note("F3", 48),
        )
    )
    assert spelled(part) == "C3 D3 E3 D3 F3"


def test_of_two_coda_signs_the_first_leaves_and_the_second_is_where_to_go() -> None:
    part = read(
        page(
            xml_note("C3", 48) + direction("<coda/>"),
            xml_note("D3", 48) + words("D.C. al Coda"),
            direction("<coda/>") + xml_note("E3", 48),
        )
    )
    assert spelled(part) == "C3 D3 C3 E3"


def test_a_bar_that_a_repeat_sign_divides_keeps_its_beats() -> None:
    first = (
        f'<measure number="1"><attributes>{HEAD}{BASS}</attributes>{WHOLE}</measure>'
    )
    halves = (
        f'<measure number="2">{xml_note("C3", 36)}{REPEAT_CLOSES}</measure>'
        f'<measure number="X1" implicit="yes">{xml_note("D3")}</measure>'
        f'<measure number="3">{WHOLE}</measure>'
    )
    part = read(score(first + halves))
    assert [bar.number for bar in part.bars] == [1, 2, 1, 2, 2, 3]
    (half,) = [note for note in part.notes if str(note.written) == "D3"]
    assert half.bar == 2
    assert half.beat == 4


def test_grace_notes_take_their_time_as_the_page_says() -> None:
    """A slash takes from the note before, none (the default) from the main note."""
    part = read(page(xml_note("C3", 24) + grace("D3", "yes") + xml_note("E3", 24)))
    assert lengths(part) == [Fraction(15, 8), Fraction(1, 8), 2]
    assert [note.is_grace for note in part.notes] == [False, True, False]
    for slash in ("no", None):
        part = read(page(xml_note("C3", 24) + grace("D3", slash) + xml_note("E3", 24)))
        assert lengths(part) == [2, Fraction(1, 2), Fraction(3, 2)]


def test_rehearsal_marks_are_kept_and_made_plain() -> None:
    box = direction("<rehearsal>[b]A[/b]</rehearsal>")
    part = read(page(WHOLE, box + WHOLE))
    (mark,) = part.rehearsal_marks
    assert mark.at == 4
    assert mark.text == "(b)A(/b)"


def test_a_timewise_score_is_turned_around() -> None:
    timewise = (
        '<score-timewise version="4.0"><part-list><score-part id="A"><part-name>One'
        '</part-name></score-part><score-part id="B"><part-name>Two</part-name>'
        '</score-part></part-list><measure number="1"><part id="A"><attributes>'
        f'{HEAD}</attributes>{WHOLE}</part><part id="B"><attributes>{HEAD}'
        f'</attributes>{xml_note("G3", 48)}</part></measure><measure number="2">'
        f'<part id="A">{WHOLE}</part><part id="B">{xml_note("A3", 48)}</part></measure>'
        "</score-timewise>"
    )
    assert spelled(read(timewise)) == "F3 F3"
    assert spelled(read(timewise, part="Two")) == "G3 A3"


TWO = score(
    measures(metronome("72") + WHOLE, direction("<rehearsal>A</rehearsal>") + WHOLE),
    measures(xml_note("G3", 48), xml_note("A3", 48)),
    measures(xml_note("", 48), xml_note("", 48)),
    names=("Trumpet", "Bass Trombone", "Silence"),
)


def test_of_several_parts_the_first_is_taken_and_the_others_are_named() -> None:
    part = read(TWO)
    assert part.name == "Trumpet"
    assert "2 Bass Trombone" in part.remarks[0]


@pytest.mark.parametrize("wanted", ["2", "Bass Trombone", "bass", "trombone"])
def test_a_part_is_chosen_by_number_or_name(wanted: str) -> None:
    part = read(TWO, part=wanted)
    assert (part.name, spelled(part)) == ("Bass Trombone", "G3 A3")


def test_tempo_and_rehearsal_marks_above_the_first_part_hold_for_all() -> None:
    part = read(TWO, part="2")
    assert part.tempo == Tempo(72, beats(1))
    assert [mark.text for mark in part.rehearsal_marks] == ["A"]


@pytest.mark.parametrize("wanted", ["4", "0", "Viola", "e", "3", "", "\0"])
def test_a_part_that_is_not_there_is_refused_with_the_names(wanted: str) -> None:
    with pytest.raises(ScoreError, match="2 Bass Trombone"):
        read(TWO, part=wanted)


def test_a_later_voice_of_a_staff_can_be_chosen_and_plays_what_both_play() -> None:
    def in_voice(voice: int, *pitches: str) -> str:
        lasts, voiced = 48 // len(pitches), f"<voice>{voice}</voice>"
        return "".join(xml_note(pitch, lasts, more=voiced) for pitch in pitches)

    back = "<backup><duration>48</duration></backup>"
    trilled = xml_note(
        "F3",
        48,
        notations="<ornaments><trill-mark/></ornaments>",
        more="<voice>1</voice>",
    )
    two = score(
        measures(
            trilled + back + in_voice(2, "D3", "C3"),
            in_voice(1, "Bb3"),
            in_voice(1, "A3") + back + in_voice(2, ""),
            in_voice(1, "G3", "F3") + back + in_voice(2, "Eb3"),
        ),
        measures(in_voice(1, "F2"), in_voice(1, "Bb2"), in_voice(1, "F2")),
        names=("Trombones", "Tuba"),
    )
    first = read(two)
    assert spelled(first) == "F3 Bb3 A3 G3 F3"
    assert first.remarks[0] == (
        "The score has 3 parts; this is Trombones. Choose with --part: 1 Trombones, "
        "2 Tuba, 3 Trombones (voice 2)."
    )
    second = read(two, part="voice 2")
    assert second.name == "Trombones (voice 2)"
    assert spelled(second) == "D3 C3 Bb3 Eb3"
    assert [note.bar for note in second.notes] == [1, 1, 2, 4]
    assert second.left_out == (
        "Where this voice is not written, the first one is played: bar 2.",
    )
    assert read(two, part="2").name == "Tuba"


def test_notes_that_name_no_voice_lie_in_the_first() -> None:
    upper = "".join(xml_note(pitch, 24) for pitch in ("E4", "D4"))
    lower = xml_note("C3", 48, more="<voice>two</voice>")
    mixed = page(f"{upper}<backup><duration>48</duration></backup>{lower}")
    assert spelled(read(mixed)) == "E4 D4"
    assert spelled(read(mixed, part="2")) == "C3"


def test_of_very_many_voices_the_first_ones_can_be_chosen() -> None:
    """A file may name a voice for each note, and each would be looked for in all."""
    notes = "".join(xml_note("C3", 1, more=f"<voice>{k}</voice>") for k in range(48))
    with pytest.raises(ScoreError, match=r"has no part .*7 Trombone \(voice 7\), 8 Tr"):
        read(page(notes), part="9")


def test_each_staff_of_a_part_can_be_chosen() -> None:
    def on(staff: int, pitch: str) -> str:
        return xml_note(pitch, 48, more=f"<staff>{staff}</staff>")

    back = "<backup><duration>48</duration></backup>"
    piano = score(
        measures(
            on(1, "C5") + back + on(2, "C3"),
            head=HEAD.replace("</time>", "</time><staves>2</staves>"),
        ),
        names=("Piano",),
    )
    assert spelled(read(piano)) == "C5"
    assert spelled(read(piano, part="2")) == "C3"
    assert read(piano, part="2").name == "Piano (staff 2)"


def test_of_a_chord_the_top_note_is_taken_and_that_is_told() -> None:
    part = read(page(xml_note("C3", 48) + xml_note("E3", 48, more="<chord/>")))
    assert spelled(part) == "E3"
    assert "top notes" in " ".join(part.remarks)


def test_of_two_voices_the_first_is_taken_and_that_is_told() -> None:
    def voice(number: int, pitch: str) -> str:
        return xml_note(pitch, 48, more=f"<voice>{number}</voice>")

    back = "<backup><duration>48</duration></backup>"
    part = read(page(voice(1, "E3") + back + voice(2, "C3"), voice(1, "F3")))
    assert spelled(part) == "E3 F3"
    assert "first one is taken" in " ".join(part.remarks)
    # A voice that rests is no line: what sounds is taken.
    part = read(page(voice(1, "") + back + voice(2, "C3"), voice(1, "F3")))
    assert spelled(part) == "C3 F3"
    assert "voices" not in " ".join(part.remarks)


def test_cues_are_another_players_notes() -> None:
    cue = xml_note("C5", 24, more="<cue/>")
    small = xml_note("D5", 24, more="<cue/><chord/>")
    part = read(page(cue + small + xml_note("F3", 24)))
    assert spelled(part) == "F3"
    assert part.notes[0].onset == 2


def test_chord_symbols_and_percussion_are_no_notes() -> None:
    harmony = (
        "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"
    )
    drum = (
        "<note><unpitched><display-step>C</display-step><display-octave>4"
        "</display-octave></unpitched><duration>24</duration></note>"
    )
    part = read(page(harmony + drum + xml_note("F3", 24)))
    assert spelled(part) == "F3"


def test_quarter_tones_are_read_as_the_semitone_below() -> None:
    note = xml_note("C3", 48).replace("<alter>0<", "<alter>0.5<")
    assert spelled(read(page(note))) == "C3"


@pytest.mark.parametrize(
    ("heads", "title"),
    [
        ("<movement-title>Song</movement-title>", "Song"),
        ("<work><work-title>Six</work-title></work>", "Six"),
        (
            "<work><work-title>Six</work-title></work>"
            "<movement-title>No. 2</movement-title>",
            "Six: No. 2",
        ),
        (
            "<credit><credit-type>title</credit-type><credit-words>On top"
            "</credit-words></credit>",
            "On top",
        ),
        ("<movement-title>&#x9b;31m&lt;b&gt;[red]Song</movement-title>", "(red)Song"),
        ("", ""),
    ],
)
def test_the_title_is_found_and_made_plain(heads: str, title: str) -> None:
    content = page(WHOLE).replace("<part-list>", f"{heads}<part-list>")
    assert read(content).title == title


# MIDI (Standard MIDI Files 1.0).


def tempo_of(bpm: float) -> mido.MetaMessage:
    return mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(bpm))


def test_a_midi_file_is_read_on_its_grid() -> None:
    notes = keys((48, 240), (50, 120), (52, 120), (53, 160), (55, 160), (57, 160))
    part = read(midi_file([tempo_of(90), *notes]))
    assert spelled(part) == "C3 D3 E3 F3 G3 A3"
    thirds, quarters = Fraction(1, 3), Fraction(1, 4)
    assert lengths(part) == [Fraction(1, 2), *[quarters] * 2, *[thirds] * 3]
    assert part.tempo == Tempo(90, beats(1))


def test_fine_midi_notes_keep_their_length() -> None:
    part = read(midi_file([*keys(*[(48 + k % 5, 60) for k in range(16)])]))
    assert lengths(part) == [Fraction(1, 8)] * 16


def test_short_gaps_between_midi_notes_are_no_rests() -> None:
    part = read(midi_file(keys(*[(48 + k, 480) for k in range(8)], gap=20)))
    assert lengths(part) == [1] * 8


def test_a_freely_played_midi_file_is_rounded_and_says_so() -> None:
    loose = [
        (48, 463),
        (50, 501),
        (52, 470),
        (53, 498),
        (55, 481),
        (57, 449),
        (59, 502),
    ]
    part = read(midi_file(keys(*loose)))
    assert [note.onset for note in part.notes] == list(range(7))
    assert "free MIDI recording" in " ".join(part.remarks)


def test_a_midi_file_without_a_tempo_has_the_tempo_of_the_standard() -> None:
    part = read(midi_file(keys((48, 480))))
    assert part.tempo.quarters_per_minute == 120
    assert "120" in " ".join(part.remarks)


def test_midi_tracks_are_parts_and_share_tempo_and_metre() -> None:
    conductor = [
        tempo_of(72),
        mido.MetaMessage("time_signature", numerator=3, denominator=4),
    ]
    high = [mido.MetaMessage("track_name", name="High"), *keys((72, 1440))]
    low = [mido.MetaMessage("track_name", name="Low"), *keys((48, 1440), (50, 1440))]
    part = read(midi_file(conductor, high, low), part="Low")
    assert spelled(part) == "C3 D3"
    assert part.tempo == Tempo(72, beats(1))
    assert str(part.bars[0].metre) == "3/4"


def signature(count: int, ticks: int = 0) -> mido.MetaMessage:
    return mido.MetaMessage(
        "time_signature", numerator=count, denominator=4, time=ticks
    )


def test_a_short_first_bar_of_its_own_metre_is_a_midi_files_pickup() -> None:
    quarters = keys(*[(48 + k, 480) for k in range(9)])
    part = read(midi_file([signature(1), signature(4, 480)], quarters))
    assert [bar.number for bar in part.bars] == [0, 1, 2]
    assert {str(bar.metre) for bar in part.bars} == {"4/4"}
    assert [part.bars[0].onset, part.bars[0].first_beat] == [-1, 4]
    assert [note.bar for note in part.notes[:2]] == [0, 1]
    assert [note.beat for note in part.notes[:2]] == [4, 1]
    assert "The first bar, of 1/4, is taken as a pickup, bar 0." in part.remarks


@pytest.mark.parametrize(
    "track",
    [
        [signature(4)],
        [signature(2), signature(4, 4 * 480)],
        [signature(5), signature(4, 5 * 480)],
    ],
)
def test_a_midi_metre_that_lasts_or_a_longer_first_bar_is_no_pickup(
    track: list[mido.MetaMessage],
) -> None:
    part = read(midi_file(track, keys(*[(48 + k, 480) for k in range(12)])))
    assert part.bars[0].number == 1
    assert not any("pickup" in remark for remark in part.remarks)


def test_a_midi_files_clef_is_told_to_be_guessed() -> None:
    part = read(midi_file(keys((48, 480), (50, 480))))
    assert "The file has no clef: the bass clef is a guess." in part.remarks


def test_a_midi_file_without_a_key_says_so_and_one_with_its_key_does_not() -> None:
    notes = keys((48, 480), (54, 480))
    no_key = "The MIDI file gives no key: each note is spelled as if there were none."
    assert no_key in read(midi_file(notes)).remarks
    for name in ("C", "Bb"):
        part = read(midi_file([mido.MetaMessage("key_signature", key=name), *notes]))
        assert part.key_name
        assert no_key not in part.remarks


# ABC, kern, MEI: the same study.


def test_abc_keeps_its_signs() -> None:
    part = read(ABC)
    assert part.title == "Abc study"
    assert part.tempo == Tempo(96, beats(1))
    assert part.key_name == "B flat major"
    assert [bar.number for bar in part.bars] == [0, 1, 2, 3, 1, 2, 4, 5]
    first = at_bar(part, 1)
    assert [note.is_slurred for note in first[:5]] == [False, False, True, False, False]
    assert first[3].articulations == {"staccato"}
    second = at_bar(part, 2)[:3]
    assert [note.is_grace for note in second] == [False, True, False]
    assert second[1].length == Fraction(1, 2)  # no slash: leaned on
    assert second[0].loud_end == 1
    assert second[2].breath_mark == "breath"
    assert at_bar(part, 3)[0].has_fermata
    last = at_bar(part, 4)
    assert last[0].is_grace
    assert last[0].length == Fraction(1, 8)  # with a slash: quick
    assert [note.tuplet for note in last[2:5]] == [(3, 2)] * 3
    assert last[5].articulations == {"accent"}
    assert at_bar(part, 5)[0].marked_position == "4"


def test_a_book_of_abc_tunes_lists_them_as_parts() -> None:
    book = "%abc\nM:3/4\n\nX:1\nT:First\nK:C\nCDE|\n\nX:7\nT:Second\nK:F\nF3|G3|\n"
    assert read(book).title == "First"
    assert "2 Second" in read(book).remarks[0]
    second = read(book, part="2")
    assert (second.title, second.key_name) == ("Second", "F major")
    assert str(second.bars[0].metre) == "3/4"


def test_abc_without_bar_lines_is_put_into_bars() -> None:
    part = read("X:1\nT:x\nM:4/4\nL:1/4\nK:C\nCDEFGABc\n")
    assert [bar.number for bar in part.bars] == [1, 2]


def test_kern_keeps_its_signs() -> None:
    part = read(KERN)
    assert part.title == "Kern study"
    assert part.tempo == Tempo(96, beats(1))
    assert [bar.number for bar in part.bars] == [0, 1, 2, 1, 2, 3]
    first = at_bar(part, 1)
    assert [note.is_slurred for note in first[:5]] == [False, True, True, False, False]
    assert [note.loud_start for note in first[:4]] == [0, 0.5, 1, 1]
    assert first[3].articulations == {"staccato"}
    assert first[4].articulations == {"accent"}
    second = at_bar(part, 2)
    assert second[0].breath_mark == "breath"
    assert second[1].is_grace
    last = at_bar(part, 3)
    assert last[0].has_fermata
    assert last[0].dynamic == "p"
    assert [note.tuplet for note in last] == [None, (3, 2), (3, 2)]


def test_mei_keeps_its_signs_and_its_endings() -> None:
    part = read(MEI)
    assert (part.title, part.name) == ("Mei study", "Trombone")
    assert part.tempo == Tempo(96, beats(1))
    assert [bar.number for bar in part.bars] == [0, 1, 2, 1, 3]
    assert [mark.text for mark in part.rehearsal_marks] == ["B"]
    first = at_bar(part, 1)
    assert [note.is_slurred for note in first[:3]] == [False, True, False]
    assert first[0].dynamic == "p"
    assert first[2].loud_start == pytest.approx(-1.5)
    assert first[1].breath_mark == "breath"
    assert first[1].articulations == {"staccato"}
    assert first[2].length == Fraction(23, 8)  # tied over, less a quick grace note
    assert at_bar(part, 2)[-1].has_fermata
    last = at_bar(part, 3)
    assert [note.tuplet for note in last] == [(3, 2)] * 3 + [None]
    assert last[3].dynamic == "ff"
    assert (last[3].breath_mark, last[3].marked_position) == ("caesura", "1")


@pytest.mark.parametrize("content", [KERN, ABC, MEI], ids=["kern", "abc", "mei"])
def test_every_format_gives_one_line_in_order(content: str) -> None:
    part: Part = read(content)
    ends = [note.end for note in part.notes]
    assert all(a <= note.onset for a, note in zip(ends, part.notes[1:], strict=False))
    assert all(note.length > 0 for note in part.notes)
    assert part.notes[-1].end <= part.end


def test_an_abc_file_that_cannot_be_read_names_line_column_and_bar() -> None:
    with pytest.raises(ScoreError) as refused:
        read("X:1\nT:x\nM:4/4\nL:1/4\nK:C\nCDEF|G#ABc|d#|\n", name="my.abc")
    assert str(refused.value) == (
        "“my.abc” cannot be read in line 6, column 7 (bar 2): “G#” has its accidental "
        "behind the note (and 1 more). Write it before: ^G."
    )


def test_the_voices_of_one_tune_are_its_parts() -> None:
    tune = "X:1\nM:4/4\nL:1/1\nV:1 name=High\nV:2 name=Low\nK:C\n[V:1]c|[V:2]C,|\n"
    assert spelled(read(tune)) == "C5"
    assert spelled(read(tune, part="Low")) == "C3"
    book = tune + "\nX:2\nT:Two\nK:C\nC8|\n\nX:3\nT:Three\nK:C\n"
    assert "2 voices; this is the first one" in " ".join(read(book).remarks)
    assert spelled(read(book, part="2")) == "C4"
