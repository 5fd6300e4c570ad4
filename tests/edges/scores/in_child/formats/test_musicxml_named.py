"""What of MusicXML is not played as it is written."""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

import pytest

from coach.edges.scores.in_child.formats.musicxml_named import find_left_out
from coach.edges.scores.in_child.sign_sentences import OVERLAID


def note(staff: int, duration: int) -> str:
    return (
        "<note><pitch><step>C</step><octave>4</octave></pitch>"
        f"<duration>{duration}</duration><voice>1</voice><staff>{staff}</staff></note>"
    )


@pytest.mark.parametrize(
    ("staff", "below", "found"),
    [(1, 2, []), (2, 2, []), (1, 1, [(0, OVERLAID)]), (0, 2, [(0, OVERLAID)])],
)
def test_notes_lie_over_each_other_only_on_the_staff_that_is_read(
    staff: int, below: int, found: list[tuple[int, str]]
) -> None:
    back = "<backup><duration>2</duration></backup>"
    bar = f"<measure>{note(1, 4)}{back}{note(below, 2)}</measure>"
    assert find_left_out(fromstring(f"<part>{bar}</part>"), staff) == found
