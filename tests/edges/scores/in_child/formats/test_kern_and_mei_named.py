"""Kern and MEI: every sign is played, or a sentence with its bar says what is not.

Kern's signs are those of Huron 1995, The Humdrum Toolkit: Reference Manual; MEI's
elements those of the MEI Guidelines, version 5.
"""

from __future__ import annotations

import mido
import pytest

from coach.errors import ScoreError
from tests.benchmarks.bad_files import mei, mei_bar
from tests.edges.scores.score_samples import keys, midi_file, read
from tests.score.page_samples import told

G = "2: G3*4"


def kern(row: str) -> str:
    return f"**kern\n*clefF4\n*M4/4\n=1\n{row}\n=2\n1G\n==\n*-\n"


@pytest.mark.parametrize(
    ("row", "played", "sentence"),
    [
        ("1ct", f"1: C4*4 | {G}", "A trill counts as one long note: bar 1."),
        ("1cT", f"1: C4*4 | {G}", "A trill counts as one long note: bar 1."),
        ("1cM", f"1: C4*4 | {G}", "An ornament counts as its main note: bar 1."),
        ("1cS", f"1: C4*4 | {G}", "An ornament counts as its main note: bar 1."),
        ("2cH\n2eh", f"1: C4*2 E4*2 | {G}", "To guide and ear a glissando is its two"),
        ("1c: 1e:", f"1: E4*4 | {G}", "An arpeggio counts as its top note: bar 1."),
        ("1co", f"1: C4*4 | {G}", "A harmonic counts as its plain note: bar 1."),
        ("@16@1c", f"1: C4*4 | {G}", "A tremolo counts as one long note: bar 1."),
        ("2c\n2r;", f"1: C4*2 z*2 | {G}", "A fermata on a rest or bar line"),
        ("1RR", f"1: z*4 | {G}", "The percussion notes are left out: bar 1."),
        ("*clefX\n1c", f"1: C4*4 | {G}", "The part is for percussion"),
        ("*>[A,A,B]\n*>A\n1c", f"1: C4*4 | {G}", "The order of sections is left"),
    ],
)
def test_kern_signs_are_played_or_named(row: str, played: str, sentence: str) -> None:
    part = read(kern(row))
    assert told(part) == played
    assert [text for text in part.left_out if text.startswith(sentence)]


def test_kern_signs_are_named_in_their_bars_after_a_pickup() -> None:
    score = "**kern\n*M4/4\n4ct\n=1\n1c\n=2\n1dt\n==\n*-\n"
    assert "A trill counts as one long note: bars 0, 2." in read(score).left_out


def test_kern_chord_symbols_beside_the_notes_are_named() -> None:
    score = "**kern\t**harm\n=1\t=1\n1c\tI\n==\t==\n*-\t*-\n"
    assert read(score).left_out == ("The chord symbols are left out: bar 1.",)


EIGHTHS = [f'<note pname="{name}" oct="3" dur="8"/>' for name in "cdefgab"]
BEAMED = "".join(
    f"<beam>{''.join(EIGHTHS[first:end])}</beam>"
    for first, end in ((0, 3), (3, 5), (5, 7))
)


@pytest.mark.parametrize(
    "score",
    [
        "**kern\n*M7/8\n=1\n8CL\n8D\n8EJ\n8FL\n8GJ\n8AL\n8BJ\n==\n*-\n",
        mei(mei_bar(BEAMED), defs='meter.count="7" meter.unit="8"'),
    ],
)
def test_beams_group_an_irregular_metre(score: str) -> None:
    assert [bar.metre.groups for bar in read(score).bars] == [(3, 2, 2)]


@pytest.mark.parametrize("word", ["!LO:TX:a:t=D.C. al Fine", "*dacapo"])
def test_kern_words_lead_through_the_page(word: str) -> None:
    score = f"**kern\n*M4/4\n=1\n1c\n*fine\n=2\n1d\n{word}\n==\n*-\n"
    assert told(read(score)) == "1: C4*4 | 2: D4*4 | 1: C4*4"


@pytest.mark.parametrize("token", ["1h", "c", "4", "x", "1c z"])
def test_what_is_no_kern_note_is_refused_with_its_line(token: str) -> None:
    with pytest.raises(ScoreError, match=r"in line 5, which is no kern note"):
        read(kern(token))


def note(dur: int = 1, **signs: str) -> str:
    more = " ".join(f'{name}="{sign}"' for name, sign in signs.items())
    return f'<note xml:id="n" pname="c" oct="3" dur="{dur}" {more}/>'


def page(layer: str, signs: str = "") -> bytes:
    bar = mei_bar(layer).replace("</measure>", f"{signs}</measure>")
    return mei(bar + mei_bar('<note pname="g" oct="3" dur="1"/>').replace("1", "2", 1))


GRACE = '<note pname="c" oct="3" dur="8"/>'
STEM_SLASHED = note().replace("/>", ' stem.mod="3slash"/>')
CROSSED = note().replace("/>", ' head.shape="x"/>')
PLAIN = f"1: C3*4 | {G}"


@pytest.mark.parametrize(
    ("layer", "played"),
    [
        (f"<bTrem>{note()}</bTrem>", PLAIN),
        (f"<fTrem>{note()}{note()}</fTrem>", PLAIN),
        (f"<supplied>{note()}</supplied>", PLAIN),
        (f"<ligature><unclear>{note()}</unclear></ligature>", PLAIN),
        (f"<app><lem>{note()}</lem><rdg>{note(2)}</rdg></app>", PLAIN),
        (f"<app><rdg>{note()}</rdg><rdg>{note(2)}</rdg></app>", PLAIN),
        (f"<choice><sic>{note(2)}</sic><corr>{note()}</corr></choice>", PLAIN),
        (f"<graceGrp>{GRACE}</graceGrp>{note()}", f"1: C3*1/2 C3*7/2 | {G}"),
        (note(2) + note(2, cue="true", dots="0"), f"1: C3*2 z*2 | {G}"),
        (note(accid="1qs"), PLAIN),
        (
            '<note pname="c" oct="3" dur="1"><accid accid="1qf"/></note>',
            f"1: Cb3*4 | {G}",
        ),
        ('<note pname="c" oct="3" oct.ges="4" dur="1"/>', f"1: C4*4 | {G}"),
    ],
)
def test_what_mei_wraps_notes_in_is_laid_open(layer: str, played: str) -> None:
    assert told(read(page(layer))) == played


@pytest.mark.parametrize(
    ("layer", "signs", "sentence"),
    [
        (note(), '<trill startid="#n"/>', "A trill counts as one long note: bar 1."),
        (
            note(),
            '<ornam startid="#n"/>',
            "An ornament counts as its main note: bar 1.",
        ),
        (
            note(),
            '<gliss startid="#n"/>',
            "To guide and ear a glissando is its two ends",
        ),
        (note(), '<bend startid="#n"/>', "A bend, scoop or fall counts as its plain"),
        (note(), '<arpeg startid="#n"/>', "An arpeggio counts as its top note: bar 1."),
        (note(), '<pedal startid="#n"/>', "The pedal marks are left out: bar 1."),
        (
            note(),
            '<harm tstamp="1">C7</harm>',
            "The chord symbols are left out: bar 1.",
        ),
        (
            note(),
            '<octave startid="#n"/>',
            "Notes under an octave line are shown where",
        ),
        ("<rest dur='2'/>" + note(2), '<fermata tstamp="1"/>', "A fermata on a rest"),
        (note(), '<fermata tstamp="4"/>', "A fermata on a rest or bar line"),
        (note(2) + "<halfmRpt/>", "", "Signs that repeat a beat or several bars are"),
        (f"<bTrem>{note()}</bTrem>", "", "A tremolo counts as one long note: bar 1."),
        (
            STEM_SLASHED,
            "",
            "A tremolo counts as one long note: bar 1.",
        ),
        (CROSSED, "", "Notes with special noteheads are played as"),
        (note(artic="harm"), "", "A harmonic counts as its plain note: bar 1."),
        (
            note(accid="3qs"),
            "",
            "A quarter tone is moved to the semitone below: bar 1.",
        ),
        (note(2) + note(2, cue="true"), "", "The cue notes are left out: bar 1."),
        ('<clef shape="perc"/>' + note(), "", "The part is for percussion"),
    ],
)
def test_mei_signs_are_named(layer: str, signs: str, sentence: str) -> None:
    left_out = read(page(layer, signs)).left_out
    assert [text for text in left_out if text.startswith(sentence)], left_out


def test_a_fermata_of_mei_at_a_note_is_held_and_not_named() -> None:
    part = read(page(note(), '<fermata tstamp="1"/>'))
    assert part.notes[0].has_fermata
    assert part.left_out == ()


@pytest.mark.parametrize(
    "sign", ['<dir tstamp="4">D.C.</dir>', '<repeatMark func="daCapo" tstamp="4"/>']
)
def test_mei_words_lead_through_the_page(sign: str) -> None:
    assert told(read(page(note(), sign))) == f"1: C3*4 | 1: C3*4 | {G}"


def test_mei_directions_may_be_a_tempo() -> None:
    part = read(page(note(), '<dir tstamp="1">Allegro</dir>'))
    assert [text for text in part.remarks if "“Allegro” has no number" in text]


def test_an_ending_of_mei_without_a_number_is_played() -> None:
    bars = [mei_bar(note()).replace("1", str(k), 1) for k in (1, 2, 3)]
    closing = bars[1].replace("<measure", '<measure right="rptend"')
    score = mei(
        f'{bars[0]}<ending n="">{closing}</ending><ending n="2">{bars[2]}</ending>'
    )
    assert told(read(score)) == "1: C3*4 | 2: C3*4 | 1: C3*4 | 3: C3*4"


def test_midi_says_what_it_cannot_hold_and_what_is_bent() -> None:
    plain, bent = keys((48, 480)), mido.Message("pitchwheel", pitch=3000)
    straight = mido.Message("pitchwheel", pitch=0)
    without = read(midi_file([straight, *plain]))
    assert without.left_out == (
        "A MIDI file has no slurs, dynamics, breaths and repeat signs: what is "
        "repeated is written out.",
    )
    bend = "A bend, scoop or fall counts as its plain note."
    assert bend not in without.remarks
    assert bend in read(midi_file([bent, *plain])).remarks


def test_midi_notes_are_spelled_by_the_key_signature() -> None:
    key = mido.MetaMessage("key_signature", key="Ebm")
    part = read(midi_file([key, *keys((51, 480), (54, 480), (58, 480), (59, 480))]))
    assert told(part) == "1: Eb3 Gb3 Bb3 Cb4"


def test_midi_notes_without_an_end_or_a_length_are_named() -> None:
    stuck = mido.Message("note_on", note=48, velocity=80)
    ended = [*keys((50, 480)), mido.Message("note_off", note=48, time=0)]
    text = "Notes that never end, or end where they begin, are left out."
    assert text in read(midi_file([stuck, *keys((50, 480))])).remarks
    assert text not in read(midi_file([*keys((50, 480))])).remarks
    assert text not in read(midi_file([stuck, *ended])).remarks
