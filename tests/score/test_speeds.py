"""Tempo marks with numbers and in words."""

from __future__ import annotations

import pytest

from coach.score.metre import Metre
from coach.score.speed_words import SpeedMark
from coach.score.speeds import PageSpeeds, SpeedSettings, read_speeds
from coach.score.tempo import Tempo, beats

SETTINGS = SpeedSettings(
    default_bpm=80,
    slower_share=0.5,
    faster_share=1.5,
    gradual_quarters=16,
    slowest_bpm=20,
    fastest_bpm=400,
    names_bpm=(("allegro", 120), ("allegro moderato", 110), ("largo", 50)),
)
COMMON = Metre(4, 4)
SIX_EIGHT = Metre(6, 8)


def number(at: int, qpm: float, beat: str | None = "1", words: str = "") -> SpeedMark:
    return SpeedMark(beats(at), qpm, None if beat is None else beats(beat), words)


def says(at: int, words: str) -> SpeedMark:
    return SpeedMark(beats(at), words=words)


def read(*marks: SpeedMark, metre: Metre = COMMON, end: int = 32) -> PageSpeeds:
    return read_speeds(marks, metre, beats(end), SETTINGS)


def speeds(page: PageSpeeds, *places: int) -> list[float]:
    return [page.at(beats(place)) for place in places]


def told(page: PageSpeeds) -> str:
    return " ".join(text for _, text in page.remarks)


def test_a_page_without_a_mark_gets_a_tempo_and_says_so() -> None:
    page = read()
    assert page.goal == Tempo(80, beats(1))
    assert speeds(page, 0, 20) == [80, 80]
    assert page.remarks == (
        (
            None,
            "No tempo mark: 80 beats a minute is a guess; "
            "set the tempo that you want to reach.",
        ),
    )
    assert page.is_guessed


@pytest.mark.parametrize("bpm", [5, 600])
def test_a_tempo_that_nobody_plays_at_is_doubted(bpm: float) -> None:
    page = read(number(0, bpm))
    assert page.goal == Tempo(bpm, beats(1))
    assert told(page) == (
        f"{bpm} beats a minute can hardly be meant: "
        "set the tempo that you want to reach."
    )
    assert told(read(number(0, 20))) == told(read(number(0, 400))) == ""


def test_in_compound_metre_the_default_counts_dotted_beats() -> None:
    page = read(metre=SIX_EIGHT)
    assert page.goal == Tempo(80, beats("3/2"))
    assert speeds(page, 0) == [120]


def test_the_first_mark_is_the_goal_in_the_note_value_that_is_printed() -> None:
    assert read(number(0, 96)).goal == Tempo(96, beats(1))
    assert read(number(0, 90, "3/2"), metre=SIX_EIGHT).goal == Tempo(60, beats("3/2"))
    # An eighth is printed, though the metre is compound: eighths are counted.
    assert read(number(0, 60, "1/2"), metre=SIX_EIGHT).goal == Tempo(120, beats("1/2"))


def test_a_number_without_a_note_value_counts_the_beat_of_the_metre() -> None:
    assert read(number(0, 90, None), metre=SIX_EIGHT).goal == Tempo(60, beats("3/2"))


def test_a_printed_mark_wins_over_a_hidden_one_at_the_same_place() -> None:
    page = read(number(0, 100, None), number(0, 96))
    assert page.goal == Tempo(96, beats(1))


def test_tempo_changes_where_a_mark_stands() -> None:
    page = read(number(0, 96), number(8, 60))
    assert speeds(page, 7, 8, 20) == [96, 60, 60]
    assert page.remarks == ()
    assert [mark.at for mark in page.between(beats(0), beats(8))] == []
    assert [mark.at for mark in page.between(beats(4), beats(12))] == [8]


def test_words_of_tempo_have_a_number_from_the_table_and_say_so() -> None:
    page = read(says(0, "Allegro moderato, ma cantabile"))
    assert page.goal == Tempo(110, beats(1))
    assert "Allegro moderato" in told(page)
    assert "110" in told(page)


def test_words_beside_a_number_need_no_table() -> None:
    page = read(says(0, "Allegro"), number(0, 132))
    assert page.goal == Tempo(132, beats(1))
    assert page.remarks == ()


def test_words_that_are_no_tempo_are_passed_over() -> None:
    page = read(number(0, 96), says(4, "dolce"), says(6, "solo"))
    assert speeds(page, 10) == [96]
    assert page.remarks == ()


def test_a_ritardando_slows_beat_by_beat_to_the_next_mark() -> None:
    page = read(number(0, 100), says(4, "poco rit."), number(8, 60))
    assert speeds(page, 3, 4, 5, 6, 7, 8) == [100, 90, 80, 70, 60, 60]
    assert "60 %" in told(page)


def test_a_ritardando_that_leads_to_a_faster_tempo_slows_as_is_set() -> None:
    page = read(number(0, 100), says(4, "rall."), number(8, 120))
    assert speeds(page, 7, 8) == [50, 120]


def test_an_accelerando_may_begin_where_the_tempo_is_printed() -> None:
    page = read(number(0, 80), says(0, "accel."), number(8, 160))
    assert [page.at(beats(k)) for k in (0, 4, 7, 8)] == [80, 130, 160, 160]
    assert told(page) == "“accel.” is taken as evenly faster, to 200 % of the tempo."


def test_a_ritardando_may_begin_where_it_goes_a_tempo() -> None:
    marks = number(0, 100), says(4, "accel."), says(8, "a tempo"), says(8, "rit.")
    page = read(*marks, number(12, 60))
    assert page.at(beats(8)) == 100
    assert page.at(beats(11)) < 100


def test_a_number_that_is_not_printed_plays_the_ritardando_beside_it() -> None:
    page = read(number(0, 100), says(4, "rit."), SpeedMark(beats(4), 70))
    assert page.at(beats(4)) == page.at(beats(7)) == 70
    assert page.remarks == ()


def test_rubato_is_told_beside_a_number() -> None:
    page = read(number(0, 60), says(0, "Andante rubato"))
    assert told(page) == "“Andante rubato” is free; the click goes on in time."


def test_an_accelerando_that_leads_nowhere_quickens_as_is_set() -> None:
    page = read(number(0, 100), says(28, "accel."))
    assert speeds(page, 27, 31) == [100, 150]
    assert told(page) == "“accel.” is taken as evenly faster, to 150 % of the tempo."
    slower = told(read(number(0, 100), says(28, "rall.")))
    assert slower == "“rall.” is taken as evenly slower, to 50 % of the tempo."


def test_a_tempo_returns_to_the_tempo_before_the_ritardando() -> None:
    page = read(number(0, 100), says(4, "rit."), says(8, "a tempo"))
    assert speeds(page, 7, 8, 12) == [50, 100, 100]


def test_tempo_primo_returns_to_the_first_tempo() -> None:
    page = read(number(0, 100), number(4, 60), says(8, "Tempo I"))
    assert speeds(page, 5, 8) == [60, 100]
    assert speeds(read(says(0, "Tempo primo")), 4) == [80]


@pytest.mark.parametrize("words", ["Tempo 1", "Tempo I°", "Tempo Iº", "1er mouvement"])
def test_the_first_tempo_has_many_names(words: str) -> None:
    page = read(number(0, 100), number(4, 60), says(8, "rit."), says(12, words))
    assert speeds(page, 11, 12) == [30, 100]


@pytest.mark.parametrize("words", ["in tempo", "im Tempo", "Tempo", "au mouvement"])
def test_a_tempo_has_many_names(words: str) -> None:
    page = read(number(0, 100), number(4, 60), says(8, "rit."), says(12, words))
    assert speeds(page, 11, 12) == [30, 60]


def test_the_same_tempo_is_told_as_notes_that_last_as_long_as_before() -> None:
    page = read(number(0, 100), says(4, "rit."), says(8, "L'istesso tempo"))
    assert speeds(page, 7, 8) == [50, 50]
    said = "“L'istesso tempo” is taken as notes that last as long as before."
    assert told(page).endswith(said)


def test_a_ritardando_ends_at_another_one() -> None:
    page = read(number(0, 100), says(4, "rit."), says(6, "accel."), number(8, 100))
    assert speeds(page, 5, 6, 7) == [50, 75, 100]


def test_a_ritardando_without_an_end_in_sight_changes_nothing() -> None:
    page = read(number(0, 100), says(4, "rit."))
    assert speeds(page, 20) == [100]
    assert "no end" in told(page)


def test_a_ritardando_at_the_very_end_changes_nothing() -> None:
    page = read(number(0, 100), says(32, "rit."))
    assert speeds(page, 31) == [100]


def test_a_ritardando_before_any_mark_starts_from_the_default() -> None:
    page = read(says(4, "rit."), number(8, 40))
    assert speeds(page, 0, 7) == [80, 40]
    page = read(says(0, "rit."), number(4, 40))
    assert speeds(page, 0, 3) == [80, 40]


def test_a_ritardando_over_part_of_a_beat_takes_one_step() -> None:
    page = read_speeds(
        [number(0, 100), says(4, "rit."), SpeedMark(beats("9/2"), 60, beats(1))],
        COMMON,
        beats(8),
        SETTINGS,
    )
    assert speeds(page, 4) == [60]


@pytest.mark.parametrize(
    "words",
    [
        *("meno mosso", "Più mosso", "Meno allegro", "poco più", "più lento"),
        *("etwas schneller", "a little slower", "plus vite"),
        *("half-time", "double time feel"),
    ],
)
def test_a_change_without_a_number_is_told_and_not_guessed(words: str) -> None:
    page = read(number(0, 100), says(4, words))
    assert speeds(page, 8) == [100]
    assert words in told(page)


@pytest.mark.parametrize("words", ["poco più forte", "meno p"])
def test_more_and_less_of_loudness_are_no_tempo(words: str) -> None:
    assert told(read(number(0, 100), says(4, words))) == ""


def test_a_name_beside_a_comparison_holds() -> None:
    """*Allegro* somewhat faster is an Allegro still."""
    page = read(number(0, 100), says(4, "Allegro più mosso"))
    assert speeds(page, 8) == [120]


def test_doppio_movimento_is_twice_as_fast() -> None:
    """The note values last half as long (common practice, no published source)."""
    page = read(number(0, 60), says(4, "rit."), says(8, "Doppio movimento"))
    assert speeds(page, 0, 8) == [60, 120]
    assert "“Doppio movimento” is twice as fast." in told(page)
    assert speeds(read(number(0, 60), says(4, "doppelt so schnell")), 8) == [120]


@pytest.mark.parametrize(
    "words",
    [
        *("molto rubato", "a piacere", "senza misura", "colla voce", "col canto"),
        *("ad lib.", "ad libitum", "freely", "frei", "Cadenza", "Recit.", "libero"),
    ],
)
def test_what_is_free_in_time_is_told_and_clicked_on(words: str) -> None:
    page = read(number(0, 100), says(4, words))
    assert speeds(page, 8) == [100]
    assert told(page) == f"“{words}” is free; the click goes on in time."


def test_equal_note_values_carry_the_tempo_over() -> None:
    """A quarter before is a dotted quarter after: the quarter gets faster."""
    equal = SpeedMark(beats(8), equal=(beats(1), beats("3/2")))
    assert speeds(read(number(0, 100), equal), 7, 8) == [100, 150]


def test_marks_before_the_first_bar_line_hold_from_the_start() -> None:
    page = read(number(4, 60))
    assert page.at(beats(0)) == 60
    assert page.goal.bpm == 60
