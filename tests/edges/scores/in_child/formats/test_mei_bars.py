"""Bars of MEI and kern that stand for others, or for a bar line alone."""

from __future__ import annotations

import pytest

from coach.errors import ScoreError
from tests.edges.scores.score_samples import MEI, read
from tests.score.page_samples import told

NOTE = '<note xml:id="n1" pname="c" oct="3" dur="1"/>'
FIRST = MEI.index("<measure")


def mei_of(*layers: str, right: str = "") -> str:
    """Write an MEI score of one staff; each layer is a measure."""
    ends = ["", *[""] * (len(layers) - 2), f' right="{right}"' if right else ""]
    bars = "".join(
        f'<measure n="{k}"{end}><staff n="1"><layer n="1">{layer}</layer></staff>'
        "</measure>"
        for k, (layer, end) in enumerate(
            zip(layers, ends[-len(layers) :], strict=True), 1
        )
    )
    return f"{MEI[:FIRST]}{bars}</section></score></mdiv></body></music></mei>"


def test_a_rest_of_many_bars_counts_all_its_bars() -> None:
    """MEI 4, multiRest."""
    score = mei_of(NOTE, '<multiRest num="3"/>').replace(
        "</section>",
        f'<measure n="5"><staff n="1"><layer n="1">{NOTE}</layer></staff></measure>'
        "</section>",
    )
    assert told(read(score)) == "1: C3*4 | 2: z*4 | 3: z*4 | 4: z*4 | 5: C3*4"


def test_a_repeat_sign_behind_a_rest_stands_at_its_last_bar() -> None:
    score = mei_of(NOTE, '<multiRest num="2"/>', right="rptend")
    assert [bar.number for bar in read(score).bars] == [1, 2, 3, 1, 2, 3]


def test_a_repeated_bar_has_the_notes_of_the_one_before() -> None:
    """MEI 4, mRpt."""
    assert told(read(mei_of(NOTE, "<mRpt/>", "<mRpt/>"))) == (
        "1: C3*4 | 2: C3*4 | 3: C3*4"
    )


def test_rests_without_end_are_refused() -> None:
    with pytest.raises(ScoreError, match="does not make sense as MEI"):
        read(mei_of(NOTE, '<multiRest num="9999"/>'))


def test_a_kern_piece_that_ends_with_a_repeat_sign_has_no_bar_behind_it() -> None:
    score = "**kern\n*clefF4\n*M4/4\n=1-\n1c\n=2\n1d\n=:|!\n*-\n"
    assert told(read(score)) == "1: C4*4 | 2: D4*4 | 1: C4*4 | 2: D4*4"
