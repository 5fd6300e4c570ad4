"""Signs, words and fields of ABC that change how a tune is played, not which notes."""

from __future__ import annotations

import pytest

from coach.score.abc.abc_lines import split_tunes
from coach.score.abc.abc_text import abc_words
from coach.score.loudness import Dynamic, Hairpin
from coach.score.tempo import Tempo, beats
from tests.score.abc.abc_samples import HEAD, body, page_of, part_of, reading


def test_decorations_belong_to_the_note_that_follows() -> None:
    """Section 4.14."""
    part = body("!p!C !accent!D !3!E HF | LG TA !wedge!B !>!c % !f!c")
    assert [sorted(note.articulations) for note in part.notes] == [
        *([], ["accent"], [], [], ["accent"], ["trill-mark"]),
        *(["staccatissimo"], ["accent"]),
    ]
    assert part.notes[0].dynamic == "p"
    assert part.notes[2].marked_position == "3"
    assert [note.has_fermata for note in part.notes[2:5]] == [False, True, False]


def test_signs_inside_a_chord_belong_to_it() -> None:
    page = page_of(HEAD + '[!3!C"x".E]4|\n')
    (note,) = page.bars[0].notes
    assert note.marked_position == "3"
    assert note.articulations == {"staccato"}


def test_a_breath_stands_behind_its_note_or_at_a_rest() -> None:
    part = body("!breath!C D !breath!z E|!caesura!F4|")
    assert [note.breath_mark for note in part.notes] == [
        *("breath", "breath", "", "caesura")
    ]
    assert body("!breath!zC3|").notes[0].breath_mark == ""


@pytest.mark.parametrize(
    ("music", "behind"),
    [
        ("C2 !breath! D2|", 0),
        ("C2 !breath!D2|", 1),
        ("C2!breath! D2|", 0),
        ("C2!breath!(DE)|", 1),
        ("C2 !breath! !f!D2|", 0),
        ("!breath! C2 D2|", 0),
        ("C2 D2!breath!|E4|", 1),
        ("C2 D2 !breath! |1 E4|", 1),
    ],
)
def test_a_breath_with_space_behind_it_is_the_note_s_before(
    music: str, behind: int
) -> None:
    marked = [k for k, note in enumerate(body(music).notes) if note.breath_mark]
    assert marked == [behind]


def test_a_fermata_on_a_rest_is_named_as_left_out() -> None:
    page = page_of(HEAD + "C2 !fermata!z2|\n")
    assert page.left_out == ("Left out: a fermata on a rest (line 7).",)
    assert page_of(HEAD + "!fermata!z2 C2|\n").left_out == ()


def test_signs_without_use_are_named_as_left_out() -> None:
    page = page_of(HEAD + '"Am"C2 ~D2|uE2 !trill(!F2|\n')
    (remark,) = page.left_out
    assert remark.startswith("Left out: chord symbols (line 7), !roll! (line 7)")


def test_dynamics_and_hairpins_have_their_places() -> None:
    page = page_of(HEAD + "!mf!C !<(!D E !<)!F|!f!z4|!>(!C2 !>)!!pp!D2|\n")
    assert page.dynamics == (
        Dynamic(beats(0), "mf"),
        Dynamic(beats(4), "f"),
        Dynamic(beats(10), "pp"),
    )
    assert page.hairpins == (
        Hairpin(beats(1), beats(3), 1),
        Hairpin(beats(8), beats(10), -1),
    )


def test_a_hairpin_of_no_length_is_none() -> None:
    assert page_of(HEAD + "!<(!!<)!C4|\n").hairpins == ()


def test_words_let_the_music_grow_and_slow_down() -> None:
    """Section 4.19."""
    page = page_of(HEAD + '"_cresc."C4|"^rit."D4|\n')
    assert page.hairpins == (Hairpin(beats(0), None, 1),)
    assert [mark.words for mark in page.speeds] == ["", "cresc.", "rit."]


@pytest.mark.parametrize(
    ("field", "bpm", "beat"),
    [
        ("1/4=96", 96, 1),
        ("3/8=50", 50, "3/2"),
        ('"Allegro" 1/2=60', 60, 2),
        ('1/4=88 "Andante"', 88, 1),
        ('"Allegro"', 126, 1),
        ("1/8 1/4=60", 60, "3/2"),
        ("120", 120, 1),
        ("C=100", 100, 1),
        ("C2=40", 40, 2),
        ("", 80, 1),
    ],
)
def test_tempo_is_a_number_a_word_or_both(
    field: str, bpm: float, beat: str | int
) -> None:
    """Sections 3.1.8 and 10.1."""
    part = part_of(f"X:1\nM:4/4\nL:1/4\nQ:{field}\nK:C\nC4|\n")
    assert part.tempo == Tempo(bpm, beats(beat))


def test_tempo_changes_in_a_line_hold_from_there() -> None:
    page = page_of(HEAD + "C4|[Q:1/4=90]D4|\nQ:1/2=30\nE4|\n")
    assert [mark.at for mark in page.speeds] == [0, 4, 8]
    assert [mark.quarters_per_minute for mark in page.speeds] == [60, 90, 60]


def test_tempo_of_another_voice_holds_for_all() -> None:
    tune = HEAD + 'V:1\nC4|D4|\nV:2\nE4|[Q:1/4=90]"^dolce"F4|\n'
    assert [mark.at for mark in page_of(tune).speeds] == [0, 4]


def test_a_tempo_of_no_length_makes_no_sense() -> None:
    assert "no tempo" in reading("X:1\nQ:0/4=60\nK:C\nC|\n").faults[0].what


def test_parts_are_named_as_rehearsal_marks() -> None:
    page = page_of("X:1\nM:4/4\nL:1/4\nP:AB\nK:C\nP:A\nC4|\nP:B\nD4|\nP:C\n")
    assert [box.at for box in page.boxes] == [0, 4, 8]
    assert [box.text for box in page.boxes] == ["A", "B", "C"]


def test_key_clef_and_transposition_are_kept() -> None:
    page = page_of("X:1\nM:4/4\nL:1/4\nK:Eb clef=tenor transpose=-2\nC4|\n")
    assert page.key_name == "E flat major"
    assert page.transposition == -2
    assert [(bar.fifths, bar.clef) for bar in page.bars] == [(-3, "tenor")]


@pytest.mark.parametrize(
    ("field", "name", "fifths"),
    [
        ("K:C", "C major", 0),
        ("K:F#m", "F sharp minor", 3),
        ("K:D mixolydian", "D mixolydian", 1),
        ("K:ELyd", "E lydian", 5),
        ("K:Bb exp _e", "", -1),
        ("K:D =c ^g", "D major", 2),
        ("K:G clef=bass", "G major", 1),
        ("K:Gclef=bass", "G major", 1),
        ("K:F bass", "F major", -1),
        ("K:Bb  bass3 octave=-1", "B flat major", -2),
        ("K:A alto", "A major", 3),
        ("K:F octave=-1", "F major", -1),
        ("K:F# none", "F sharp major", 6),
        ("K:G ^c bass", "G major", 2),
        ("K:", "", 0),
    ],
)
def test_keys_have_their_names(field: str, name: str, fifths: int) -> None:
    """Section 3.1.14."""
    page = page_of(f"X:1\nM:4/4\nL:1/4\n{field}\nC4|\n")
    assert (page.key_name, page.bars[0].fifths) == (name, fifths)


@pytest.mark.parametrize(
    ("words", "clef"),
    [
        ("treble", "treble"),
        ("clef=bass", "bass"),
        ('clef="tenor"', "tenor"),
        ("C3", "alto"),
        ("bass3", "F3"),
        ("clef=G", "treble"),
        ("treble-8", "treble-8"),
        ("treble -8va", "treble-8"),
        ("none", "treble"),
        ("bass middle=D, stafflines=5", "bass"),
    ],
)
def test_clefs_have_their_names(words: str, clef: str) -> None:
    """Section 4.6."""
    assert page_of(f"X:1\nM:4/4\nL:1/4\nK:C {words}\nC4|\n").bars[0].clef == clef


def test_voices_have_their_names_and_staves() -> None:
    """Section 7.1."""
    tune = (
        'X:1\nM:4/4\nL:1/4\nV:1 clef=bass name="Low Brass" up\nV:2 nm=Horn\nK:C\n'
        "[V:1]C4|[V:2]D4|[V:3]E4|[V:1 clef=tenor]F4|\n"
    )
    names = [page.name for page in reading(tune).pages]
    assert names == ["Low Brass", "Horn", "Voice 3"]
    assert [bar.clef for bar in page_of(tune).bars] == ["bass", "tenor"]


def test_accidentals_may_change_their_reach_in_the_middle() -> None:
    part = body("^F f F2|\n%%propagate-accidentals octave\n^F f F2|")
    assert str(part.notes[1].sounding) == "F#5"
    assert str(part.notes[4].sounding) == "F5"


def test_playback_directives_that_change_the_notes_are_named() -> None:
    page = page_of(HEAD + "%%MIDI transpose -2\n%%MIDI program 57\nC4|\n")
    assert page.left_out == ("Left out: %%MIDI transpose (line 7).",)


def test_letters_may_lose_or_change_their_meaning() -> None:
    """Section 4.16."""
    tune = HEAD.replace("K:C", 'U:T=!nil!\nU:W=+accent+\nU:n="^rit."\nK:C')
    part = part_of(tune + "TC4|WD4|nE4|\n")
    assert [sorted(note.articulations) for note in part.notes] == [[], ["accent"], []]
    assert "rit." in part.remarks[0]


def test_capital_words_of_other_programs_are_known() -> None:
    assert body("C4|!Fine!D4|!D.C.ALFINE!E4|").bars[-1].number == 2


def test_chords_and_overlays_are_remarked() -> None:
    page = page_of(HEAD + "[CE]4|C4&E4|\n")
    assert page.left_out == (
        "Several voices are written; the first one is taken.",
        "Chords are written; their top notes are taken.",
    )


def test_small_notes_at_the_end_belong_to_the_last_note() -> None:
    part = body("C4|D4|{E}")
    assert [note.is_grace for note in part.notes] == [False, False, True]
    assert part.notes[-1].end == part.end


def test_small_notes_of_no_length_or_pitch_are_refused() -> None:
    assert "no length" in reading(HEAD + "{D0}C4|\n").faults[0].what
    assert "no accidental" in reading(HEAD + "{^_D}C4|\n").faults[0].what


def test_many_slips_are_counted() -> None:
    page = page_of(HEAD + "CDE|" * 12 + "\n")
    assert page.remarks[-1].startswith("And ")


def test_a_page_of_nonsense_stops_at_twenty_faults() -> None:
    assert len(reading(HEAD + "@@@@@@@@@@@@@@@@@@@@@@@@@@@@@@\nCDEF|\n").faults) == 20


def test_a_tune_without_bars_has_no_page() -> None:
    assert reading("X:1\nT:Only words\nK:C\n").pages == ()


def test_a_part_may_be_written_twice_and_empty() -> None:
    tune = "X:1\nM:4/4\nL:1/1\nP:AAB\nK:C\nP:A\nC|\nP:B\nP:A\nD|\n"
    assert [bar.number for bar in part_of(tune).bars] == [1, 1]


def test_a_word_before_the_first_bar_waits_for_it() -> None:
    part = body("!fine!|C4|D4!D.C.!|]")
    assert [bar.number for bar in part.bars] == [1, 2, 1]


def test_a_metre_in_the_middle_of_a_bar_holds_from_the_next_one() -> None:
    assert [str(b.metre) for b in body("C2[M:3/4]D2|E3|").bars] == ["4/4", "3/4"]


def test_a_tune_has_its_title_and_lines() -> None:
    tunes = split_tunes(
        "\ufeffM:3/4\nw:x\nfree text\n\nX:1\nT:One\nK:C\nC\n\nfree text\n\n"
        "X:2\r\nT:Two\nK:C\nDE\n"
    )
    assert [(tune.title, tune.note_count) for tune in tunes] == [("One", 1), ("Two", 2)]
    assert all("M:3/4" in [line.text for line in tune.lines] for tune in tunes)
    assert not any("w:x" in [line.text for line in tune.lines] for tune in tunes)
    assert tunes[0].lost is None
    (alone,) = split_tunes("\n\nK:C\nCDE\n")
    assert (alone.title, alone.note_count) == ("", 3)
    assert split_tunes("")[0].lines == ()


def test_words_are_written_out() -> None:
    """Section 8.2."""
    assert abc_words(r"\'e\`a\^o\~n\"u\cc\vs\ub\Ho\=a\;a\.z") == "éàôñüçšb̆őāąż"
    assert abc_words(r"\ss\ae\/o\aa\% \\ \u00df &eacute;") == "ßæøå% \\ ß é"


def test_faults_in_macros_stand_where_the_macro_is_called() -> None:
    """Section 9."""
    found = reading(HEAD.replace("K:C", "m:~C=@D\nK:C") + "C2 ~C D|\n").faults
    assert (found[0].spot.line, found[0].spot.column) == (8, 4)
    assert found[0].where == "line 8, column 4 (bar 1)"
    assert reading("X:1\nQ:x\nK:C\nC|\n").faults[0].where == "line 2, column 1"


def test_slips_without_end_are_not_all_noted_down() -> None:
    assert len(reading(HEAD + "C4|" + "-" * 300 + "\n").doubts) == 200


def test_trills_and_ornaments_say_how_they_are_counted() -> None:
    page = page_of(HEAD + "!trill!C2 D2|!turn!E2 MF2|!mordent!C2 TD2|\n")
    assert page.left_out == (
        "A trill counts as one long note: bars 1, 3.",
        "An ornament counts as its main note: bars 2 to 3.",
    )


def test_a_glissando_leads_from_the_note_before_its_end() -> None:
    """As in the draft of abc 2.2: the end stands at the note that is reached."""
    page = page_of(HEAD + "!~(!C2 !~)!D2|!glissando(!E2 !glissando)!F2|\n")
    signs = [sorted(note.articulations) for bar in page.bars for note in bar.notes]
    assert signs == [["glissando"], [], ["glissando"], []]
    assert "To guide and ear a glissando is its two ends: bars 1 to 2." in page.left_out


def test_of_two_tempi_at_one_moment_the_last_one_holds() -> None:
    page = page_of(HEAD + '[Q:90]C4|"^rit."[Q:70]D2[Q:80][Q:1/2=50]E2|\n')
    marks = [(float(m.at), m.quarters_per_minute, m.words) for m in page.speeds]
    assert marks == [(0, 90, ""), (4, None, "rit."), (4, 70, ""), (6, 100, "")]


def test_a_tempo_that_is_none_leaves_the_header_as_it_is() -> None:
    assert body("[Q:0]C4|").tempo.bpm == 60


@pytest.mark.parametrize(("sign", "named"), [("\0", "The sign U+0000"), ("?", "“?”")])
def test_a_sign_that_means_nothing_is_named_without_writing_it(
    sign: str, named: str
) -> None:
    (fault,) = reading(f"X:1\nM:4/4\nL:1/4\nK:C\nC {sign} D E F|\n").faults
    assert fault.what == f"{named} means nothing in ABC"
