"""A player holds what was read beside the paper."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.naming import say_bars
from coach.planning.page_words import page_words, say_order, say_segment
from coach.score.phrase import Part
from coach.wiring.instrument_files import open_instrument
from tests.hand_made import played
from tests.score.abc.abc_samples import part_of

HEAD = "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:{key} clef=bass\n"


def told(part: Part, instrument: str = "tenor-trombone") -> dict[str, str]:
    return dict(page_words(part, open_instrument(instrument)))


def test_a_straight_page() -> None:
    words = told(part_of(HEAD.format(key="Bb") + "B,,4|C,4|[M:3/4]D,3|F,3|]\n"))
    assert words == {
        "bars": "4, no pickup; the last is bar 4",
        "notes": "4 as played, tied ones as one",
        "key": "B flat major, 2 flats",
        "clef": "bass",
        "metre": "4/4, 3/4 from bar 3",
        "order": "bars 1 to 4, straight through",
        "tempo": "quarter = 60",
        "range": "Bb2 to F3",
    }


def test_a_pickup_is_called_one() -> None:
    page = "X:1\nM:4/4\nL:1/4\nQ:60\nK:C clef=bass\nC,|D,4|E,4|]\n"
    assert told(part_of(page))["order"] == "pickup to bar 2, straight through"
    assert say_bars(0, 0) == "pickup"


def test_a_pickup_repeats_and_a_guess() -> None:
    page = 'X:1\nM:4/4\nL:1/4\nQ:"Allegro"\nK:C clef=bass\nC,|:D,4|1E,4:|2F,4|]\n'
    words = told(part_of(page))
    assert words["bars"] == "3, after a pickup; the last is bar 3"
    assert words["order"] == "bars 0 to 2, then 1, then 3"
    assert words["key"].endswith("no sharps or flats")
    assert words["tempo"].endswith("(guessed)")
    assert "guess" in words["look at"]


def test_changes_of_key_and_clef_are_told_with_their_bars() -> None:
    page = HEAD.format(key="Bb") + "B,,4|[K:C]C,4|[K:D clef=tenor]D4|[K:clef=bass]F,4|"
    words = told(part_of(page + "\n"))
    assert words["key"] == (
        "B flat major, 2 flats, no sharps or flats from bar 2, 2 sharps from bar 3"
    )
    assert words["clef"] == "bass, tenor from bar 3, bass from bar 4"


def test_a_page_without_a_key_is_not_said_to_be_in_one() -> None:
    part = replace(part_of(HEAD.format(key="C") + "C,4|D,4|\n"), key_name="")
    assert told(part)["key"] == "none given"
    later = replace(part_of(HEAD.format(key="C") + "C,4|[K:D]D,4|\n"), key_name="")
    assert told(later)["key"] == "no sharps or flats, 2 sharps from bar 2"


def test_small_notes_are_told_with_how_they_are_played() -> None:
    words = told(part_of(HEAD.format(key="C") + "{D,}C,4|{/E,F,}D,4|C,4|\n"))
    assert words["graces"] == "3 small notes, slurred to their notes: bars 1 to 2"


def test_a_ritardando_is_told_as_one_and_not_step_by_step() -> None:
    head = HEAD.format(key="C")
    slower = '[Q:1/4=80]C,4|"^rit."D,4|E,4|[Q:1/4=40]F,2[Q:1/4=100]G,2|\n'
    words = told(part_of(head + slower))
    assert words["tempo"] == (
        "quarter = 80, evenly slower to 40 in bars 2 to 3, 100 from bar 4"
    )


def test_later_speeds_are_told_the_first_of_many() -> None:
    head = HEAD.format(key="C")
    words = told(part_of(head + "C,4|[Q:1/4=100]D,4|[Q:1/4=72.25]E,4|\n"))
    assert words["tempo"] == "quarter = 60, 100 from bar 2, 72.2 from bar 3"
    many = "".join(f"[Q:1/4={70 + k}]C,4|" for k in range(8))
    assert told(part_of(f"{head}{many}\n"))["tempo"].endswith("from bar 7, and 1 more")


def test_one_small_note_has_one_note() -> None:
    words = told(part_of(HEAD.format(key="C") + "{D,}C,4|\n"))
    assert words["graces"] == "1 small note, slurred to its note: bar 1"


def test_a_long_way_is_cut_short() -> None:
    words = told(part_of(HEAD.format(key="G") + "|:G,4:|" * 20 + "\n"))
    assert words["order"].endswith(", and 9 more")
    assert words["key"] == "G major, 1 sharp"


def test_what_is_left_out_is_named() -> None:
    words = told(part_of(HEAD.format(key="C") + "[C,E,]4|D,4|\n"))
    assert "top notes" in words["left out"]


def test_a_transposing_part_tells_what_is_heard() -> None:
    page = "X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:C clef=treble transpose=-2\nC4|D4|\n"
    words = told(part_of(page), "trumpet")
    assert words["range"] == "C4 to D4 as written, Bb3 to C4 as heard"


def test_too_high_says_by_how_much_it_would_fit() -> None:
    words = told(part_of(HEAD.format(key="C") + "c'4|d'4|e'4|\n"))
    assert words["beware"] == (
        "3 notes in bars 1 to 3 cannot be played on the tenor trombone. "
        "It fits an octave lower: --transpose -12. "
        "For another instrument: --instrument NAME."
    )


def test_bars_that_do_not_follow_on_the_page_are_told_in_their_order() -> None:
    bars = played("F3w G3w A3w Bb3w", [1, 2, 3, 1, 2, 4]).bars
    assert say_order(bars[:3]) == ""
    assert say_order(bars[2:]) == "in the order 3, then 1 to 2, then 4"
    assert say_segment(3, 4, bars[2:]) == (
        "bars 3 to 4, in the order 3, then 1 to 2, then 4"
    )
    assert say_segment(1, 3, bars[:3]) == "bars 1 to 3"
